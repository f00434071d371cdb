"""In which order the points of a sweep are computed: those that share a field together."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import repeat
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.varied import varied_case
from acoustics.conventions import RoundoverError
from acoustics.prediction import predict
from acoustics.studies.remembered import field_digest
from acoustics.studies.sweeps.space import Space

AT_LEAST = 1.5
"""seconds of work in a block: what goes with a block, a file and a message, is then next to
nothing"""

MOST = 4096
"""points of a block"""

PROBES = 4
"""values of a dimension that are tried for whether they move the field"""

Known = Mapping[str, xr.DataArray]


@dataclass(eq=False)
class _Group:
    """Points that share a field, as far as is known before they are computed."""

    left: deque[int]
    known: Known | None = None


class Task(NamedTuple):
    """Points to compute, their field if it is known, and whether it is to be given back."""

    numbers: tuple[int, ...]
    known: Known
    give_back: bool


class Queue:
    """Points still to be computed, handed out in blocks.

    A group with more points than a block holds is opened by one block, which gives the field back;
    the others of the group wait for it.
    """

    def __init__(self, groups: Iterable[list[int]]) -> None:
        self._open = deque(_Group(deque(numbers)) for numbers in groups)
        self._of_point = {number: group for group in self._open for number in group.left}
        self.left = len(self._of_point)
        """how many points have not been handed out"""

    def take(self, size: int) -> Task | None:
        """About `size` points; None where there are none, or all left wait for a field."""
        taken: list[int] = []
        while self._open and len(taken) < size:
            group = self._open[0]
            whole = len(group.left) <= size - len(taken)
            if taken and (group.known is not None or not whole):
                break
            part = [group.left.popleft() for _ in range(min(size, len(group.left)))]
            self.left -= len(part)
            if group.known is not None:
                if not group.left:
                    self._open.popleft()
                return Task(tuple(part), group.known, False)
            self._open.popleft()
            if not whole:
                return Task(tuple(part), {}, True)
            taken += part
        return Task(tuple(taken), {}, False) if taken else None

    def learn(self, task: Task, known: Known | None) -> None:
        """Take the field that a block gave back; the rest of its group goes on."""
        if task.give_back:
            group = self._of_point[task.numbers[0]]
            group.known = known
            self._open.appendleft(group)

    def put_back(self, task: Task) -> None:
        """Take back the points of a block that was lost."""
        for number in task.numbers:
            group = self._of_point[number]
            if group not in self._open:
                self._open.append(group)
            group.left.append(number)
        self.left += len(task.numbers)


def queue_of(space: Space, moving: tuple[bool, ...], done: np.ndarray) -> Queue:
    """Line up the points that are not done, those that share a field side by side.

    Args:
        space: the points.
        moving: of every dimension, whether it moves the field.
        done: of every point, shape (point,).
    """
    left = np.flatnonzero(~done)
    groups: dict[tuple[int, ...], list[int]] = {}
    places = np.unravel_index(left, space.shape)
    keys = zip(*(p.tolist() for p, moves in zip(places, moving, strict=True) if moves), strict=True)
    for number, key in zip(left.tolist(), keys if any(moving) else repeat(()), strict=False):
        groups.setdefault(key, []).append(number)
    return Queue(groups.values())


def block_size(seconds: float | None, left: int, workers: int) -> int:
    """How many points a block gets, from the seconds a point takes; one if that is not known.

    Toward the end blocks get smaller, so that all workers end together.
    """
    if seconds is None:
        return 1
    most = max(math.ceil(left / (2 * workers)), 1)
    return min(max(math.ceil(AT_LEAST / max(seconds, 1e-6)), 1), most, MOST)


def moves_field(case: Case, space: Space) -> tuple[bool, ...]:
    """Of every dimension, whether its values move the field: found by trying some of them.

    Only the order of work rests on it: what a field depends on is looked at again at every point.
    """
    found = [list(_digests(case, space, axis)) for axis in range(len(space.shape))]
    return tuple(
        size > 1 and not (len(each) > 1 and len(set(each)) == 1)
        for size, each in zip(space.shape, found, strict=True)
    )


def _digests(case: Case, space: Space, axis: int) -> Iterator[str]:
    """Digests of what is to be solved at some values of a dimension."""
    size = space.shape[axis]
    places = np.unique(np.linspace(0, size - 1, min(PROBES, size)).round().astype(int))
    for index in places:
        place = [0] * len(space.shape)
        place[axis] = int(index)
        try:
            yield asked_of(case, space, space.number(tuple(place)))
        except RoundoverError:
            continue


def asked_of(case: Case, space: Space, number: int) -> str:
    """Digest of what is asked of the solver for a point."""
    asked: list[str] = []

    def note(
        body: Any, pistons: Any, receivers: np.ndarray, frequency: np.ndarray, **how: Any
    ) -> xr.DataArray:
        rest = {name: value for name, value in how.items() if name != "progress"}
        asked.append(field_digest(body, tuple(pistons), receivers, frequency, rest))
        return unit_field(body, pistons, receivers, frequency)

    predict(varied_case(case, space.changes(number)), solve=note)
    return " ".join(asked)


def unit_field(
    body: Any, pistons: Any, receivers: np.ndarray, frequency: np.ndarray, **_: Any
) -> xr.DataArray:
    """A field of ones in the shape of `solve_field`'s, for all that does not rest on its values."""
    shape = len(pistons), np.size(frequency), len(receivers)
    return xr.DataArray(np.ones(shape, dtype=complex), dims=("piston", "frequency", "receiver"))
