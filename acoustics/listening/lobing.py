"""How drivers one above the other add up around a crossover: lobes, nulls, where ears may be."""

from __future__ import annotations

import xarray as xr

from acoustics.listening.height_window import height_window
from acoustics.listening.lobes import lobes


def lobing(prediction: xr.Dataset) -> xr.Dataset:
    """Everything about lobing, per crossover: `lobes` and `height_window` in one Dataset.

    Args:
        prediction: as `predict` makes it.

    Returns:
        See `lobes` (vertical arc) and `height_window` (over height at the seat).
    """
    return xr.merge(
        [lobes(prediction), height_window(prediction)], join="exact", compat="identical"
    )
