"""What several designs have in common, so that like is compared with like."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.case.model import Case
from acoustics.listening.bands import why_not_covered
from acoustics.listening.ripple import BAND
from acoustics.studies.wording import listed

SAME = 1e-6
"""m: ear heights and distances this close are the same"""


def common_ground(
    labels: Sequence[str], cases: Sequence[Case], answers: Sequence[xr.Dataset]
) -> tuple[list[xr.Dataset], list[str]]:
    """Cut every design's answers down to the ear heights, crossovers and octaves all share.

    Args:
        labels: a name for each design.
        cases: the designs.
        answers: their numbers, as `first_answers` gives them.

    Returns:
        The answers left, and what was left out or needs care, in sentences.
    """
    notes = [*_covered(labels, cases), *_distances(labels, cases), *_floors(labels, cases)]
    left, more = _ear_heights(labels, list(answers))
    notes += more
    left, more = _crossovers(labels, left)
    notes += more
    octaves = [set(each.octave.values.tolist()) for each in left]
    shared = sorted(set.intersection(*octaves))
    return [each.sel(octave=shared) for each in left], notes


def _covered(labels: Sequence[str], cases: Sequence[Case]) -> list[str]:
    gaps = [why_not_covered(case.frequencies.values(), BAND) for case in cases]
    notes = [
        f"{label}: {gap}; ripple, tilt, level and beamwidth are therefore not compared. Widen "
        "[frequencies] in the case file."
        for label, gap in zip(labels, gaps, strict=True)
        if gap
    ]
    if len({case.frequencies for case in cases}) > 1:
        notes.append(
            "The designs are predicted at different frequencies; curves are drawn at each "
            "design's own."
        )
    return notes


def _distances(labels: Sequence[str], cases: Sequence[Case]) -> list[str]:
    notes = []
    for name, distances in (
        ("Reference distances", [case.reference.distance for case in cases]),
        ("Seat distances", [case.seat.distance for case in cases]),
    ):
        if np.ptp(distances) > SAME:
            pairs = zip(distances, labels, strict=True)
            each = listed([f"{distance:g} m for {who}" for distance, who in pairs])
            notes.append(f"{name} differ ({each}), so levels differ for that reason alone.")
    return notes


def _floors(labels: Sequence[str], cases: Sequence[Case]) -> list[str]:
    bare = [label for label, case in zip(labels, cases, strict=True) if case.floor is None]
    if not bare or len(bare) == len(cases):
        return []
    return [f"No floor is given for {listed(bare)}; the floor's dip is not compared."]


def _ear_heights(
    labels: Sequence[str], answers: list[xr.Dataset]
) -> tuple[list[xr.Dataset], list[str]]:
    first = answers[0].ear_height.values
    shared = [
        ear
        for ear in first
        if all(np.min(np.abs(each.ear_height.values - ear)) < SAME for each in answers)
    ]
    heights = "; ".join(
        f"{label}: {', '.join(f'{ear:.2f}' for ear in each.ear_height.values)} m"
        for label, each in zip(labels, answers, strict=True)
    )
    if not shared:
        note = (
            f"No ear height is common to all ({heights}), so nothing at the seat is compared; give "
            "all designs the same ear_heights."
        )
        return [each.drop_dims("ear_height") for each in answers], [note]
    left = [each.sel(ear_height=shared, method="nearest") for each in answers]
    same = all(each.ear_height.size == len(shared) for each in answers)
    note = f"Only the ear heights common to all are compared ({heights})."
    return left, [] if same else [note]


def _crossovers(
    labels: Sequence[str], answers: list[xr.Dataset]
) -> tuple[list[xr.Dataset], list[str]]:
    names = [tuple(str(name) for name in each.crossover.values) for each in answers]
    counts = {len(each) for each in names}
    if len(counts) > 1:
        pairs = zip(names, labels, strict=True)
        numbers = listed([f"{len(each)} in {who}" for each, who in pairs])
        note = (
            f"The number of crossovers differs ({numbers}); lobes and crossovers are not compared."
        )
        return [each.drop_dims("crossover") for each in answers], [note]
    if len(set(names)) == 1:
        return answers, []
    order = np.array([f"crossover {i}" for i in range(1, counts.pop() + 1)])
    note = "Crossovers join drivers of different names; they are compared in order of frequency."
    return [each.assign_coords(crossover=order) for each in answers], [note]
