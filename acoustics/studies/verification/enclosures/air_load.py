"""What the air on a cabinet adds to impedances, at any frequency from few."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import xarray as xr
from scipy.interpolate import CubicSpline

from acoustics.case.design.model import Case
from acoustics.source.load import radiation_load

PER_OCTAVE = 2
"""frequencies at which it is solved; as a mass and a resistance over ω² it is smooth"""

Load = Callable[[np.ndarray], np.ndarray | None]


def air_load(
    case: Case, band: tuple[float, float], solve: Callable[..., xr.DataArray] | None = None
) -> Load:
    """As `radiation_load`, solved once.

    Args:
        case: the design.
        band: Hz, lowest and highest frequency.
        solve: in place of `solve_field`.

    Returns:
        Frequencies within the band (Hz) → the load at these, complex (radiator, radiator,
        frequency); None where no driver has parameters.
    """
    if all(driver.small_signal is None for driver in case.drivers):
        return lambda frequency: None
    count = max(4, round(PER_OCTAVE * math.log2(band[1] / band[0])) + 1)
    few = np.geomspace(band[0], band[1] * (1 + 1e-6), count)
    solved = radiation_load(case, few, solve=solve)
    resistance = CubicSpline(np.log(few), solved.real / few**2, axis=-1)
    mass = CubicSpline(np.log(few), solved.imag / few, axis=-1)

    def load(frequency: np.ndarray) -> np.ndarray:
        at = np.log(frequency)
        answer: np.ndarray = resistance(at) * frequency**2 + 1j * mass(at) * frequency
        return answer

    return load
