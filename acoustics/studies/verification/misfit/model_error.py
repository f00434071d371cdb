"""How far a prediction may be off through what the program leaves out or simplifies."""

from __future__ import annotations

import math

import numpy as np

from acoustics.case.design.model import Case
from acoustics.studies.verification.misfit.allowances import Allowances
from acoustics.studies.verification.readings.readings import ResponseReading


def matern(octaves: np.ndarray, length: float) -> np.ndarray:
    """Correlation of order 3/2 of values so many octaves (value,) apart from each other.

    Rasmussen & Williams, Gaussian Processes for Machine Learning (2006), eq. 4.17, from memory.
    """
    apart = math.sqrt(3) * np.abs(octaves[:, None] - octaves[None, :]) / length
    answer: np.ndarray = (1 + apart) * np.exp(-apart)
    return answer


def response_error(
    response: ResponseReading, case: Case, frequency: np.ndarray, allowances: Allowances
) -> np.ndarray:
    """dB by which the prediction may be off: more above the piston that holds longest."""
    speed = case.air.speed_of_sound
    limits = [
        math.inf if driver.measured is not None else driver.trusted_to(speed)
        for driver in (case.drivers[number] for number in response.playing)
    ]
    over = np.maximum(frequency / max(limits, default=math.inf), 1.0)
    above = np.minimum(np.log2(over), 1.0)
    error: np.ndarray = allowances.response + (allowances.beyond - allowances.response) * above
    return error
