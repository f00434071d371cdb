"""Bare arrays made into a Dataset that explains itself, by a table of variables."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import xarray as xr

from acoustics.conventions import Variable


def named(arrays: Mapping[str, np.ndarray], table: Mapping[str, Variable]) -> xr.Dataset:
    """A Dataset whose dims, units and long names come from a table; coordinates name themselves."""
    made = {
        name: (
            table[name].dims,
            values,
            {"units": table[name].units, "long_name": table[name].long_name},
        )
        for name, values in arrays.items()
    }
    # In order: a set's differs from run to run, and with it the bytes of the file.
    own = [name for name in made if table[name].dims == (name,)]
    return xr.Dataset(
        {name: made[name] for name in made if name not in own},
        coords={name: made[name] for name in own},
    )
