"""The lowest that the amplifier sees of a passive crossover."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import xarray as xr


class Lowest(NamedTuple):
    """Where the magnitude of an impedance is lowest: ohm, Hz, and the phase there in degrees."""

    impedance: float
    frequency: float
    phase: float


def lowest_impedance(prediction: xr.Dataset) -> Lowest:
    """The lowest input impedance of a prediction with a passive crossover."""
    impedance = prediction.input_impedance.values
    at = int(np.abs(impedance).argmin())
    phase = float(np.degrees(np.angle(impedance[at])))
    return Lowest(float(abs(impedance[at])), float(prediction.frequency.values[at]), phase)
