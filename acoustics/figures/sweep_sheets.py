"""The figure of a sweep: what moves which number."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from acoustics.figures.style import (
    INK,
    LABEL,
    NOTE,
    TITLE_PAD,
    WORDS,
    head,
    head_height,
    key,
    new_figure,
    panel_title,
)
from acoustics.figures.sweep_panels import draw_over_key, key_label, least_span
from acoustics.studies.sweeps.ranking import (
    Standing,
    key_names,
    standings,
    swept_dims,
)
from acoustics.studies.sweeps.space import SAMPLE

MOST_ROWS, MOST_COLUMNS = 5, 3
"""numbers and keys in one figure"""

FIRST = ("window_ripple", "relative_ripple", "seat_ripple", "least_beamwidth", "floor_dip")
"""Numbers that are shown before others."""

UNITS = {"dB": "dB", "degree": "degrees", "m": "m"}

LEAST_SPANS = {"dB": 1.0, "degree": 10.0, "m": 0.1}
"""of an axis: less looks like much where it is next to nothing"""

TELLS = 0.1
"""of that: numbers that vary by less are not drawn"""

SweepSheet = Callable[[xr.Dataset], Figure | None]


def numbers_sheet(found: xr.Dataset) -> Figure | None:
    """Numbers over every swept key; None where no point was predicted, or all are alike."""
    ranked = {one.quality.answer: one for one in standings(found) if _varies(one)}
    chosen = [*(name for name in FIRST if name in ranked), *ranked]
    rows = list(dict.fromkeys(chosen))[:MOST_ROWS]
    columns = _moving_keys(found)[:MOST_COLUMNS]
    if not rows or not columns:
        return None
    points = found.reason.size
    missing = int((found.reason != "").sum())
    more = f"{points} points" + (f", of which {missing} could not be predicted" if missing else "")
    headed = "Which key moves what?", found.attrs["title"], more
    figure, axes = new_figure(
        head_height(*headed) + 0.8 + 1.65 * len(rows),
        rows=len(rows),
        columns=len(columns),
        sharex="col",
        sharey="row",
    )
    for i, answer in enumerate(rows):
        one = ranked[answer]
        for j, name in enumerate(columns):
            _panel(axes[i, j], found, one, name)
            axes[i, j].tick_params(labelbottom=i == len(rows) - 1)
        end = {"higher": "higher is better", "lower": "lower is better"}.get(one.quality.better, "")
        _row_title(axes[i, 0], f"{one.quality.name}: {end}")
        least_span(axes[i, 0], LEAST_SPANS[one.quality.unit])
        axes[i, 0].set_ylabel(UNITS[one.quality.unit], fontsize=NOTE)
    for j, name in enumerate(columns):
        axes[-1, j].set_xlabel(key_label(name, found[name].units), fontsize=NOTE)
    handles, _ = axes[0, 0].get_legend_handles_labels()
    key(axes[0, 0], curves=handles)
    head(figure, *headed)
    return figure


SWEEP_SHEETS: dict[str, SweepSheet] = {"numbers": numbers_sheet}
"""File name → what draws it; None from a sheet means there is nothing to show."""


def _panel(axes: Axes, found: xr.Dataset, one: Standing, name: str) -> None:
    of_key = found[name]
    drawn = of_key.dims == (SAMPLE,)
    at_points = of_key.broadcast_like(found.axis_ripple).transpose(*swept_dims(found))
    values = at_points.values.ravel()
    best = np.empty((2, 0))
    if not drawn:
        known = np.isfinite(one.values)
        take = np.max if one.quality.better == "higher" else np.min
        each = [value for value in of_key.values if (known & (values == value)).any()]
        tops = [take(one.values[known & (values == value)]) for value in each]
        best = np.array([each, tops])
    draw_over_key(
        axes,
        values,
        one.values,
        best[:, np.argsort(best[0])],
        units=str(of_key.units),
        logarithmic=_logarithmic(of_key.values),
        drawn=drawn,
    )


def _row_title(axes: Axes, text: str) -> None:
    """What a row of panels shows: over all of them, so that it does not widen the first."""
    panel_title(axes, " ")
    axes.annotate(
        text,
        (0.0, 1.0),
        xytext=(0.0, TITLE_PAD),
        xycoords="axes fraction",
        textcoords="offset points",
        annotation_clip=False,
        fontsize=LABEL,
        color=INK,
        **WORDS,
    ).set_in_layout(False)


def _moving_keys(found: xr.Dataset) -> list[str]:
    return [name for name in key_names(found) if np.unique(found[name].values).size > 1]


def _varies(one: Standing) -> bool:
    known = one.values[np.isfinite(one.values)]
    return bool(np.ptp(known) > TELLS * LEAST_SPANS[one.quality.unit])


def _logarithmic(values: np.ndarray) -> bool:
    """Whether values lie in ratios rather than in steps, over a factor of 3 or more."""
    return bool(values.min() > 0 and values.max() / values.min() >= 3)
