"""How the drivers hand over: levels and reversed sum above, phase below."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.figure import Figure

from acoustics.figures.phase_tracking import TITLE, draw_phase_tracking
from acoustics.figures.reverse_null import draw_reverse_null
from acoustics.figures.shading import meaning, shade
from acoustics.figures.style import (
    frequency_axis,
    head,
    key,
    named_curves,
    new_figure,
    panel_title,
    shown_frequencies,
)
from acoustics.figures.whose import whose
from acoustics.listening import doubtful_bands, level, phase_tracking, reverse_null
from acoustics.listening.sides import AXIS

AROUND = 1.0
"""octaves shown beyond the outermost overlaps"""


def hand_over_sheet(prediction: xr.Dataset) -> Figure | None:
    """Levels, reversed sum and phase round every crossover; None where there is none."""
    tracking = phase_tracking(prediction)
    if tracking.crossover.size == 0:
        return None
    figure, axes = new_figure(7.4, rows=2, sharex=True, height_ratios=(1.5, 1.0))
    ends = around(tracking)
    for panel in axes[:, 0]:
        frequency_axis(panel, *ends)
        shade(panel, doubtful_bands(prediction))
    null = reverse_null(prediction).sel(place=AXIS)
    on_axis = prediction.sel(plane="horizontal", angle=0.0)
    here = tracking.sel(place=AXIS)
    draw_reverse_null(
        axes[0, 0],
        level(on_axis.arc_total),
        level(on_axis.arc_pressure).transpose("driver", "frequency"),
        level(null.reversed_total),
        null,
        list(zip(here.overlap_low.values, here.overlap_high.values, strict=True)),
    )
    draw_phase_tracking(axes[1, 0], tracking)
    panel_title(axes[0, 0], "levels on the reference axis")
    panel_title(axes[1, 0], TITLE)
    key(axes[0, 0], curves=[curve for panel in axes[:, 0] for curve in named_curves(panel)])
    shaded = meaning(doubtful_bands(prediction), prediction)
    question = "Are the drivers in step where they hand over?"
    head(figure, question, f"{prediction.attrs['title']}{whose(prediction)}", shaded)
    return figure


def around(*trackings: xr.Dataset) -> tuple[float, float]:
    """Ends of a frequency axis that shows every overlap at every place, Hz."""
    frequency = trackings[0].frequency.values
    first, last = shown_frequencies(frequency)
    lows, highs = (
        np.concatenate([each[f"overlap_{end}"].values.ravel() for each in trackings])
        for end in ("low", "high")
    )
    if not np.isfinite(lows).any():
        return first, last
    low, high = np.nanmin(lows) * 2**-AROUND, np.nanmax(highs) * 2**AROUND
    return max(first, float(low)), min(last, float(high))
