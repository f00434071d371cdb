"""What makes a comparison less than fair, or less than sure, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING, Branch, Case, Placement, SeatPlace, Surface
from acoustics.listening import doubtful_bands, doubtful_share, unreached
from acoustics.listening.bands import why_not_covered
from acoustics.listening.surfaces import surfaces_of
from acoustics.listening.trust import past_pistons
from acoustics.studies.wording import each_in, hertz, listed
from acoustics.studies.yardsticks.seats import SAME, seat_words

WORTH_TELLING = 0.1
"""Share of the band: less of it beyond the pistons' range is left unsaid."""


def caveats(
    labels: Sequence[str],
    cases: Sequence[Case],
    predictions: Sequence[xr.Dataset],
    answers: Sequence[xr.Dataset],
) -> list[str]:
    """Tell what to keep in mind when designs are compared, the weightiest first.

    Args:
        labels: a name for each design.
        cases: the designs.
        predictions: theirs.
        answers: their numbers, as `numbers_of` gives them.
    """
    return [
        *_unreached(labels, cases, predictions),
        *_filters(labels, cases),
        *_covered(labels, cases),
        *_set_up(labels, cases, predictions),
        *_unsure(labels, answers),
        *_beyond_the_piston(labels, predictions),
    ]


def _unreached(
    labels: Sequence[str], cases: Sequence[Case], predictions: Sequence[xr.Dataset]
) -> list[str]:
    found: dict[str, list[str]] = {}
    for label, case, prediction in zip(labels, cases, predictions, strict=True):
        for fault in unreached(case, prediction):
            found.setdefault(fault.message, []).append(label)
    return [f"{listed(who)}: {message}." for message, who in found.items()]


def _filters(labels: Sequence[str], cases: Sequence[Case]) -> list[str]:
    """Whether every design plays through a filter of its own."""
    kinds = [sorted({branch.slopes for branch in case.crossover}) for case in cases]
    if not all(kinds):
        return []
    if any(each != kinds[0] for each in kinds):
        slopes = each_in(labels, [" and ".join(each) for each in kinds])
        return [
            f"Slopes are not of one kind ({slopes}), so the designs do not play through filters "
            'made in the same way; slopes = "acoustic" in all would make it fair.'
        ]
    alike = len({_branches(case) for case in cases}) == 1
    if kinds[0] == ["acoustic"]:
        if alike:
            return [
                "Each design has its own filter, computed for the same acoustic slopes. On the "
                "reference axis they are alike by construction; what differs is what a filter "
                "cannot correct."
            ]
        return [
            "Each design has its own filter, computed for acoustic slopes that are not the same in "
            "all; what differs on the reference axis comes from them."
        ]
    layouts = [(case.cabinet, case.drivers) for case in cases]
    if alike and any(layout != layouts[0] for layout in layouts):
        same = "parts (passive slopes)" if "passive" in kinds[0] else "filter (electrical slopes)"
        return [
            f"All designs play through the same {same}, so layouts are compared "
            'with one filter; slopes = "acoustic" would give each its own.'
        ]
    return []


def _branches(case: Case) -> tuple[Branch, ...]:
    return tuple(sorted(case.crossover, key=lambda branch: branch.driver))


def _covered(labels: Sequence[str], cases: Sequence[Case]) -> list[str]:
    gaps = [why_not_covered(case.frequencies.values(), BAND, SMOOTHING) for case in cases]
    notes = [
        f"{label}: {gap}; figures of that band are therefore not compared. Change [frequencies] in "
        "the case file."
        for label, gap in zip(labels, gaps, strict=True)
        if gap
    ]
    if len({case.frequencies for case in cases}) > 1:
        notes.append(
            "The designs are predicted at different frequencies; curves are drawn at each "
            "design's own."
        )
    return notes


