"""How flat the best is: the aim over each value of the layout, all others kept."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from acoustics.figures.front_face import MM
from acoustics.figures.layout_front import AXIS
from acoustics.figures.style import (
    GRID,
    INK,
    SERIES,
    head,
    labels,
    new_figure,
    panel_title,
)
from acoustics.studies.layout_search.figures import SENSE
from acoustics.studies.wording import amount

PANEL = 2.1
"""inches: of a row of panels"""

UNITS = {"m": (MM, "mm"), "Hz": (1.0, "Hz"), "s": (MM, "ms")}

TIMES = 10.0
"""within how many times what counts as good the aim is shown, at most"""


def layout_freedom(found: xr.Dataset) -> Figure | None:
    """The aim over each value that has room; None where none has any.

    Args:
        found: as `layout_dataset` makes it.
    """
    names = [str(name) for name in found.value.values if _has_room(found.sel(value=name))]
    if not names:
        return None
    rows = -(-len(names) // 2)
    columns = min(len(names), 2)
    figure, axes = new_figure(1.5 + PANEL * rows, rows=rows, columns=columns, sharey=True)
    for i, panel in enumerate(axes.flat):
        if i >= len(names):
            panel.set_axis_off()
            continue
        draw_freedom(panel, found, names[i])
        if i % columns:
            panel.set_ylabel("")
    _aim_axis(axes[0, 0], found)
    within = amount(_within(found), "dB", finer=1)
    head(
        figure,
        "How exactly must each value be kept?",
        str(found.attrs["title"]),
        f"grey: within {within} of the best; curves end where a rule does",
    )
    return figure


def draw_freedom(axes: Axes, found: xr.Dataset, name: str) -> Axes:
    """Draw the aim over one value, all others as in the best layout.

    Args:
        axes: where to draw; the value is in mm, Hz or ms.
        found: as `layout_dataset` makes it.
        name: of the value, "tweeter up".

    Returns:
        The axes.
    """
    one = found.sel(value=name)
    factor, unit = UNITS[str(one.unit.values)]
    values, aims = factor * one.line_value.values, one.line_aim.values
    axes.axvspan(factor * float(one.best_low), factor * float(one.best_high), color=GRID, zorder=0)
    axes.plot(values, aims, color=SERIES[0], linewidth=1.9)
    best = _best(found)
    axes.plot(
        factor * float(one.best_value), best, marker="*", markersize=13, color=SERIES[1], zorder=4
    )
    axes.axhline(best + _sense(found) * _within(found), color=INK, linewidth=0.8,
                 linestyle=":")  # fmt: skip
    labels(axes, "", f"{AXIS[found.attrs['aim_by']]}")
    axes.set_xlim(*_shown(values, aims, factor * float(one.best_value), _limit(found)))
    panel_title(axes, f"{name} in {unit}")
    return axes


def _shown(values: np.ndarray, aims: np.ndarray, best: float, limit: float) -> tuple[float, float]:
    """From where to where about the best a value is allowed and its aim on the axis, with air."""
    at = int(np.abs(values - best).argmin())
    off = np.flatnonzero(~(aims <= limit) if limit > aims[at] else ~(aims >= limit))
    before, after = off[off < at], off[off > at]
    first = before[-1] + 1 if before.size else 0
    last = after[0] - 1 if after.size else values.size - 1
    low, high = float(values[first]), float(values[last])
    free = max(0.06 * (high - low), 1e-3 * abs(high), 1e-9)
    return low - free, high + free


def _limit(found: xr.Dataset) -> float:
    """The worst aim that is shown: as bad as it gets, or some times beyond what is as good."""
    sense, best = _sense(found), _best(found)
    worst = float(np.nanmax(sense * found.line_aim.values)) - sense * best
    return best + sense * min(max(worst, _within(found)), TIMES * _within(found))


def _aim_axis(axes: Axes, found: xr.Dataset) -> None:
    """From a little beyond the best to the worst that is shown."""
    best, limit = _best(found), _limit(found)
    ends = best - 0.08 * (limit - best), limit + 0.05 * (limit - best)
    axes.set_ylim(min(ends), max(ends))


def _within(found: xr.Dataset) -> float:
    return float(found.attrs["within"])


def _has_room(one: xr.Dataset) -> bool:
    return float(np.ptp(one.line_value.values[np.isfinite(one.line_aim.values)])) > 0


def _best(found: xr.Dataset) -> float:
    return float(found.figure.sel(layout="best", quality=found.attrs["aim_by"]))


def _sense(found: xr.Dataset) -> int:
    return SENSE[found.attrs["aim_by"]]
