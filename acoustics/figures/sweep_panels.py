"""A number of a sweep over one of its keys: every point, and the best at each value."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullFormatter, NullLocator

from acoustics.figures.style import QUIET, SERIES, labels, short_hertz

SCALES = {"m": (1000.0, "mm"), "s": (1000.0, "ms"), "degree": (1.0, "°"), "K": (1.0, "°C")}
"""Unit of a key → what its values are multiplied by, and what they then are in."""

ZERO_CELSIUS = 273.15

MOST_TICKS = 6
"""values of a key that are labelled one by one"""

DOT, MARK = 10.0, 4.5
"""points², points: sizes"""


def draw_over_key(
    axes: Axes,
    values: np.ndarray,
    figures: np.ndarray,
    best: np.ndarray,
    *,
    units: str,
    logarithmic: bool,
    drawn: bool,
) -> Axes:
    """Draw a number over a key.

    Args:
        axes: where to draw.
        values: of the key at every point, in base units.
        figures: the number there, NaN where it is missing.
        best: distinct values of the key and the best number at each, shape (2, value); empty for
            keys that were drawn.
        units: of the key.
        logarithmic: whether its axis is.
        drawn: whether the key was drawn, so that its values have no order.
    """
    x = shown(values, units)
    alone = best.size and best.shape[1] == np.isfinite(figures).sum()
    if not alone:
        axes.scatter(x, figures, s=DOT, color=QUIET, alpha=0.6, linewidths=0, label="a point")
    if best.size:
        axes.plot(
            shown(best[0], units),
            best[1],
            marker="o",
            markersize=MARK,
            linewidth=1.9,
            color=SERIES[0],
            label="the points" if alone else "the best at each value",
        )
    missing = np.unique(x[~np.isfinite(figures)])
    if missing.size:
        axes.scatter(
            missing,
            np.full(missing.shape, 0.06),
            transform=axes.get_xaxis_transform(),
            marker="x",
            s=4 * DOT,
            color=SERIES[1],
            linewidths=1.4,
            label="a point is missing",
        )
    labels(axes)
    axes.yaxis.set_major_locator(MaxNLocator(5))
    _key_axis(axes, np.unique(x), units, logarithmic=logarithmic, drawn=drawn)
    return axes


def least_span(axes: Axes, span: float) -> None:
    """Widen an axis of numbers to this span at least, about its middle."""
    low, high = axes.get_ylim()
    if high - low < span:
        middle = (low + high) / 2
        axes.set_ylim(middle - span / 2, middle + span / 2)


def shown(values: np.ndarray, units: str) -> np.ndarray:
    """Values of a key in the unit in which they are drawn."""
    scale, _ = SCALES.get(units, (1.0, units))
    scaled: np.ndarray = values * scale - (ZERO_CELSIUS if units == "K" else 0.0)
    return scaled


def key_label(name: str, units: str) -> str:
    """Name of a key and the unit in which its values are drawn."""
    _, written = SCALES.get(units, (1.0, units))
    return name if written == "1" else f"{name} in {written}"


def _key_axis(axes: Axes, x: np.ndarray, units: str, *, logarithmic: bool, drawn: bool) -> None:
    if logarithmic:
        axes.set_xscale("log")
        axes.xaxis.set_minor_locator(NullLocator())
        axes.xaxis.set_minor_formatter(NullFormatter())
    write = short_hertz if units == "Hz" else lambda value: f"{value:.4g}"
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: write(value)))
    if drawn or x.size > MOST_TICKS:
        chosen = x[np.linspace(0, x.size - 1, 4).round().astype(int)]
        if not logarithmic:
            axes.xaxis.set_major_locator(MaxNLocator(4))
            return
    else:
        chosen = x
    axes.xaxis.set_major_locator(FixedLocator(list(chosen)))
