"""Limits of drivers made by hand, for tests of how loud a design can play."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import xarray as xr

LIMITS = ("displacement", "power", "port speed", "passive radiator", "amplifier")


def with_limits(
    prediction: xr.Dataset, limits: Mapping[tuple[str, str], float | np.ndarray] = {}
) -> xr.Dataset:
    """The prediction with highest rms voltages at the terminals; nothing else limits.

    Every driver moves by itself.

    Args:
        prediction: as `predict` makes it.
        limits: (limit, driver) → V, one for all frequencies or for each; NaN for not stated.
    """
    drivers = [str(name) for name in prediction.driver.values]
    volts = np.full((len(LIMITS), len(drivers), prediction.frequency.size), np.inf)
    for (limit, driver), most in limits.items():
        volts[LIMITS.index(limit), drivers.index(driver)] = most
    apart = np.eye(len(drivers))[:, :, None] * prediction.source.values
    found = {"input_limit": (("limit", "driver", "frequency"), volts)}
    found["volume_velocity"] = (("radiator", "driver", "frequency"), apart)
    return prediction.assign(found).assign_coords(
        limit=list(LIMITS), radiator_kind=("radiator", ["cone"] * len(drivers))
    )
