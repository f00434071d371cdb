"""One reading over the design's: measured, designed with its band, and the likeliest cause."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from acoustics.figures.phase_tracking import unbroken
from acoustics.figures.style import (
    DASHES,
    INK,
    QUIET,
    SERIES,
    frequency_axis,
    labels,
    panel_title,
    shown_frequencies,
)
from acoustics.figures.verification_curves import ReadingCurves

MEASURED: dict[str, Any] = {"color": INK, "linewidth": 2.0, "label": "measured"}
DESIGNED: dict[str, Any] = {"color": SERIES[0], "linewidth": 1.3, "label": "as designed"}
FOUND: dict[str, Any] = {
    "color": SERIES[1],
    "linewidth": 1.8,
    "linestyle": DASHES[1],
    "label": "with the likeliest cause",
}
BAND: dict[str, Any] = {"color": SERIES[0], "alpha": 0.22, "linewidth": 0.0}
BAND_NAME = "95 % of healthy builds"


def draw_reading(axes: Axes, curves: ReadingCurves, *, title: str, y: str) -> Axes:
    """Draw what was measured over the design and its band, and what the likeliest cause would do.

    Args:
        axes: where to draw; its vertical axis is left to the caller.
        curves: of the reading.
        title: what the panel shows.
        y: label of the vertical axis, with its unit.
    """
    frequency = curves.frequency
    axes.fill_between(frequency, curves.low, curves.high, label=BAND_NAME, **BAND)
    axes.plot(frequency, curves.measured, **MEASURED)
    axes.plot(frequency, curves.designed, **DESIGNED)
    if curves.found is not None:
        axes.plot(frequency, curves.found, **FOUND)
    labels(axes, "Frequency in Hz", y)
    frequency_axis(axes, *shown_frequencies(frequency))
    panel_title(axes, title)
    return axes


def draw_difference(axes: Axes, curves: ReadingCurves, *, y: str, least: float) -> Axes:
    """Draw measured less designed in the band of healthy builds, and what the cause explains.

    Args:
        axes: where to draw.
        curves: of the reading.
        y: label of the vertical axis, with its unit.
        least: how far the vertical axis reaches at least.
    """
    return _against(
        axes,
        curves.frequency,
        (curves.difference, curves.least, curves.most, curves.explained),
        title="measured less designed",
        y=y,
        least=least,
    )


def draw_phase_difference(axes: Axes, curves: ReadingCurves) -> Axes:
    """The same of the phase, within ±180°; nothing where none was measured."""
    if curves.phase is None:
        return axes
    explained, half = curves.phase_explained, np.minimum(curves.phase_half, 180.0)
    return _against(
        axes,
        curves.frequency,
        (
            unbroken(curves.phase),
            -half,
            half,
            None if explained is None else unbroken(explained),
        ),
        title="phase, measured less designed",
        y="Degrees",
        least=LEAST_PHASE,
    )


LEAST_PHASE = 20.0
"""degrees: how far an axis of phases reaches at least"""

ROOM = 1.08


def _against(
    axes: Axes,
    frequency: np.ndarray,
    drawn: tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray | None],
    *,
    title: str,
    y: str,
    least: float,
) -> Axes:
    difference, low_end, high_end, explained = drawn
    axes.fill_between(frequency, low_end, high_end, **BAND)
    axes.axhline(0.0, color=QUIET, linewidth=0.8, zorder=1)
    axes.plot(frequency, difference, **MEASURED)
    reaching = [difference]
    if explained is not None:
        axes.plot(frequency, explained, **FOUND)
        reaching.append(explained)
    low = min(-least, ROOM * min(float(np.nanmin(each)) for each in reaching))
    high = max(least, ROOM * max(float(np.nanmax(each)) for each in reaching))
    axes.set_ylim(low, high)
    axes.yaxis.set_major_locator(MaxNLocator(5))
    labels(axes, "Frequency in Hz", y)
    frequency_axis(axes, *shown_frequencies(frequency))
    panel_title(axes, title)
    return axes
