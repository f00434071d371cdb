"""Units and long names of the arrays that `listening` returns."""

from __future__ import annotations

import xarray as xr


def stamped(
    array: xr.DataArray, units: str, long_name: str, name: str | None = None
) -> xr.DataArray:
    """Give an array its unit and meaning, and no other attributes."""
    units_given = {"units": units} if units else {}
    answer: xr.DataArray = array.rename(name) if name else array.copy(deep=False)
    answer.attrs = {**units_given, "long_name": long_name}
    return answer
