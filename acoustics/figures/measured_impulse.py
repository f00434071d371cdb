"""An impulse response with its gate, and where reflections should come and are seen."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from scipy.signal import hilbert

from acoustics.figures.style import INK, SERIES, labels, note
from acoustics.measurement.gate import OPENING, Gate

BEFORE, AFTER = 1.0, 8.0
"""ms shown before the arrival and after the gate is closed"""

LOWEST = -70.0
"""dB of the envelope shown"""

EXPECTED, SEEN = SERIES[1], SERIES[3]


def draw_impulse(axes: Axes, one: xr.Dataset) -> Axes:
    """Draw the impulse response in percent of its peak, and the gate.

    Args:
        axes: where to draw.
        one: of a measurement, one driver.

    Returns:
        The axes.
    """
    time = _milliseconds(one)
    size = 100 / float(np.abs(one.impulse).max())
    axes.plot(time, size * one.impulse, color=INK, linewidth=1.2, label="impulse response")
    gate = Gate(
        start=float(one.gate_start),
        opened=float(one.gate_start) + OPENING,
        closing=float(one.gate_closing),
        stop=float(one.gate_stop),
        arrival=float(one.arrival),
        fade=str(one.attrs["fade"]),
    )
    weights = 100 * gate.weights(one.time.values)
    axes.plot(time, weights, color=SERIES[2], linewidth=1.6, ls="--", label="gate")
    stop = 1e3 * gate.length
    labels(axes, "", "% of its peak")
    axes.set_xlim(-BEFORE, stop + AFTER)
    axes.set_ylim(-115, 115)
    return axes


def draw_envelope(axes: Axes, one: xr.Dataset) -> Axes:
    """Draw the envelope in dB below its peak, the reflections by geometry, and the first one seen.

    Args:
        axes: where to draw.
        one: of a measurement, one driver.

    Returns:
        The axes.
    """
    envelope = np.abs(hilbert(one.impulse.values))
    level = 20 * np.log10(np.maximum(envelope / envelope.max(), 1e-9))
    axes.plot(_milliseconds(one), level, color=INK, linewidth=1.2)
    stop = 1e3 * float(one.gate_stop - one.arrival)
    axes.axvline(stop, color=SERIES[2], linewidth=1.6, linestyle="--")
    labels(axes, "Time after the arrival in ms", "Envelope in dB")
    axes.set_xlim(-BEFORE, stop + AFTER)
    axes.set_ylim(LOWEST, 5)
    height = -3.0
    ways = zip(one.surface.values.tolist(), one.expected_reflection.values, strict=True)
    for name, when in sorted(ways, key=lambda way: float(way[1])):
        late = 1e3 * float(when - one.arrival)
        if late > stop + AFTER:
            continue
        axes.axvline(late, color=EXPECTED, linewidth=1.2, linestyle=":")
        right = late > stop + 0.6 * AFTER
        note(
            axes,
            late + (-0.08 if right else 0.08),
            height,
            f"{name} by geometry",
            color=EXPECTED,
            va="top",
            ha="right" if right else "left",
        )
        height -= 9.0
    seen = 1e3 * float(one.seen_reflection - one.arrival)
    if np.isfinite(seen):
        place = int(np.argmin(np.abs(_milliseconds(one) - seen)))
        axes.plot([seen], [level[place]], "o", color=SEEN, markersize=7)
        note(axes, seen - 0.15, level[place] + 1, "seen", color=SEEN, va="bottom", ha="right")
    return axes


def _milliseconds(one: xr.Dataset) -> np.ndarray:
    answer: np.ndarray = 1e3 * (one.time.values - float(one.arrival))
    return answer