def _set_up(
    labels: Sequence[str], cases: Sequence[Case], predictions: Sequence[xr.Dataset]
) -> list[str]:
    """Distances, placement, seats and surfaces that are not the same in all designs."""
    notes = []
    distances = [case.reference.distance for case in cases]
    if np.ptp(distances) > SAME:
        each = each_in(labels, [f"{distance:g} m" for distance in distances])
        notes.append(
            f"Reference distances differ ({each}); levels on the reference axis and to the sides, "
            "beamwidths and lobes depend on that too."
        )
    where = [case.placement for case in cases]
    if any(each != where[0] for each in where):
        each = each_in(labels, [_placement(each) for each in where])
        notes.append(f"The placement differs ({each}); all that is heard at a seat depends on it.")
    for seat in (place.name for place in cases[0].seat.places):
        places = [place for case in cases for place in case.seat.places if place.name == seat]
        if len(places) == len(cases) and any(not _same(each, places[0]) for each in places):
            each = each_in(labels, [_place(each) for each in places])
            notes.append(
                f"The {seat_words(seat)} is not in the same place ({each}); levels there, room for "
                "the ears and dips depend on that too."
            )
    for name in surfaces_of(predictions[0]):
        surfaces = [each for case in cases for each in case.surfaces if each.name == name]
        if len(surfaces) == len(cases) and len(set(surfaces)) > 1:
            each = each_in(labels, [_surface(each) for each in surfaces])
            notes.append(f"The {name} is not the same ({each}); its dips depend on that too.")
    return notes


def _same(one: SeatPlace, other: SeatPlace) -> bool:
    return max(abs(one.distance - other.distance), abs(one.aside - other.aside)) < SAME


def _placement(placement: Placement) -> str:
    kind = f"a pair {placement.spacing:g} m apart" if placement.pair else "a single cabinet"
    return f"{kind} turned by {placement.toe_in:g}°" if placement.toe_in else kind


def _place(place: SeatPlace) -> str:
    aside = f" and {abs(place.aside):g} m to the {'right' if place.aside > 0 else 'left'}"
    return f"{place.distance:g} m ahead{aside if place.aside else ''}"


def _surface(surface: Surface) -> str:
    distance = f"{surface.position:g} m away, " if surface.position else ""
    if surface.absorber is None:
        return f"{distance}reflection {surface.reflection:g}"
    thickness = f"{1000 * surface.absorber.thickness:g} mm"
    return f"{distance}absorber of {thickness}, {surface.absorber.flow_resistivity:g} Pa s/m²"


def _unsure(labels: Sequence[str], answers: Sequence[xr.Dataset]) -> list[str]:
    """What a prediction is too short or too coarse for, design by design."""
    notes = []
    for label, each in zip(labels, answers, strict=True):
        unknown = {
            (str(surface), str(why))
            for surface in (each.surface.values if "surface" in each.dims else ())
            for why in each.dip_note.sel(surface=surface).values.ravel()
            if why
        }
        # Ear heights have reasons of their own that differ in a frequency only.
        for surface in dict.fromkeys(surface for surface, _ in sorted(unknown)):
            why = min(why for name, why in unknown if name == surface)
            notes.append(f"{label}: {surface}: {why}; these dips are not compared.")
        if not each.lobe_sampled.all():
            notes.append(
                f"{label}: the angles of the arcs lie too far apart for the lobes at "
                f"{listed([hertz(f) for f in each.crossover_frequency.values[~each.lobe_sampled]])}"
                "; their direction is not compared. Take a smaller [arcs] step."
            )
    return notes


def _beyond_the_piston(labels: Sequence[str], predictions: Sequence[xr.Dataset]) -> list[str]:
    """Where in the band drivers play above what a flat piston stands for."""
    low, high = BAND
    found: dict[str, list[str]] = {}
    for label, prediction in zip(labels, predictions, strict=True):
        past = past_pistons(prediction)
        if not doubtful_share(prediction, BAND, past) > WORTH_TELLING:
            continue
        bands = [
            f"{hertz(max(start, low))} to {hertz(min(stop, high))}"
            for start, stop in doubtful_bands(prediction, past)
            if start < high and stop > low
        ]
        found.setdefault(listed(bands), []).append(label)
    if not found:
        return []
    where = "; ".join(f"{bands} in {listed(who)}" for bands, who in found.items())
    return [
        "Drivers play above what a flat piston stands for (ka of 3, or the stated breakup) from "
        f"{where}. Real cones and domes differ there, off the axis above all."
    ]
