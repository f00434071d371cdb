"""Any curve as comma-separated values: a row for every frequency, a column for every curve."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import xarray as xr

from acoustics.conventions import RoundoverError
from acoustics.files import write_text
from acoustics.listening.plain_curves import plain_curves
from acoustics.report.spreadsheet import csv_text
from acoustics.studies.drawings.names import plain

DIGITS = 9
"""significant: more than any prediction has"""

WORDS = {"degree": "degrees"}
"""Units as they are called in a heading; all others stay."""


def curves_csv(prediction: xr.Dataset) -> dict[str, str]:
    """The usual set of curves as text: name of the table → comma-separated values.

    As `plain_curves` names them. The first column is the frequency; headings carry the unit, such
    as `level, driver woofer [dB]`.
    """
    return {name: table_csv(table) for name, table in plain_curves(prediction).items()}


def write_csv(curve: xr.DataArray | xr.Dataset, path: str | os.PathLike[str]) -> Path:
    """Write any variable or several as comma-separated values, see `table_csv`.

    Raises RoundoverError where there is no dim to run along the rows, or it cannot be written.
    """
    table = curve if isinstance(curve, xr.Dataset) else curve.to_dataset(name=curve.name or "value")
    return write_text(table_csv(table), Path(path))


def table_csv(table: xr.Dataset) -> str:
    """Variables as comma-separated values, decimal points, equal tables as equal text.

    Rows go along `frequency`, where there is none along the first variable's last dim; every place
    on the other dims is a column. Complex numbers take two columns. A missing number is an empty
    cell. Cells that a spreadsheet would run as a formula get an apostrophe in front.

    Args:
        table: of numbers, with `long_name` and `units` as attributes.

    Raises:
        RoundoverError: a variable without the dim that runs along the rows.
    """
    along = _rows(table)
    headings, columns = [_heading(table[along], along)], [table[along].values]
    for name, variable in table.data_vars.items():
        if along not in variable.dims:
            raise RoundoverError(f"{name} has no {along} to run along the rows; leave it out")
        for heading, values in _columns(variable, str(name), along):
            headings.append(heading)
            columns.append(values)
    rows = ([_cell(column[i]) for column in columns] for i in range(table.sizes[along]))
    return csv_text([headings, *rows])


def _rows(table: xr.Dataset) -> str:
    if "frequency" in table.dims:
        return "frequency"
    dims = next((variable.dims for variable in table.data_vars.values() if variable.dims), ())
    if not dims:
        raise RoundoverError("a single number is no curve; choose a variable with a dim")
    return str(dims[-1])


def _columns(variable: xr.DataArray, name: str, along: str) -> Iterator[tuple[str, np.ndarray]]:
    """Heading and values of each column of a variable."""
    others = [dim for dim in variable.dims if dim != along]
    ordered = variable.transpose(*others, along)
    parts = (
        {"": np.real} if not np.iscomplexobj(ordered) else {"real": np.real, "imaginary": np.imag}
    )
    for place in np.ndindex(*ordered.shape[:-1]):
        where = [_place(variable[dim], n) for dim, n in zip(others, place, strict=True)]
        for part, taken in parts.items():
            heading = _heading(variable, name, *where, *([part] if part else []))
            values = ordered.values[place]
            yield heading, taken(values) if values.dtype.kind in "fc" else values


def _place(coordinate: xr.DataArray, number: int) -> str:
    """Where on a dim a column stands: "driver woofer", "angle -30 degrees"."""
    name = str(coordinate.name).replace("_", " ")
    value = coordinate.values[number]
    if coordinate.dtype.kind in "fiu":
        unit = _unit(coordinate)
        return f"{name} {value:g} {unit}".rstrip() if unit != "1" else f"{name} {value:g}"
    return f"{name} {plain(str(value))}"


def _heading(variable: xr.DataArray, name: str, *where: str) -> str:
    words = plain(str(variable.attrs.get("long_name", name.replace("_", " "))))
    unit = _unit(variable)
    return ", ".join([words, *where]) + (f" [{unit}]" if unit else "")


def _unit(variable: xr.DataArray) -> str:
    unit = str(variable.attrs.get("units", ""))
    return WORDS.get(unit, plain(unit))


def _cell(value: object) -> str:
    if isinstance(value, float | np.floating):
        return "" if np.isnan(value) else f"{value:.{DIGITS}g}"
    return plain(str(value))
