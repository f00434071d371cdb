"""How sure a prediction is: its own error, where real drivers part from it, what is left out."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.model import MOST_KA, Case
from acoustics.listening import doubtful_bands
from acoustics.listening.trust import SHARE
from acoustics.report.phrases import hertz_span
from acoustics.studies.surfaces import surfaces_of
from acoustics.studies.uncertainty import answer_uncertainty
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
        solver_error(answers, prediction),
        *beyond_the_piston(case, prediction),
        left_out(case, prediction),
        *standing_on_the_floor(case),
        "Listening window, in-room curve: ANSI/CTA-2034-A at "
        f"{prediction.attrs['reference_distance']:g} m, rear wall from 19 angles.",
        *([f"The design's own note: {case.note}"] if case.note else []),
    ]


def solver_error(answers: xr.Dataset, prediction: xr.Dataset) -> str:
    """The field solver's estimate of its own error, and what it makes of the figures above."""
    if "error_estimate" in prediction.coords:
        level = f"levels ±{prediction.error_estimate.values.max():.2f} dB at most"
    else:
        level = "the field solver gave no estimate of its own error"
    doubts = answer_uncertainty(prediction, answers)
    parts = []
    for names, what, unit in (
        (("dip_depth", "deepest_dip_depth"), "a dip's depth", "dB"),
        (("least_beamwidth",), "a beam", "degree"),
        (("height_span", "aside_span"), "a range for the ears", "m"),
    ):
        values = [float(doubts[name].max()) for name in names if name in doubts]
        known = [value for value in values if np.isfinite(value)]
        parts += [f"±{amount(max(known), unit)} in {what}"] if known else []
    makes = f"; up to {listed(parts)}" if parts else ""
    return f"Calculation: {level}{makes}. Real drivers, parts and saw cuts differ by more."


def beyond_the_piston(case: Case, prediction: xr.Dataset) -> list[str]:
    """Where drivers still play although they no longer move as flat pistons."""
    bands = [hertz_span(band) for band in doubtful_bands(prediction) if band[0] < HEARD_TO]
    if not bands:
        return []
    limits = [
        f"{driver.name} from {hertz(driver.trusted_to(case.air.speed_of_sound))}"
        for driver in case.drivers
        if _plays_beyond(driver.name, prediction)
    ]
    stated = " or breakup as stated" if any(driver.breakup for driver in case.drivers) else ""
    return [
        f"Less sure at {listed(bands)}, off the axis above all: real cones and domes bend there "
        f"({listed(limits)}, where the piston's girth is {MOST_KA:g} wavelengths: ka = "
        f"{MOST_KA:g}{stated})."
    ]


def left_out(case: Case, prediction: xr.Dataset) -> str:
    """What a real loudspeaker and a real room add."""
    start = (
        "Left out: bass roll-off of the drivers (below their range there is less than shown), "
        "vibrating panels, rounded edges"
    )
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


def standing_on_the_floor(case: Case) -> list[str]:
    """That a cabinet on the floor and its mirror image make one larger body."""
    base = case.cabinet.base_height
    if case.floor is None or base >= CLOSE_TO_FLOOR:
        return []
    stands = "on the floor" if base == 0 else f"{1000 * base:g} mm above the floor"
    return [
        f"The cabinet stands {stands}: its mirror image does not yet reshape its field, so the "
        "bass is less sure."
    ]


def _plays_beyond(name: str, prediction: xr.Dataset) -> bool:
    """Whether a driver makes over a tenth of the power somewhere above its own limit, as heard."""
    power = prediction.strength**2
    own = power.sel(driver=name)
    frequency = prediction.frequency
    beyond = (frequency > float(prediction.trusted_to.sel(driver=name))) & (frequency < HEARD_TO)
    return bool((beyond & (own > SHARE * power.sum("driver"))).any())
