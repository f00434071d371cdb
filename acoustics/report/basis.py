"""How sure a prediction is: its own error, where real drivers part from it, what is left out."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.cabinet import RoundedBody
from acoustics.case.design.model import MOST_KA, Case
from acoustics.case.geometry.shape import body_of
from acoustics.conventions import MAIN_SEAT
from acoustics.listening import doubtful, doubtful_bands
from acoustics.listening.crossovers import strength
from acoustics.listening.error import least_beam_error, level_uncertainty, span_error
from acoustics.listening.listeners import by_listener
from acoustics.listening.surfaces import surfaces_of
from acoustics.listening.trust import SHARE, past_pistons
from acoustics.report.box_words import no_enclosure
from acoustics.report.measured_sources import as_measured
from acoustics.report.phrases import hertz_span
from acoustics.studies.box.systems import systems_of
from acoustics.studies.wording import amount, hertz, listed

CLOSE_TO_FLOOR = 0.1
"""m: a base this near the floor stands on it, for what is said about the mirrored body"""

ROOM_FREQUENCY = 100.0
"""Hz: below it the room's own resonances decide (common practice, no source)"""

HEARD_TO = 16_000.0
"""Hz: what is only true above this hardly matters to a listener (common practice, no source)"""


def basis(case: Case, answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """What the numbers rest on, one point each, the design's own note last."""
    return [
        solver_error(case, answers, prediction),
        *beyond_the_piston(case, prediction),
        *as_measured(case, prediction),
        left_out(case, prediction),
        *no_enclosure([each.name for each in systems_of(case) if each.enclosure is None]),
        *standing_on_the_floor(case),
        "Listening window, in-room curve: ANSI/CTA-2034-A at "
        f"{prediction.attrs['reference_distance']:g} m, rear wall from 19 angles.",
        *([f"The design's own note: {case.note}"] if case.note else []),
    ]


def solver_error(case: Case, answers: xr.Dataset, prediction: xr.Dataset) -> str:
    """The field solver's estimate of its own error, and what it makes of the figures above."""
    if "error_estimate" in prediction.coords:
        largest = prediction.error_estimate.values.max()
        level = f"levels ±{largest:.2f} dB at most{missed(case, prediction)}"
    else:
        level = "the field solver gave no estimate of its own error"
    low, high = (float(end) for end in answers.attrs["band"])
    beams = least_beam_error(prediction, (low, high), answers.attrs["smoothing"])
    main = prediction.sel(seat=[MAIN_SEAT])
    u = level_uncertainty(prediction, (low, high))
    spans = by_listener(main, lambda view: span_error(view, u))
    parts = []
    for doubts, what, unit in (
        ([beams], "a beam", "degree"),
        ([spans.height_span, spans.aside_span], "a range for the ears", "m"),
    ):
        values = np.array([float(doubt.max()) for doubt in doubts])
        if np.isfinite(values).any():
            parts.append(f"±{amount(float(np.nanmax(values)), unit)} in {what}")
    makes = f"; up to {listed(parts)}" if parts else ""
    return f"Calculation: {level}{makes}. Real drivers, parts and saw cuts differ by more."


def missed(case: Case, prediction: xr.Dataset) -> str:
    """Where and by how much the solver misses the accuracy asked of it, as a clause; else empty."""
    estimate, asked = prediction.error_estimate.values, prediction.attrs["accuracy"]
    over = estimate > asked
    if not over.any():
        return ""
    frequency = prediction.frequency.values
    worst = float(frequency[int(estimate.argmax())])
    where = hertz_span((float(frequency[over][0]), float(frequency[over][-1])))
    return (
        f", near {hertz(worst)} ({asked:g} dB was asked for and is not guaranteed at {where}; "
        f"{_what_helps(case, worst, asked)})"
    )


def _what_helps(case: Case, frequency: float, asked: float) -> str:
    """What gets nearer to the accuracy that is missed at a frequency (Hz)."""
    body = body_of(case.cabinet)
    if isinstance(body, RoundedBody):
        wavelength = case.air.speed_of_sound / frequency
        if float(body.error(np.array(wavelength), body.most_facets)) > asked:
            return "rounds as large as these are not solved more closely than that"
    return "set a smaller accuracy under [solver] to come closer"


def beyond_the_piston(case: Case, prediction: xr.Dataset) -> list[str]:
    """Where drivers still play although they no longer move as flat pistons."""
    grid = prediction.frequency.values
    past = past_pistons(prediction)
    unsure = doubtful(prediction, past).values & (grid < HEARD_TO)
    bands = [
        hertz_span((low, high))
        for low, high in doubtful_bands(prediction, past)
        if unsure[(grid >= low) & (grid <= high)].any()
    ]
    if not bands:
        return []
    limits = [
        f"{name} from {hertz(float(prediction.trusted_to.sel(driver=name)))}"
        for name in _beyond(prediction, unsure)
    ]
    stated = " or breakup as stated" if any(driver.breakup for driver in case.drivers) else ""
    return [
        f"Less sure at {listed(bands)}, off the axis above all: real cones and domes bend there "
        f"({listed(limits)}, where the piston's circumference is {MOST_KA:g} wavelengths: ka = "
        f"{MOST_KA:g}{stated})."
    ]


def left_out(case: Case, prediction: xr.Dataset) -> str:
    """What a real loudspeaker and a real room add."""
    other = ", the other cabinet standing in the way" if prediction.speaker.size > 1 else ""
    edges = "" if case.cabinet.rounds or case.cabinet.chamfers else ", edges not quite sharp"
    start = f"Left out: {_low_ends(case)}vibrating panels{edges}{other}"
    if not surfaces_of(prediction):
        return f"{start}, and any room: no surface reflects."
    shadow = (
        "the cabinet's shadow on what the wall behind it sends back, "
        if "front wall" in surfaces_of(prediction)
        else ""
    )
    porous = ", porous ones after Miki (1990)" if any(s.absorber for s in case.surfaces) else ""
    return (
        f"{start}; of the room all but one reflection per surface, {shadow}furniture, and "
        f"resonances, which decide below about {hertz(ROOM_FREQUENCY)}. Surfaces reflect by their "
        f"factor for plane waves{porous}."
    )


def _low_ends(case: Case) -> str:
    """Whose roll-off toward low frequencies is not in the prediction; empty if nobody's."""
    low = case.frequencies.lowest
    unknown = [driver.name for driver in case.drivers if not driver.low_end_known(low)]
    if not unknown:
        return ""
    whose = "the drivers" if len(unknown) == len(case.drivers) else listed(unknown)
    return (
        f"roll-off of {whose} toward low frequencies (below their range there is less than shown), "
    )


def standing_on_the_floor(case: Case) -> list[str]:
    """That a cabinet on the floor and its mirror image make one larger body."""
    base = case.cabinet.base_height
    if case.floor is None or base >= CLOSE_TO_FLOOR:
        return []
    if case.floor.mirrors_cabinet:
        return ["The cabinet and its mirror image in the floor are solved as one body."]
    stands = "on the floor" if base == 0 else f"{1000 * base:g} mm above the floor"
    return [
        f"The cabinet stands {stands}: its mirror image does not reshape its field here, so the "
        "bass is less sure (for a hard floor, mirrors_cabinet = true under [floor] includes it)."
    ]


def _beyond(prediction: xr.Dataset, unsure: np.ndarray) -> list[str]:
    """The drivers that make some frequencies unsure, by themselves or more than any other."""
    power = strength(prediction) ** 2
    above = power.where(past_pistons(prediction), 0.0)
    past = above.transpose("driver", "frequency").values[:, unsure]
    alone = past > SHARE * power.sum("driver").values[unsure]
    blamed = (alone | (past == past.max(axis=0))).any(axis=1)
    return [str(name) for name in prediction.driver.values[blamed]]
