"""Which drivers play as they were measured, how far, and how sure that is."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.measured_model import MeasuredResponse
from acoustics.case.design.model import Case, Driver
from acoustics.report.phrases import hertz_span
from acoustics.source.inferred import null_depth
from acoustics.studies.wording import amount, hertz, listed

UNSURE = 1.0
"""dB: from which on it is told where a measured source is less sure"""

WORTH_TELLING = 0.05
"""dB: a level less uncertain than that is as good as known"""

DEEP = 10 ** (10 / 20)
"""Ratio of the field near by to that at a microphone from which on it stood in a null."""

FAR_APART = 3.0
"""dB: what measurement and model differ by is then told as something to look into"""


def as_measured(case: Case, prediction: xr.Dataset) -> list[str]:
    """One point for each driver that was measured on the cabinet.

    Args:
        case: the design.
        prediction: of that same design.
    """
    return [
        _driver(driver, driver.measured, prediction.sel(driver=driver.name))
        for driver in case.drivers
        if driver.measured is not None
    ]


def _driver(driver: Driver, heard: MeasuredResponse, own: xr.Dataset) -> str:
    frequency, inside = own.frequency.values, own.source_measured.values
    low, high = np.clip(heard.band, frequency[0], frequency[-1])
    worst = float(np.max(own.source_uncertainty.values[inside]))
    level = f", level ±{amount(worst, 'dB')} at most" if worst > WORTH_TELLING else ""
    parts = [
        f"{driver.name} plays as measured ({heard.source}, {hertz_span((low, high))}{level}); "
        "which way its sound goes is the piston's."
    ]
    parts += _beyond(driver, own, [f"below {hertz(low)}", f"above {hertz(high)}"])
    if heard.unknown_delay:
        parts.append(
            "From when its phase counts is not known: that its sound comes as the geometry, its "
            "acoustic_depth and a minimum phase have it is a guess."
        )
    return " ".join([*parts, *_unsure(own, frequency, inside)])


def _beyond(driver: Driver, own: xr.Dataset, ends: list[str]) -> list[str]:
    """Who says what it does past the ends of the table, and how well that joins."""
    inside = own.source_measured.values
    past = [words for words, at in zip(ends, (0, -1), strict=True) if not inside[at]]
    if not past:
        return []
    if own.source_extrapolated.any():
        return [f"It is carried on {listed(past)}, which is a guess."]
    model = "its parameters say" if driver.small_signal else "its sensitivity says"
    apart = own.source_mismatch.values[~np.isnan(own.source_mismatch.values)]
    told = listed([f"{'+' if each > 0 else ''}{amount(each, 'dB')}" for each in apart])
    far = bool((np.abs(apart) > FAR_APART).any())
    doubt = ", more than it should take (check voltage, unit and distance)" if far else ""
    return [f"What it does {listed(past)} {model}, moved by {told} to meet the measurement{doubt}."]


def _unsure(own: xr.Dataset, frequency: np.ndarray, inside: np.ndarray) -> list[str]:
    """Where the level of the source is doubtful, and whether the microphone stood in a null."""
    uncertain = np.where(inside, own.source_uncertainty.values, 0.0)
    if uncertain.max() <= UNSURE:
        return []
    worst = int(uncertain.argmax())
    depth = null_depth(frequency, own.microphone_field.values)[worst]
    why = ""
    if depth > DEEP:
        why = (
            f", where the microphone stood in a null of the field ({20 * np.log10(depth):.0f} dB "
            "below its neighbours): measure from another place too"
        )
    return [f"Least sure near {hertz(float(frequency[worst]))}{why}."]
