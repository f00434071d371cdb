"""Where drivers play above what a flat piston stands for."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.crossovers import strength
from acoustics.listening.stamp import stamped

SHARE = 0.1
"""Of the drivers' power: with less from drivers past their limit, what they do is hardly heard."""


def doubtful(prediction: xr.Dataset) -> xr.DataArray:
    """Frequencies at which drivers above their `trusted_to` make over a tenth of the power.

    A driver's power is its strength squared, so drivers count as if each played alone.

    Args:
        prediction: as `predict` makes it.

    Returns:
        Boolean, dims (frequency).
    """
    power = strength(prediction) ** 2
    beyond = prediction.frequency > prediction.trusted_to
    answer = power.where(beyond, 0.0).sum("driver") > SHARE * power.sum("driver")
    return stamped(
        answer.reset_coords(drop=True),
        "",
        "drivers play where a flat piston no longer stands for them",
        "doubtful",
    )


def doubtful_bands(prediction: xr.Dataset) -> tuple[tuple[float, float], ...]:
    """Bands that are doubtful, for shading.

    Args:
        prediction: as `predict` makes it.

    Returns:
        Lowest and highest frequency of each, Hz, ascending. Between a frequency that is and its
        neighbour that is not, the band ends halfway in log frequency; else where the frequencies
        end.
    """
    grid = prediction.frequency.values
    edges = np.concatenate((grid[:1], np.sqrt(grid[1:] * grid[:-1]), grid[-1:]))
    changes = np.diff(np.concatenate(([0], doubtful(prediction).values.astype(int), [0])))
    starts, stops = edges[changes == 1], edges[changes == -1]
    return tuple((float(low), float(high)) for low, high in zip(starts, stops, strict=True))


def doubtful_share(prediction: xr.Dataset, band: tuple[float, float]) -> float:
    """Share of a band, in octaves, that is doubtful.

    Args:
        prediction: as `predict` makes it.
        band: lowest and highest frequency, Hz, cut to the frequencies there are.

    Returns:
        0 to 1; NaN where the band and the frequencies have no range in common.
    """
    grid = prediction.frequency.values
    low, high = np.log2(np.clip(band, grid[0], grid[-1]))
    if high <= low:
        return float("nan")
    shaded = [np.clip(np.log2(one), low, high) for one in doubtful_bands(prediction)]
    return float(sum(stop - start for start, stop in shaded) / (high - low))
