"""How far the ears are from where the sound comes from."""

from __future__ import annotations

from typing import Literal

import xarray as xr


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
    """Distance from every driver's centre on the front face, m, with the dim `driver` first."""
    ways = _lengths(view[f"{group}_position"], view.driver_x, view.driver_y)
    return ways.transpose("driver", ...)


def _lengths(
    position: xr.DataArray, x: float | xr.DataArray, y: float | xr.DataArray
) -> xr.DataArray:
    aside, up, ahead = (position.sel(axis=axis, drop=True) for axis in ("x", "y", "z"))
    answer: xr.DataArray = ((aside - x) ** 2 + (up - y) ** 2 + ahead**2) ** 0.5
    return answer
