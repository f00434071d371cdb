"""Predictions on disk: netCDF-4 that plain xarray opens, complex numbers as pairs of floats."""

from __future__ import annotations

import io
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np
import xarray as xr

from acoustics.conventions import SCHEMA, RoundoverError
from acoustics.files import complete_file
from acoustics.foreign import require_readable
from acoustics.seal import require_sound, seal
from acoustics.weighed import require_regular, require_weighed

COMPLEX = "complex"
"""Name of the trailing dimension of length 2: real, imaginary."""

ENGINE: Final = "h5netcdf"

LARGEST_PIECE = 1 << 26
"""bytes of a variable that is stored in one piece; of a larger one the library chooses them"""

LISTS = ("crossover_frequencies",)
"""Attributes that are arrays, also when they hold one number or none."""


def save(dataset: xr.Dataset, path: str | os.PathLike[str]) -> Path:
    """Write a prediction; equal Datasets give byte-identical files.

    The file appears under its name only when it is complete. Missing folders are made.

    Args:
        dataset: the prediction; complex variables are stored with a trailing dimension
            `complex` (real, imaginary).
        path: the file, usually `prediction.nc`; an existing one is replaced.

    Returns:
        The path written.

    Raises:
        RoundoverError: the folder or file cannot be written.

    Example:
        >>> ac.save(ac.predict(case), "prediction.nc")  # doctest: +SKIP
    """
    target = Path(path)
    stored = split_complex(dataset)
    encoding = {name: _encoding(variable) for name, variable in stored.variables.items()}
    # Made in memory first: a disk that fills up is then an error of one write, not of the library.
    content = stored.to_netcdf(engine=ENGINE, encoding=encoding)
    with complete_file(target) as part, part.open("wb") as file:
        file.write(content)
        file.write(seal(content))
    return target


def _encoding(variable: xr.Variable) -> dict[str, Any]:
    """How a variable is stored: numbers in pieces that the library holds checksums of.

    The seal tells damage to who opens the file here, the checksums tell it to every other reader.
    """
    encoding: dict[str, Any] = {"_FillValue": None}
    if variable.size and variable.ndim and variable.dtype.kind in "biuf":
        encoding["fletcher32"] = True
        if variable.nbytes <= LARGEST_PIECE:
            encoding["chunksizes"] = variable.shape
    return encoding


def open_prediction(path: str | os.PathLike[str]) -> xr.Dataset:
    """Read a prediction into memory and close its file.

    Args:
        path: a file that `save` wrote.

    Returns:
        The Dataset as it was saved: complex variables, coordinates and attributes. Its attribute
        `solver` is the number of the field solver that made it; predictions of different numbers
        may differ for equal designs.

    Raises:
        RoundoverError: no such file, no prediction, a damaged one, or one with another layout.

    Example:
        >>> ac.open_prediction("prediction.nc").arc_total  # doctest: +SKIP
    """
    source = Path(path)
    try:
        require_regular(source)
        # First of all: in what is damaged the library may get lost, and this process with it.
        data = None if require_sound(source) else _tried(source)
        require_weighed(source, data)
        readable = source if data is None else io.BytesIO(data)
        stored = xr.load_dataset(readable, engine=ENGINE, decode_times=False)
        return join_complex(_of_this_layout(stored, source))
    except FileNotFoundError as error:
        raise RoundoverError(f"{source}: there is no such file") from error
    except RoundoverError:
        raise
    except Exception as error:  # a damaged file fails in as many ways as it has fields
        raise RoundoverError(
            f"{source}: cannot be read as netCDF-4; expected a file written by `roundover predict`"
        ) from error


def _tried(source: Path) -> bytes:
    """What another program wrote: a file without a seal, once another process has read it."""
    data = source.read_bytes()
    require_readable(data, str(source))
    return data


def _of_this_layout(stored: xr.Dataset, source: Path) -> xr.Dataset:
    """What was read, if it is a prediction, laid out as this version does."""
    schema = stored.attrs.get("schema")
    if schema is None or COMPLEX not in stored.dims:
        raise RoundoverError(
            f"{source}: this is no prediction; expected a file written by `roundover predict`"
        )
    if schema != SCHEMA:
        raise RoundoverError(
            f"{source}: its layout is schema {schema}, this version reads schema {SCHEMA}; "
            "run `roundover predict` again on the case"
        )
    return stored


def split_complex(dataset: xr.Dataset) -> xr.Dataset:
    """Complex variables as float64 with a trailing dimension `complex`."""
    parts = {}
    for name, variable in dataset.data_vars.items():
        if np.iscomplexobj(variable):
            values = np.ascontiguousarray(variable.values, dtype=complex)
            pairs = values.view(float).reshape(*values.shape, 2)
            parts[name] = ((*variable.dims, COMPLEX), pairs, variable.attrs)
    axis = np.arange(2, dtype=np.int32)
    meaning = {
        "units": "1",
        "long_name": "part of a complex number",
        "flag_values": axis,
        "flag_meanings": "real imaginary",
    }
    return dataset.assign(parts).assign_coords({COMPLEX: (COMPLEX, axis, meaning)})


def join_complex(stored: xr.Dataset) -> xr.Dataset:
    """Undo `split_complex`, with text coordinates and array attributes as in memory."""
    joined = {}
    for name, variable in stored.data_vars.items():
        if variable.dims[-1:] == (COMPLEX,):
            pairs = np.ascontiguousarray(variable.values, dtype=float)
            joined[name] = (variable.dims[:-1], pairs.view(complex)[..., 0], variable.attrs)
    dataset = stored.assign(joined).drop_vars(COMPLEX)
    dataset = dataset.assign(_text(dataset.data_vars)).assign_coords(_text(dataset.coords))
    dataset = dataset.drop_encoding()
    for name in LISTS:
        if name in dataset.attrs:
            dataset.attrs[name] = np.atleast_1d(np.asarray(dataset.attrs[name], dtype=float))
    return dataset


def _text(variables: Mapping[Any, xr.DataArray]) -> dict[Any, Any]:
    """Those of some variables that hold text, as they are in memory."""
    return {
        name: (variable.dims, variable.values.astype(str), variable.attrs)
        for name, variable in variables.items()
        if variable.dtype.kind not in "biufc"
    }
