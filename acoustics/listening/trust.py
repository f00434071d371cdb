"""Where drivers play above what a flat piston stands for, or past what was measured of them."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.crossovers import strength
from acoustics.listening.stamp import stamped

SHARE = 0.1
"""Of the drivers' power: with less from drivers past their limit, what they do is hardly heard."""


def past_pistons(prediction: xr.Dataset) -> xr.DataArray:
    """Where drivers are above their `trusted_to`: boolean, dims (driver, frequency)."""
    beyond: xr.DataArray = prediction.frequency > prediction.trusted_to
    return beyond.transpose("driver", "frequency").reset_coords(drop=True)


def past_measurements(prediction: xr.Dataset) -> xr.DataArray:
    """Where sources are carried on past what was measured: boolean, dims (driver, frequency)."""
    if "source_extrapolated" not in prediction:
        return xr.zeros_like(past_pistons(prediction))
    return prediction.source_extrapolated.reset_coords(drop=True)


def doubtful(prediction: xr.Dataset, past: xr.DataArray | None = None) -> xr.DataArray:
    """Frequencies at which drivers that are past something make over a tenth of the power.

    A driver's power is its strength squared, so drivers count as if each played alone.

    Args:
        prediction: as `predict` makes it.
        past: where drivers are past what can be trusted, dims (driver, frequency); if not given,
            their pistons or what was measured of them.

    Returns:
        Boolean, dims (frequency).
    """
    if past is None:
        past = past_pistons(prediction) | past_measurements(prediction)
    power = strength(prediction).reset_coords(drop=True) ** 2
    answer = power.where(past, 0.0).sum("driver") > SHARE * power.sum("driver")
    return stamped(
        answer,
        "",
        "drivers play where a flat piston no longer stands for them, or past what was measured",
        "doubtful",
    )


def doubtful_bands(
    prediction: xr.Dataset, past: xr.DataArray | None = None
) -> tuple[tuple[float, float], ...]:
    """Bands that are doubtful, for shading.

    Args:
        prediction: as `predict` makes it.
        past: as for `doubtful`.

    Returns:
        Lowest and highest frequency of each, Hz, ascending. Between a frequency that is and its
        neighbour that is not, the band ends halfway in log frequency; else where the frequencies
        end.
    """
    grid = prediction.frequency.values
    edges = np.concatenate((grid[:1], np.sqrt(grid[1:] * grid[:-1]), grid[-1:]))
    changes = np.diff(np.concatenate(([0], doubtful(prediction, past).values.astype(int), [0])))
    starts, stops = edges[changes == 1], edges[changes == -1]
    return tuple((float(low), float(high)) for low, high in zip(starts, stops, strict=True))


def doubtful_share(
    prediction: xr.Dataset, band: tuple[float, float], past: xr.DataArray | None = None
) -> float:
    """Share of a band, in octaves, that is doubtful.

    Args:
        prediction: as `predict` makes it.
        band: lowest and highest frequency, Hz, cut to the frequencies there are.
        past: as for `doubtful`.

    Returns:
        0 to 1; NaN where the band and the frequencies have no range in common.
    """
    grid = prediction.frequency.values
    low, high = np.log2(np.clip(band, grid[0], grid[-1]))
    if high <= low:
        return float("nan")
    shaded = [np.clip(np.log2(one), low, high) for one in doubtful_bands(prediction, past)]
    return float(sum(stop - start for start, stop in shaded) / (high - low))
