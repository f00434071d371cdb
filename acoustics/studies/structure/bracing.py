"""Which braces to add, one wall after the other, and which could be left out."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Brace, Structure
from acoustics.case.geometry.brace_solids import brace_volume
from acoustics.structure.walls import wall_named
from acoustics.studies.structure.candidates import (
    Candidate,
    buildable,
    candidates,
    shell_with,
    twin_of,
)
from acoustics.studies.structure.sound import QUIET, THIRD
from acoustics.studies.structure.trials import Trials, thicker

MOST_ROUNDS = 3
"""Braces (or twins of them) that are proposed at most: after that thicker walls are due (common
practice, no source)."""

WORTH = 3.0
"""dB by which a brace must lower what its walls send out to be worth its wood (common practice, no
source)"""

ALIKE = 1.0
"""dB within which candidates are alike, and the one that takes least volume is taken"""

BOARDS = (0.012, 0.015, 0.016, 0.018, 0.019, 0.022, 0.025, 0.028, 0.030, 0.038)
"""m: usual thicknesses of boards (common practice, no source)"""

MUCH = 1.3
"""times as thick a wall gets at least: stiffness grows with the cube"""

SPARE = 5.0
"""dB below quiet that walls must stay without a brace for it to be left out"""


@dataclass(frozen=True)
class Added:
    """Braces to add to a wall (and its twin), and by how much its sound falls by them alone, dB."""

    wall: str
    candidate: Candidate
    gain: float


@dataclass(frozen=True)
class Thicker:
    """A wall to make thicker: from what to what, m; and by how much its sound falls, dB.

    `brace` is what the best brace would have brought, dB, and `what` it is: "" if none can stand.
    """

    wall: str
    thickness: tuple[float, float]
    gain: float
    brace: float
    what: str


@dataclass(frozen=True)
class Bracing:
    """What to change about walls.

    refused: walls that neither helps, and the best gain found, dB. trials: with all of it in;
    their structure has the braces too. left: where each wall then comes closest, dB, by name.
    """

    added: tuple[Added, ...]
    thicker: tuple[Thicker, ...]
    removed: tuple[Brace, ...]
    refused: tuple[tuple[str, float], ...]
    trials: Trials
    left: dict[str, float]


def bracing(case: Case, trials: Trials) -> Bracing:
    """Greedily: the loudest wall that is not quiet gets the brace that lowers it most.

    Where none is worth it, as on a front that drivers shake and leave no room on, it gets thicker.

    Args:
        case: the design.
        trials: what shakes its walls and what is heard of them.
    """
    level = Levels(trials)
    squares = trials.squares(trials.structure.braces)
    added: list[Added] = []
    stronger: list[Thicker] = []
    refused: dict[str, float] = {}
    done: set[str] = set()
    while len(added) + len(stronger) < MOST_ROUNDS:
        name = _loudest(trials, level, squares, {*done, *refused})
        if not name or (trials.shaken is None and done):
            break
        own = _with_twin(trials, name)
        best, chosen, more = _best_brace(case, trials, level, squares, own)
        if chosen is not None and best >= WORTH:
            added.append(Added(name, chosen, best))
            trials = replace(trials, structure=_with(trials.structure, chosen.braces))
        else:
            wall = wall_named(trials.walls, name)
            thickness = next((each for each in BOARDS if each > MUCH * wall.thickness), None)
            braced = any(each.wall == name for each in added)
            if thickness is None or braced or len(own) > 1 or trials.shaken is None:
                refused |= dict.fromkeys(own, best)
                continue
            with_it = thicker(trials, name, thickness)
            more = with_it.squares(with_it.structure.braces, own)
            gain = level.mean(squares, own) - level.mean(more, own)
            if gain < WORTH:
                refused[name] = max(best, gain)
                continue
            what = "" if chosen is None else chosen.what
            stronger.append(Thicker(name, (wall.thickness, thickness), gain, best, what))
            trials, done = with_it, {*done, name}
        squares = squares | more
        done |= set(own) if trials.shaken is None else set()
    removed = () if added or stronger else _needless(trials, level, squares)
    kept = tuple(each for each in trials.structure.braces if each not in removed)
    trials = replace(trials, structure=replace(trials.structure, braces=kept))
    left = {name: level.closest(each) for name, each in squares.items()}
    return Bracing(tuple(added), tuple(stronger), removed, tuple(refused.items()), trials, left)


def _loudest(
    trials: Trials, level: Levels, squares: dict[str, np.ndarray], done: Collection[str]
) -> str:
    """The loudest wall that is left and not quiet; where nobody knows, that which moves most."""
    loud = {name: level.closest(each) for name, each in squares.items() if name not in done}
    if trials.shaken is not None:
        loud = {name: each for name, each in loud.items() if each > QUIET}
    return max(loud, key=lambda each: loud[each], default="")


def _with_twin(trials: Trials, name: str) -> list[str]:
    twin = twin_of(wall_named(trials.walls, name), trials.walls)
    return [name] if twin is None else [name, twin.name]


def _with(structure: Structure, braces: Sequence[Brace]) -> Structure:
    return replace(structure, braces=(*structure.braces, *braces))


def _best_brace(
    case: Case,
    trials: Trials,
    level: Levels,
    squares: dict[str, np.ndarray],
    own: Sequence[str],
) -> tuple[float, Candidate | None, dict[str, np.ndarray]]:
    """The gain (dB) of the best candidate, the smallest of those alike, what it leaves of walls."""
    structure, walls = trials.structure, trials.walls
    tried = []
    for each in candidates(case, structure, walls, wall_named(walls, own[0])):
        more = trials.squares((*structure.braces, *each.braces), own)
        # What joins walls must not make the other one loud.
        worse = any(
            level.closest(more[other]) > max(QUIET, level.closest(squares[other]))
            for other in more
            if other not in own
        )
        if not worse:
            tried.append((level.mean(squares, own) - level.mean(more, own), each, more))
    tried.sort(key=lambda one: -one[0])
    standing = (one for one in tried if buildable(case, structure, one[1].braces))
    first = next(standing, None)
    if first is None:
        return 0.0, None, {}
    shell = shell_with(case, structure)
    alike = [first, *takewhile(lambda one: one[0] > first[0] - ALIKE, standing)]
    return min(alike, key=lambda one: sum(brace_volume(shell, brace) for brace in one[1].braces))


def _needless(trials: Trials, level: Levels, squares: dict[str, np.ndarray]) -> tuple[Brace, ...]:
    """Bars and struts without which every wall stays quiet, by some margin.

    A shelf may part the inside or carry something, which is not for this study to judge.
    """
    if trials.shaken is None:
        return ()
    kept = list(trials.structure.braces)
    for brace in trials.structure.braces:
        others = [each for each in kept if each is not brace]
        if brace.kind == "shelf":
            continue
        without = squares | trials.squares(others, brace.walls)
        if all(level.closest(each) < QUIET - SPARE for each in without.values()):
            kept = others
    return tuple(each for each in trials.structure.braces if each not in kept)


class Levels:
    """Levels of walls beside the drivers, over thirds of an octave and over all frequencies."""

    def __init__(self, trials: Trials) -> None:
        frequency = trials.frequency
        inside = np.abs(np.log(frequency[:, None] / frequency)) <= np.log(THIRD)
        self._means = inside / inside.sum(axis=1, keepdims=True)

    def closest(self, square: np.ndarray) -> float:
        """Highest in a third of an octave, dB."""
        return float(10 * np.log10(np.maximum(self._means @ square, 1e-30)).max())

    def mean(self, squares: dict[str, np.ndarray], names: Sequence[str]) -> float:
        """Of some walls together over all frequencies by the octave, dB."""
        return float(10 * np.log10(sum(squares[name].mean() for name in names)))
