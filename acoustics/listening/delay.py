"""How late the electrical signals and the drivers make the sound."""

from __future__ import annotations

import math

import numpy as np
import xarray as xr

from acoustics.listening.crossovers import strength


def group_delay(response: np.ndarray, frequency: np.ndarray) -> np.ndarray:
    """Group delay of transfer functions between neighbouring frequencies.

    Each step of the phase is unwrapped to the value nearest the one that the delay found a step
    below lets expect, so that a delay may turn the phase by many turns from one frequency to the
    next where they lie far apart, as long as they start close together.

    Args:
        response: complex, shape (…, frequency).
        frequency: Hz, ascending, shape (frequency,).

    Returns:
        Seconds, shape (…, frequency − 1).
    """
    turns = -np.angle(response[..., 1:] * np.conj(response[..., :-1])) / (2 * np.pi)
    step = np.diff(frequency)
    delay = np.zeros(turns.shape)
    # One after the other in plain numbers: arrays as short as these take longer.
    for row in np.ndindex(turns.shape[:-1]):
        before, found = 0.0, []
        for turn, wide in zip(turns[row].tolist(), step.tolist(), strict=True):
            if math.isfinite(turn) and math.isfinite(before):
                before = (turn + round(before * wide - turn)) / wide
            else:
                before = math.nan
            found.append(before)
        delay[row] = found
    return delay


def common_delay(prediction: xr.Dataset, frequency: np.ndarray) -> np.ndarray:
    """Group delay of filter × source, the mean over drivers weighted by their strength squared.

    Args:
        prediction: as `predict` makes it.
        frequency: where, Hz, shape (place,).

    Returns:
        Seconds, shape (place,).
    """
    drive = (prediction["filter"] * prediction.source).transpose("driver", "frequency").values
    return mean_delay(drive, strength(prediction).values, prediction.frequency.values, frequency)


def mean_delay(
    drive: np.ndarray, strength: np.ndarray, grid: np.ndarray, frequency: np.ndarray
) -> np.ndarray:
    """As `common_delay`, from filter × source and strength, each (driver, frequency).

    Args:
        drive: complex, any unit.
        strength: of each driver by itself, any unit.
        grid: the frequencies of both, Hz, ascending.
        frequency: where, Hz, shape (place,).
    """
    if grid.size < 2:
        return np.zeros(np.shape(frequency))
    power = strength[:, 1:] * strength[:, :-1]
    mean = (power * group_delay(drive, grid)).sum(axis=0) / power.sum(axis=0)
    answer: np.ndarray = np.interp(
        np.log(frequency), (np.log(grid[1:]) + np.log(grid[:-1])) / 2, mean
    )
    return answer
