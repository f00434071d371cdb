"""Microphone calibration: what the microphone added to a curve is taken out again."""

from __future__ import annotations

import os
from dataclasses import replace
from typing import Literal

import numpy as np

from acoustics.curves import GUESS, Curve, CurveError, CurveForm, at_frequencies, read_curve

TableOf = Literal["response", "correction"]

ASSUMED = CurveForm(magnitude="dB", phase="deg")
"""Calibration tables are small numbers: 0.3 dB would else look like a linear ratio."""

MOST_SPAN = 60.0
"""dB between the levels of a microphone's table (common practice, no source)."""


def read_calibration(path: str | os.PathLike[str], form: CurveForm = GUESS) -> Curve:
    """Read a microphone's table of frequency, dB and, if there is one, phase in degrees.

    Bare numbers are decibels and degrees, whatever they look like; heads or `form` may say
    otherwise. Values come out as linear ratios. Raises CurveError, of levels that are no
    microphone's too.
    """
    curve = read_curve(path, "level", form, ASSUMED)
    size = np.abs(curve.values)
    if size.max() > 10 ** (MOST_SPAN / 20) * size.min():
        raise CurveError(
            f"has levels that lie more than {MOST_SPAN:g} dB apart, and no microphone's do; give "
            "its table of frequency and dB",
            curve.source,
        )
    return curve


def corrected(curve: Curve, calibration: Curve, table_of: TableOf = "response") -> Curve:
    """A curve without the microphone's part in it.

    Where the calibration table ends the curve stays as it is, and `guesses` says so: the end
    value held would look like knowledge. A table without phase leaves the phase alone, as does a
    curve without.

    Args:
        curve: what was measured.
        calibration: the microphone's table.
        table_of: "response" for a table that states how the microphone responds (most do), which
            is subtracted in dB; "correction" for one that states what to add.

    Raises:
        CurveError: table and curve have no frequencies in common.
    """
    values, outside = at_frequencies(calibration, curve.frequency, beyond=True)
    low, high = float(calibration.frequency[0]), float(calibration.frequency[-1])
    if outside.all():
        raise CurveError(
            f"the calibration goes from {low:g} to {high:g} Hz, {curve.source} from "
            f"{curve.frequency[0]:g} to {curve.frequency[-1]:g} Hz: they have no frequency in "
            "common; check the units of both",
            calibration.source,
        )
    if not (curve.has_phase and calibration.has_phase):
        values = abs(values).astype(complex)
    factor = np.where(outside, 1.0, 1 / values if table_of == "response" else values)
    guesses = curve.guesses
    if outside.any():
        guesses += (
            f"Outside {low:g} to {high:g} Hz the curve is not corrected: {calibration.source} "
            "ends there.",
        )
    return replace(curve, values=curve.values * factor, guesses=guesses)
