"""What several designs have in common, so that like is compared with like."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.case.model import BAND, SMOOTHING, Case
from acoustics.listening.bands import why_not_covered
from acoustics.studies.floor import has_floor
from acoustics.studies.wording import hertz, listed

SAME = 1e-6
"""m: ear heights and distances this close are the same"""


def common_ground(
    labels: Sequence[str],
    cases: Sequence[Case],
    predictions: Sequence[xr.Dataset],
    answers: Sequence[xr.Dataset],
) -> tuple[list[xr.Dataset], list[str]]:
    """Cut every design's answers down to the ear heights, crossovers and octaves all share.

    Args:
        labels: a name for each design.
        cases: the designs.
        predictions: theirs.
        answers: their numbers, as `first_answers` gives them.

    Returns:
        The answers left, and what was left out or needs care, in sentences.
    """
    notes = [*_covered(labels, cases), *_distances(labels, cases), *_floors(labels, predictions)]
    notes += _doubtful(labels, answers)
    left, more = _ear_heights(labels, list(answers))
    notes += more
    left, more = _crossovers(labels, left)
    notes += more
    octaves = [set(each.octave.values.tolist()) for each in left]
    shared = sorted(set.intersection(*octaves))
    return [each.sel(octave=shared) for each in left], notes


def _covered(labels: Sequence[str], cases: Sequence[Case]) -> list[str]:
    gaps = [why_not_covered(case.frequencies.values(), BAND, SMOOTHING) for case in cases]
    notes = [
        f"{label}: {gap}; ripple, tilt and beamwidth are therefore not compared. Change "
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
    for name, distances, concerned in (
        (
            "Reference distances",
            [case.reference.distance for case in cases],
            "levels on the reference axis and to the sides, beamwidths and lobes",
        ),
        (
            "Seat distances",
            [case.seat.distance for case in cases],
            "levels at the seat, windows over height and the floor's dips",
        ),
    ):
        if np.ptp(distances) > SAME:
            each = _each(labels, [f"{distance:g} m" for distance in distances])
            notes.append(f"{name} differ ({each}); {concerned} depend on that too.")
    return notes


def _floors(labels: Sequence[str], predictions: Sequence[xr.Dataset]) -> list[str]:
    pairs = list(zip(labels, predictions, strict=True))
    bare = [label for label, each in pairs if not has_floor(each)]
    if len(bare) == len(labels):
        return []
    if bare:
        return [f"No floor reflects in {listed(bare)}; the floor's dips are not compared."]
    reflections = [float(each.attrs["floor_reflection"]) for _, each in pairs]
    if np.ptp(reflections) == 0:
        return []
    each = _each(labels, [f"{reflection:g}" for reflection in reflections])
    return [f"The floor's reflection differs ({each}); the depth of its dips depends on that too."]


def _doubtful(labels: Sequence[str], answers: Sequence[xr.Dataset]) -> list[str]:
    """What a prediction is too short or too coarse for, design by design."""
    notes = []
    for label, each in zip(labels, answers, strict=True):
        unknown = dict.fromkeys(str(why) for why in each.dip_note.values if why)
        notes += [f"{label}: {why}; the floor's dips are not compared." for why in unknown]
        if not each.lobe_sampled.all():
            notes.append(
                f"{label}: the angles of the arcs lie too far apart for the lobes at "
                f"{listed([hertz(f) for f in each.crossover_frequency.values[~each.lobe_sampled]])}"
                "; their direction is not compared. Take a smaller [arcs] step."
            )
    return notes


def _each(labels: Sequence[str], figures: Sequence[str]) -> str:
    """Each design's figure: "2 m in one and 2.5 m in other"."""
    return listed([f"{figure} in {who}" for figure, who in zip(figures, labels, strict=True)])


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
        numbers = _each(labels, [str(len(each)) for each in names])
        note = (
            f"The number of crossovers differs ({numbers}); lobes and crossovers are not compared."
        )
        return [each.drop_dims("crossover") for each in answers], [note]
    if len(set(names)) == 1:
        return answers, []
    order = np.array([f"crossover {i}" for i in range(1, counts.pop() + 1)])
    note = "Crossovers join drivers of different names; they are compared in order of frequency."
    return [each.assign_coords(crossover=order) for each in answers], [note]
