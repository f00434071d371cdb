"""The acoustic crossovers of a prediction."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.crossover.crossings import crossings


def strength(prediction: xr.Dataset) -> xr.DataArray:
    """How strong each driver is by itself, Pa m, dims (driver, frequency)."""
    return prediction.strength.transpose("driver", "frequency")


def crossovers(prediction: xr.Dataset) -> xr.Dataset:
    """Where one driver hands over to the next, by their strength.

    Args:
        prediction: as `predict` makes it.

    Returns:
        crossover_frequency (Hz), lower_driver and upper_driver (names) over `crossover`,
        ascending, labelled like "woofer to tweeter"; empty where no two drivers cross.
    """
    points = crossings(prediction.frequency.values, strength(prediction).values)
    names = [str(name) for name in prediction.driver.values]
    lower = [names[point.lower] for point in points]
    upper = [names[point.upper] for point in points]
    pairs = [f"{low} to {high}" for low, high in zip(lower, upper, strict=True)]
    # Two drivers may hand over more than once; labels stay unique.
    earlier = [pairs[:i].count(pair) for i, pair in enumerate(pairs)]
    labels = [f"{p} ({n + 1})" if n else p for p, n in zip(pairs, earlier, strict=True)]
    return xr.Dataset(
        {
            "crossover_frequency": (
                "crossover",
                np.array([point.frequency for point in points]),
                {"units": "Hz", "long_name": "acoustic crossover frequency"},
            ),
            "lower_driver": (
                "crossover",
                np.array(lower, dtype=str),
                {"long_name": "driver below the crossover"},
            ),
            "upper_driver": (
                "crossover",
                np.array(upper, dtype=str),
                {"long_name": "driver above the crossover"},
            ),
        },
        coords={
            "crossover": ("crossover", np.array(labels, dtype=str), {"long_name": "crossover"})
        },
    )
