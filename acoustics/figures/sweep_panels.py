"""A number of a sweep over one of its keys: every point, and the best at each value."""

from __future__ import annotations

import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullFormatter, NullLocator

from acoustics.figures.style import QUIET, SERIES, labels, short_hertz

SCALES = {
    "m": (1000.0, "mm"),
    "m2": (1e4, "cm²"),
    "m3": (1000.0, "l"),
    "s": (1000.0, "ms"),
    "degree": (1.0, "°"),
    "K": (1.0, "°C"),
    "kg": (1000.0, "g"),
    "H": (1000.0, "mH"),
    "F": (1e6, "µF"),
    "m/N": (1000.0, "mm/N"),
}
"""Unit of a key → what its values are multiplied by, and what they then are in."""

ZERO_CELSIUS = 273.15

MOST_TICKS = 6
"""values of a key that are labelled one by one"""

CLOSE = 0.16
"""of an axis: values nearer to each other are not labelled one by one"""

LABEL_COLUMNS = 18
"""letters of a key's name in a line"""

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
    known = np.isfinite(figures)
    missing = np.setdiff1d(x, x[known])
    if missing.size and not drawn:
        axes.scatter(
            missing,
            np.full(missing.shape, 0.06),
            transform=axes.get_xaxis_transform(),
            marker="x",
            s=4 * DOT,
            color=SERIES[1],
            linewidths=1.4,
            label="could not be predicted",
        )
    labels(axes)
    # What stands at the foot does not count for the axis by itself.
    axes.update_datalim(np.stack([x, np.full(x.shape, figures[known].mean())], axis=-1))
    axes.autoscale_view()
    axes.yaxis.set_major_locator(MaxNLocator(5))
    _key_axis(axes, np.unique(x), units, logarithmic=logarithmic, drawn=drawn)
    return axes


def least_span(axes: Axes, span: float) -> None:
    """Widen an axis of numbers above 0 to this span at least, about its middle."""
    low, high = axes.get_ylim()
    if high - low < span:
        low = max((low + high - span) / 2, 0.0)
        axes.set_ylim(low, low + span)


def shown(values: np.ndarray, units: str) -> np.ndarray:
    """Values of a key in the unit in which they are drawn."""
    scale, _ = SCALES.get(units, (1.0, units))
    scaled: np.ndarray = values * scale - (ZERO_CELSIUS if units == "K" else 0.0)
    return scaled


def key_label(name: str, units: str) -> str:
    """Name of a key and the unit in which its values are drawn."""
    _, written = SCALES.get(units, (1.0, units))
    words = name.replace("_", " ")
    text = words if written == "1" else f"{words} in {written}"
    return "\n".join(textwrap.wrap(text, LABEL_COLUMNS))


def _key_axis(axes: Axes, x: np.ndarray, units: str, *, logarithmic: bool, drawn: bool) -> None:
    if logarithmic:
        axes.set_xscale("log")
        axes.xaxis.set_minor_locator(NullLocator())
        axes.xaxis.set_minor_formatter(NullFormatter())
    write = short_hertz if units == "Hz" else lambda value: f"{value:.4g}"
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: write(value)))
    apart = np.diff(np.log(x) if logarithmic else x)
    crowded = x.size > MOST_TICKS or (apart < CLOSE * apart.sum()).any()
    if not (drawn or crowded):
        axes.xaxis.set_major_locator(FixedLocator(list(x)))
    elif logarithmic:
        ends = np.geomspace(x[0], x[-1], 4)
        axes.xaxis.set_major_locator(FixedLocator(list(ends)))
    else:
        axes.xaxis.set_major_locator(MaxNLocator(4))
