"""A frequency axis for low frequencies."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator

from acoustics.figures.style import FREQUENCIES, frequency_axis, shown_frequencies


def bass_axis(axes: Axes, frequency: np.ndarray) -> None:
    """A logarithmic frequency axis for these frequencies (Hz), with a label at 10 Hz too."""
    frequency_axis(axes, *shown_frequencies(frequency))
    axes.xaxis.set_major_locator(FixedLocator((10, *FREQUENCIES)))
