"""What several designs have in common, so that like is compared with like."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.listening import listeners
from acoustics.listening.surfaces import surfaces_of
from acoustics.studies.wording import each_in, listed
from acoustics.studies.yardsticks.seats import common_ear_heights, common_listeners

Left = tuple[list[xr.Dataset], list[str]]
"""answers that are left, and notes on what is not"""


def common_ground(
    labels: Sequence[str], predictions: Sequence[xr.Dataset], answers: Sequence[xr.Dataset]
) -> Left:
    """Cut every design's answers down to what all share.

    Seats, ear heights, surfaces, crossovers, drivers and octaves; the loss of all but the last is
    noted.

    Args:
        labels: a name for each design.
        predictions: theirs.
        answers: their numbers, as `numbers_of` gives them.

    Returns:
        The answers left, and what was left out, in sentences.
    """
    left, notes = list(answers), list[str]()
    for cut in (_listeners, _ear_heights, _surfaces):
        left, more = cut(labels, predictions, left)
        notes += more
    for cut_answers in (_crossovers, _drivers):
        left, more = cut_answers(labels, left)
        notes += more
    octaves = [set(each.octave.values.tolist()) for each in left]
    shared = sorted(set.intersection(*octaves))
    return [each.sel(octave=shared) for each in left], notes


def _listeners(
    labels: Sequence[str], predictions: Sequence[xr.Dataset], answers: list[xr.Dataset]
) -> Left:
    shared = common_listeners(predictions)
    names = [name for name, _ in shared]
    left = []
    for i, (prediction, each) in enumerate(zip(predictions, answers, strict=True)):
        own = listeners(prediction)
        chosen = each.isel(listener=[own.index(ones[i]) for _, ones in shared])
        left.append(chosen.assign_coords(listener=names))
    seats = [[str(seat) for seat in each.seat.values] for each in predictions]
    if all(set(each) == set(seats[0]) for each in seats):
        return left, []
    return left, [f"Only the seats common to all are compared ({_lists(labels, seats)})."]


def _ear_heights(
    labels: Sequence[str], predictions: Sequence[xr.Dataset], answers: list[xr.Dataset]
) -> Left:
    shared = common_ear_heights(predictions)
    heights = _lists(
        labels, [[f"{ear:.2f} m" for ear in each.ear_height.values] for each in answers]
    )
    if not shared:
        note = (
            f"No ear height is common to all ({heights}), so nothing at the seat is compared; give "
            "all designs the same ear_heights."
        )
        return [each.drop_dims("ear_height") for each in answers], [note]
    left = [each.sel(ear_height=list(shared), method="nearest") for each in answers]
    same = all(each.ear_height.size == len(shared) for each in answers)
    return left, [] if same else [f"Only the ear heights common to all are compared ({heights})."]


def _surfaces(
    labels: Sequence[str], predictions: Sequence[xr.Dataset], answers: list[xr.Dataset]
) -> Left:
    own = [surfaces_of(prediction) for prediction in predictions]
    shared = [name for name in own[0] if all(name in each for each in own)]
    left = [
        each.sel(surface=shared) if shared else each.drop_dims("surface", errors="ignore")
        for each in answers
    ]
    if all(set(each) == set(shared) for each in own):
        return left, []
    which = "those of the others are left out" if shared else "no dips are compared"
    return left, [
        f"The designs do not have the same reflecting surfaces ({_lists(labels, own)}). Only the "
        f"dips of those common to all are compared: {which}."
    ]


def _crossovers(labels: Sequence[str], answers: list[xr.Dataset]) -> Left:
    names = [tuple(str(name) for name in each.crossover.values) for each in answers]
    counts = {len(each) for each in names}
    if len(counts) > 1:
        numbers = each_in(labels, [str(len(each)) for each in names])
        note = (
            f"The number of crossovers differs ({numbers}); lobes and crossovers are not compared."
        )
        return [each.drop_dims("crossover") for each in answers], [note]
    if len(set(names)) == 1:
        return answers, []
    order = np.array([f"crossover {i}" for i in range(1, counts.pop() + 1)])
    note = "Crossovers join drivers of different names; they are compared in order of frequency."
    return [each.assign_coords(crossover=order) for each in answers], [note]


def _drivers(labels: Sequence[str], answers: list[xr.Dataset]) -> Left:
    names = [[str(name) for name in each.driver.values] for each in answers]
    shared = [name for name in names[0] if all(name in each for each in names)]
    left = [each.sel(driver=shared) if shared else each.drop_dims("driver") for each in answers]
    if all(set(each) == set(shared) for each in names):
        return left, []
    which = listed(shared) if shared else "none"
    return left, [f"The baffle step is compared for drivers that all designs have: {which}."]


def _lists(labels: Sequence[str], names: Sequence[Sequence[str]]) -> str:
    """What each design has: "one: floor; other: none"."""
    pairs = zip(labels, names, strict=True)
    return "; ".join(f"{label}: {', '.join(each) or 'none'}" for label, each in pairs)
