"""The phase between two drivers that were measured alone, through their crossover."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.phase_tracking import phase_axis, unbroken
from acoustics.figures.style import QUIET, frequency_axis, panel_title
from acoustics.figures.verification_curves import designed_between, ratio_of
from acoustics.figures.verification_reading import DESIGNED, FOUND, MEASURED

REACH = 20.0
"""dB: where one driver is quieter than the other by more, their phase does not matter"""


def draw_crossover(axes: Axes, found: xr.Dataset, number: int, lower: int, upper: int) -> Axes:
    """Draw the phase of the upper relative to the lower driver, measured and designed.

    Args:
        axes: where to draw.
        found: of a verification.
        number: of the crossover, along `crossover_reading`.
        lower: the lower driver's reading, along `told_reading`.
        upper: the upper driver's.
    """
    frequency = found.told_frequency.values
    designed = designed_between(found, lower, upper)
    there = np.isfinite(designed)
    there[there] = np.abs(20 * np.log10(np.abs(designed[there]))) <= REACH
    measured, best = (
        ratio_of(found[name].values[upper], found[name].values[lower])
        for name in ("told_measured", "told_found")
    )
    drawn = [(measured, MEASURED), (designed, DESIGNED)]
    if not np.array_equal(found.told_found.values, found.told_designed.values, equal_nan=True):
        drawn.append((best, FOUND))
    for ratio, how in drawn:
        phase = np.degrees(np.angle(ratio[there]))
        axes.plot(frequency[there], unbroken(phase), **how)
    phase_axis(axes)
    for name, words in (("", "measured"), ("designed_", "designed")):
        at = float(found[f"crossover_{name}crossing"][number])
        if np.isfinite(at):
            how = MEASURED if words == "measured" else DESIGNED
            axes.axvline(at, color=how["color"], linewidth=1.0, linestyle=(0, (1, 1)))
    if there.any():
        frequency_axis(axes, float(frequency[there][0]), float(frequency[there][-1]))
    axes.tick_params(color=QUIET)
    panel_title(axes, str(found.crossover_found.values[number]))
    return axes
