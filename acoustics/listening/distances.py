"""How far the ears are from where the sound comes from."""

from __future__ import annotations

from typing import Literal

import numpy as np
import xarray as xr

from acoustics.conventions import AXES


def distances(view: xr.Dataset, group: Literal["seat", "height", "aside"]) -> xr.DataArray:
    """Distance from the reference point to every point of a group of receivers.

    Args:
        view: a prediction, whole or as one listener hears it.
        group: the points at the seat and their mirror images, over height, or sideways.

    Returns:
        m, dims of the group's positions without `axis`.
    """
    given = view.attrs
    return _lengths(view[f"{group}_position"], given["reference_x"], given["reference_y"])


def driver_distances(view: xr.Dataset, group: Literal["seat", "height", "aside"]) -> xr.DataArray:
    """Distance from every driver's centre, m, with the dim `driver` first."""
    centres = np.stack([view[f"driver_{axis}"].values for axis in AXES], axis=-1)
    position = view[f"{group}_position"]
    ways = np.stack([_lengths(position, *centre).values for centre in centres])
    of_one = position.isel(axis=0, drop=True)
    return of_one.expand_dims(driver=view.driver).copy(data=ways)


def _lengths(position: xr.DataArray, x: float, y: float, z: float = 0.0) -> xr.DataArray:
    """Distance of positions from one point."""
    points = position.transpose(..., "axis").sel(axis=list(AXES)).values
    answer: xr.DataArray = position.isel(axis=0, drop=True)
    return answer.copy(data=np.linalg.norm(points - (x, y, z), axis=-1))
