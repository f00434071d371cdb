"""One aim against the other: all layouts judged, the front, and what its layouts look like."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patheffects import withStroke

from acoustics.figures.layout_places import draw_places, with_margin
from acoustics.figures.style import (
    INK,
    PAPER,
    QUIET,
    SERIES,
    divided,
    head,
    key,
    labels,
    named_curves,
    new_figure,
    panel_title,
)
from acoustics.studies.layout_search.figures import SENSE
from acoustics.studies.wording import number

AXIS = {
    "ripple off axis": "Ripple off axis in dB",
    "common ripple": "Common ripple in dB",
    "ripple on axis": "Ripple on axis in dB",
    "sides": "Left against right in dB",
    "seat level": "Level at the seat in dB",
    "floor dip": "Floor dip in dB",
}

BEYOND = 0.6
"""of what the front spans: shown round it"""

LEAST = 0.1
"""dB: that an axis spans at least"""

SMALL = 2.3
"""inches: height of the small layouts"""

MARKS: dict[str, dict[str, Any]] = {
    "start": {"marker": "P", "markersize": 10, "color": INK},
    "best": {"marker": "*", "markersize": 15, "color": SERIES[1]},
    "knee": {"marker": "D", "markersize": 8, "color": SERIES[2]},
    "other end": {"marker": "s", "markersize": 8, "color": SERIES[3]},
}

HALO = [withStroke(linewidth=3.0, foreground=PAPER)]


def layout_front(found: xr.Dataset, before: xr.Dataset, after: xr.Dataset) -> Figure | None:
    """The trade-off between the two aims; None where there is but one aim.

    Args:
        found: as `layout_dataset` makes it.
        before: prediction of the design as it is, for the small drawings.
        after: that of the new design.
    """
    if not found.attrs["against"]:
        return None
    shown, treated = _shown(found), found.treatment
    best = str(treated.sel(layout="best").values)
    figure, axes = new_figure(
        4.9 + SMALL, rows=2, columns=2, gridspec_kw={"height_ratios": (4.0, SMALL)}
    )
    (panel,) = divided(axes[0], 1)
    draw_front(panel, found, shown)
    judged = Line2D(
        [], [], linestyle="none", marker=".", markersize=6, color=QUIET, label="layouts judged"
    )
    key(panel, curves=[judged, *named_curves(panel)[1:]])
    for small, (name, layout) in zip(divided(axes[1], len(shown), 3), shown.items(), strict=True):
        edges = after if str(treated.sel(layout=layout).values) == best else before
        with_margin(small, draw_places(small, edges, found, layout, _face(found, before)), 0.02)
        small.set_anchor("W")
        small.set_axis_off()
        panel_title(small, _small_title(found, name, layout))
    aim, against = found.attrs["aim_by"], found.attrs["against"]
    question = "What does the layout cost in the other aim?"
    more = "less of both is better" if SENSE[aim] > 0 and SENSE[against] > 0 else ""
    head(figure, question, str(found.attrs["title"]), more)
    return figure


def draw_front(axes: Axes, found: xr.Dataset, shown: dict[str, str]) -> Axes:
    """Draw all layouts judged faintly, the front as a line, and some layouts as marks.

    Args:
        axes: where to draw, dB.
        found: as `layout_dataset` makes it.
        shown: name of a mark → its layout.
    """
    aims = [found.attrs["aim_by"], found.attrs["against"]]
    x, y = (found.tried_aim.sel(aim=aim).values for aim in aims)
    front = found.figure.sel(quality=aims).isel(
        layout=[str(name).startswith("front") for name in found.layout.values]
    )
    points = np.concatenate([front.values, found.figure.sel(layout=["start"], quality=aims).values])
    limits = []
    for column in points.T:
        low, high = float(column.min()), float(column.max())
        free = max(0.15 * (high - low), LEAST / 2)
        limits.append((low - free, high + free))
    inside = np.ones(x.size, dtype=bool)
    for values, (low, high) in zip((x, y), limits, strict=True):
        inside &= (values > low - (high - low)) & (values < high + (high - low))
    axes.plot(
        x[inside], y[inside], linestyle="none", marker=".", markersize=2.5, color=QUIET,
        alpha=0.25, markeredgewidth=0, label="layouts judged", zorder=1, rasterized=True,
    )  # fmt: skip
    axes.plot(
        *front.values.T, color=INK, linewidth=1.4, marker="o", markersize=4.5, zorder=3,
        label="none beats these in both",
    )  # fmt: skip
    for name, layout in shown.items():
        at = found.figure.sel(layout=layout, quality=aims).values
        axes.plot(
            *at, linestyle="none", label="as it is" if name == "start" else name, zorder=4,
            path_effects=HALO, **MARKS[name],
        )  # fmt: skip
    labels(axes, AXIS[aims[0]], AXIS[aims[1]])
    axes.set_xlim(*limits[0])
    axes.set_ylim(*limits[1])
    return axes


def _shown(found: xr.Dataset) -> dict[str, str]:
    """Name of a mark → its layout, of layouts that differ."""
    fronts = [str(name) for name in found.layout.values if str(name).startswith("front")]
    knee = int(found.attrs["knee"])
    wanted = {"start": "start", "best": "best"}
    if fronts:
        wanted |= {"knee": fronts[knee], "other end": fronts[-1]}
    shown: dict[str, str] = {}
    for name, layout in wanted.items():
        if not any(_alike(found, layout, other) for other in shown.values()):
            shown[name] = layout
    return shown


def _alike(found: xr.Dataset, one: str, other: str) -> bool:
    """Whether two layouts are the same but for their names."""
    a, b = (found.sel(layout=name) for name in (one, other))
    places = [float(np.abs(a[way] - b[way]).max()) < 1e-6 for way in ("right", "up")]
    tuned = [bool((a[way] == b[way]).all()) for way in ("corner", "delay") if way in found]
    return all([*places, *tuned]) and str(a.treatment.values) == str(b.treatment.values)


def _small_title(found: xr.Dataset, name: str, layout: str) -> str:
    aims = [found.attrs["aim_by"], found.attrs["against"]]
    values = found.figure.sel(layout=layout, quality=aims).values
    words = "as it is" if name == "start" else name
    return f"{words}\n{' / '.join(number(float(each), 'dB', finer=1) for each in values)}"


def _face(found: xr.Dataset, prediction: xr.Dataset) -> str:
    """The face of most drivers that move."""
    on = [str(face) for face in prediction.driver_face.sel(driver=found.driver).values]
    return max(dict.fromkeys(on), key=on.count)
