"""Whether a curve looks read off a data sheet rather than measured."""

from __future__ import annotations

import math

import numpy as np

from acoustics.curves import Curve
from acoustics.measurement.findings import Finding

SMOOTHED_OVER = 1 / 6
"""Octaves over which a curve is smoothed to see what is left."""

WINDOW = 9
"""Places in that width, both ends included."""

TOO_SMOOTH = 0.06
"""dB rms: what is left of a measured driver in a measured cabinet is more (common practice)."""

FEW = 16
"""Points per octave, below which a curve was not exported from a measurement (common practice)."""

SHORTEST = 2.0
"""Octaves."""

STEPS = (1.0, 0.5, 0.25)
"""dB, to which levels read by eye are rounded."""


def fine_structure(frequency: np.ndarray, response: np.ndarray) -> float:
    """What smoothing over a sixth of an octave takes away of a level, dB rms.

    The mean over the window is taken off twice: once it leaves the ripple and a little of every
    bend, of which the second time leaves nothing to speak of.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        response: complex or magnitude, shape (frequency,).
    """
    octaves = np.log2(frequency)
    even = np.arange(octaves[0], octaves[-1], SMOOTHED_OVER / (WINDOW - 1))
    level = np.interp(even, octaves, 20 * np.log10(np.abs(response)))
    for _ in range(2):
        if level.size > WINDOW:
            mean = np.convolve(level, np.full(WINDOW, 1 / WINDOW), mode="valid")
            level = level[WINDOW // 2 : -(WINDOW // 2)] - mean
    return float(np.sqrt(np.mean(level**2)))


def like_a_data_sheet(curve: Curve) -> Finding | None:
    """Whether a level is too smooth or its points are too few or round to be a measurement.

    Levels in steps of a quarter of a decibel or more are sign enough. Few points are with missing
    phase, and so is smoothness; alone neither is: a gate smooths too.

    Args:
        curve: of a level.
    """
    frequency = curve.frequency
    octaves = math.log2(frequency[-1] / frequency[0])
    if octaves < SHORTEST:
        return None
    per_octave = (frequency.size - 1) / octaves
    signs = []
    step = _step(20 * np.log10(np.abs(curve.values)))
    if step is not None:
        signs.append(f"its levels come in steps of {step:g} dB")
    if not curve.has_phase and per_octave < FEW:
        signs.append(f"it has no phase and {per_octave:.0f} points per octave")
    elif not curve.has_phase and fine_structure(frequency, curve.values) < TOO_SMOOTH:
        signs.append("it has no phase and no ripple narrower than a sixth of an octave")
    if not signs:
        return None
    return Finding(
        what=(
            f"{curve.source} looks smoothed or read off a data sheet rather than measured: "
            f"{' and '.join(signs)}"
        ),
        where="",
        certain=False,
        advice=(
            "A data sheet's baffle is not this cabinet, and its phase is not there: measure the "
            "driver in the cabinet, without smoothing."
        ),
    )


def _step(level: np.ndarray) -> float | None:
    """The step to which all levels are rounded, dB."""
    for step in STEPS:
        if np.all(np.abs(level / step - np.round(level / step)) < 1e-4):
            return step
    return None
