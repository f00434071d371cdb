"""How loud a design can play at the seat, and what ends it at every frequency."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    DASHES,
    INK,
    QUIET,
    frequency_axis,
    key,
    labels,
    level_axis,
    note,
    series,
    shown_frequencies,
)
from acoustics.studies.wording import amount, hertz, limit_words, listed

LOW = "level for 2.83 V"


def draw_loudest(
    axes: Axes, loud: xr.Dataset, wanted: float | None = None, reach: float | None = None
) -> Axes:
    """Draw the highest level, in the colour of what ends it, over the level for 2.83 V.

    Args:
        axes: where to draw.
        loud: as `listening.loudest` gives it.
        wanted: level that the brief asks for, dB re 20 µPa.
        reach: down to which frequency it does, Hz.

    Returns:
        The axes.
    """
    frequency = loud.frequency.values
    highest = np.where(np.isfinite(loud.highest_input), loud.seat_highest, np.nan)
    names = loud.binding_limit.values
    for i, limit in enumerate(map(str, loud.limit.values)):
        here = names == limit
        if not here.any():
            continue
        drivers = dict.fromkeys(map(str, loud.binding_driver.values[here]))
        how = series(i)
        axes.plot(
            frequency,
            np.where(_joined(here), highest, np.nan),
            linewidth=2.4,
            label=limit_words(limit, listed([name for name in drivers if name])),
            **how,
        )
    axes.plot(
        frequency,
        loud.seat_level.values,
        color=QUIET,
        linewidth=1.4,
        linestyle=DASHES[1],
        label=LOW,
    )
    labels(axes, "Frequency in Hz", "Level in dB re 20 µPa")
    low, high = shown_frequencies(frequency)
    frequency_axis(axes, low, high)
    top = max(float(np.nanmax(highest)), float(loud.seat_level.max()), wanted or -np.inf)
    level_axis(axes, top)
    bottom = axes.get_ylim()[0]
    if wanted is not None:
        axes.hlines(wanted, reach or low, high, color=INK, linewidth=1.1, linestyle=DASHES[4])
        note(axes, high, wanted + 0.6, f"wanted {amount(wanted, 'dB')}", ha="right", va="bottom")
    if reach is not None:
        axes.axvline(reach, color=INK, linewidth=1.1, linestyle=DASHES[4], zorder=1)
        note(axes, reach * 1.04, bottom + 1, f"reach wanted {hertz(reach)}", va="bottom")
    key(axes, title="what ends it")
    return axes


def _joined(here: np.ndarray) -> np.ndarray:
    """The same with the frequency after each stretch, so that stretches meet."""
    return here | np.concatenate(([False], here[:-1]))
