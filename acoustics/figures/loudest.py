"""How loud a design can play at the seat, and what ends it at every frequency."""

from __future__ import annotations

import textwrap
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    DASHES,
    HANDLE_COLUMNS,
    INK,
    KEY_COLUMNS,
    QUIET,
    SERIES,
    frequency_axis,
    key,
    labels,
    level_axis,
    shown_frequencies,
)
from acoustics.listening.loudest import AMPLIFIER
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
    for i, limit in enumerate(map(str, loud.limit.values)):
        here = loud.binding_limit.values == limit
        if not here.any():
            continue
        drivers = dict.fromkeys(map(str, loud.binding_driver.values[here]))
        words = limit_words(limit, listed([name for name in drivers if name], "or"))
        name = textwrap.fill(f"limit: {words}", KEY_COLUMNS - HANDLE_COLUMNS)
        # Each driver's own limits are in colour, the one that all have in common is not.
        how: dict[str, Any] = {
            "color": SERIES[i % len(SERIES)],
            "linestyle": DASHES[(i + 1) % len(DASHES)],
        }
        if limit == AMPLIFIER:
            how = {"color": INK, "linestyle": DASHES[0]}
        curve = np.where(_joined(here), highest, np.nan)
        axes.plot(frequency, curve, linewidth=2.4, label=name, **how)
    low_level = loud.seat_level.values
    axes.plot(frequency, low_level, color=QUIET, linewidth=1.4, linestyle=DASHES[1], label=LOW)
    labels(axes, "Frequency in Hz", "Level in dB re 20 µPa")
    low, high = shown_frequencies(frequency)
    frequency_axis(axes, low, high)
    levels = [np.nanmax(highest), low_level.max(), *([] if wanted is None else [wanted])]
    level_axis(axes, float(max(levels)))
    bottom, top = axes.get_ylim()
    guide: dict[str, Any] = {"color": SERIES[4], "linewidth": 1.4, "linestyle": (0, (2, 2))}
    start = "" if reach is None else f"from {hertz(reach)}"
    if wanted is not None:
        x, y = [low if reach is None else reach, high], [wanted, wanted]
        if reach is not None:
            x, y = [reach, *x], [bottom, *y]
        axes.plot(x, y, label=f"wanted: {amount(wanted, 'dB')} {start}".rstrip(), **guide)
    elif reach is not None:
        axes.plot([reach, reach], [bottom, top], label=f"wanted: {start}", **guide)
    key(axes)
    return axes


def _joined(here: np.ndarray) -> np.ndarray:
    """The same with the frequency after each stretch, so that stretches meet."""
    return here | np.concatenate(([False], here[:-1]))
