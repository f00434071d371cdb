"""An aim over the builds: how its figure spreads, the limit, and the design."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from acoustics.figures.style import INK, PAPER, SERIES, labels, note, panel_title

BINS, THINNEST = 16, 0.0125
"""bars over the span of the builds; the least width of one, as part of the axis"""

FAR = 4.0
"""spans of the builds: a limit farther away is told, not drawn"""

HEADROOM = 1.3
"""of the longest bar"""

LEAST_SPAN = {"dB": 0.2, "dB/octave": 0.1, "degree": 2.0, "m": 0.05}
"""of the histogram: less looks like much where it is next to nothing"""

MARGIN = 0.06
"""part of the span left free on both sides"""


class Meaning(NamedTuple):
    """How builds are drawn."""

    colour: str
    hatch: str


MEANINGS = (Meaning(SERIES[2], ""), Meaning(SERIES[1], "////"))
"""builds that meet the aim, and those that miss it"""

LIMIT: dict[str, Any] = {"color": SERIES[3], "linewidth": 2.0, "linestyle": (0, (4, 2))}
OWN: dict[str, Any] = {"color": INK, "linewidth": 1.8}
"""how the limit, and the design's own figure, are drawn"""


def draw_aim(
    axes: Axes,
    values: np.ndarray,
    met: np.ndarray,
    design: float,
    limits: tuple[float, float],
    *,
    title: str,
    unit: str,
    units: str,
) -> Axes:
    """Draw how many builds have which figure, those that miss the aim in another colour.

    Args:
        axes: where to draw.
        values: figures of builds, finite ones only.
        met: which of them meet the aim.
        design: that of the design; NaN if not known.
        limits: at least and at most, NaN where there is none.
        title: what the panel shows, in lines.
        unit: of the figure, as `conventions` has it.
        units: the same in words.
    """
    least = LEAST_SPAN.get(unit, 0.1)
    near = [limit for limit in limits if _is_near(limit, values, least)]
    ends = _ends(np.array([*values, design, *near]), least)
    edges = _edges(values, limits, THINNEST * (ends[1] - ends[0]))
    below = np.zeros(edges.size - 1)
    for meaning, group in zip(MEANINGS, (values[met], values[~met]), strict=True):
        counts, _ = np.histogram(group, edges)
        axes.bar(
            edges[:-1], counts, np.diff(edges), below, align="edge", linewidth=0.4,
            color=meaning.colour, hatch=meaning.hatch, edgecolor=PAPER,
        )  # fmt: skip
        below = below + counts
    for limit in near:
        axes.axvline(limit, **LIMIT)
    for limit in limits:
        if np.isfinite(limit) and limit not in near:
            _tell_far(axes, limit, above=limit > values.max())
    if np.isfinite(design):
        axes.axvline(design, **OWN)
    labels(axes, units, "Builds")
    axes.grid(False, axis="x")
    axes.set_xlim(*ends)
    axes.set_ylim(0, HEADROOM * below.max())
    axes.xaxis.set_major_locator(MaxNLocator(4))
    axes.yaxis.set_major_locator(MaxNLocator(3, integer=True))
    panel_title(axes, title)
    return axes


def _is_near(limit: float, values: np.ndarray, least: float) -> bool:
    """Whether a limit may stand on an axis on which the builds can still be told apart."""
    span = max(float(np.ptp(values)), least)
    return bool(values.min() - FAR * span <= limit <= values.max() + FAR * span)


def _tell_far(axes: Axes, limit: float, *, above: bool) -> None:
    """Tell a limit that lies far beyond the axis."""
    text, side = (f"limit {limit:.4g} →", "right") if above else (f"← limit {limit:.4g}", "left")
    x = 0.98 if above else 0.02
    note(axes, x, 0.95, text, transform=axes.transAxes, ha=side, va="top", color=LIMIT["color"])


def _ends(seen: np.ndarray, least: float) -> tuple[float, float]:
    """Ends of the axis: it holds everything that is seen on it, at least so much."""
    low, high = float(np.nanmin(seen)), float(np.nanmax(seen))
    half = max(high - low, least) * (0.5 + MARGIN)
    return (low + high) / 2 - half, (low + high) / 2 + half


def _edges(values: np.ndarray, limits: tuple[float, float], thinnest: float) -> np.ndarray:
    """Edges of the bars; a limit lies on one, so that no bar holds builds on both sides of it."""
    low, high = float(values.min()), float(values.max())
    step = max((high - low) / BINS, thinnest)
    start = next((limit for limit in limits if np.isfinite(limit)), low)
    first, last = np.floor((low - start) / step), np.floor((high - start) / step) + 1
    edges: np.ndarray = start + step * np.arange(first, last + 1)
    return edges
