"""The answers of several designs as one table: a row for each number, a column for each design."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from typing import Any

import numpy as np
import xarray as xr

from acoustics.studies.numbers import UNCERTAINTY
from acoustics.studies.wording import hertz

OPEN = {
    "window_height": "window_open",
    "height_span": "height_span_open",
    "aside_span": "aside_span_open",
}
"""Number → what tells that it reaches an end of the points predicted, so that it is at least so
large."""


def comparison_table(labels: Sequence[str], numbers: Sequence[xr.Dataset]) -> xr.Dataset:
    """Line up the numbers of several designs.

    Args:
        labels: a name for each design.
        numbers: what `studies.numbers.numbers_of` gives for each, cut down to the same dims and
            coordinates.

    Returns:
        value and uncertainty (row, design); difference (row), largest minus smallest value;
        difference_uncertainty (row), the sum of those two designs'; at_least (row, design), whether
        the true value may be larger; differs (row), whether the difference is larger than its
        uncertainty and the smaller value is not one of those. Coordinates answer, quantity, place
        and unit (row). Rows in which a design has no number are left out.
    """
    heads: list[tuple[str, str, str, str]] = []
    values: list[list[float]] = []
    spreads: list[list[float]] = []
    opens: list[list[bool]] = []
    for name in (str(name) for name in numbers[0].data_vars):
        if f"{name}{UNCERTAINTY}" not in numbers[0]:
            continue
        columns = [each[name] for each in numbers]
        dims, given = columns[0].dims, columns[0].attrs
        errors = [each[f"{name}{UNCERTAINTY}"].transpose(*dims) for each in numbers]
        for place, index in _places(columns[0]):
            row = [float(each.isel(index)) for each in columns]
            if np.isnan(row).any():
                continue
            heads.append((name, given["long_name"], place, given.get("units", "")))
            values.append(row)
            spreads.append([float(each.isel(index)) for each in errors])
            opens.append([name in OPEN and bool(each[OPEN[name]].isel(index)) for each in numbers])

    shape = (len(heads), len(labels))
    value, spread = np.array(values).reshape(shape), np.array(spreads).reshape(shape)
    most, least = value.argmax(axis=1), value.argmin(axis=1)
    each_row = np.arange(len(heads))
    difference = value[each_row, most] - value[each_row, least]
    allowed = spread[each_row, most] + spread[each_row, least]
    at_least = np.array(opens, dtype=bool).reshape(shape)
    words = np.array(heads, dtype=str).reshape(-1, 4).T
    return xr.Dataset(
        {
            "value": (("row", "design"), value),
            "uncertainty": (("row", "design"), spread),
            "difference": ("row", difference),
            "difference_uncertainty": ("row", allowed),
            "at_least": (("row", "design"), at_least),
            "differs": ("row", (difference > allowed) & ~at_least[each_row, least]),
        },
        coords={
            "design": np.array(labels),
            **{
                name: ("row", column)
                for name, column in zip(("answer", "quantity", "place", "unit"), words, strict=True)
            },
        },
    )


def _places(array: xr.DataArray) -> Iterator[tuple[str, dict[Hashable, int]]]:
    """Every place of an array in words, with its index."""
    for index in np.ndindex(*array.shape):
        where = dict(zip(array.dims, (int(i) for i in index), strict=True))
        words = (place_words(str(dim), array[dim].values[i]) for dim, i in where.items())
        yield ", ".join(filter(None, words)), where


def place_words(dim: str, value: Any) -> str:
    """A coordinate's value in words: "ear height 0.95 m", "30° left"."""
    if dim == "ear_height":
        return f"ear height {value:.2f} m"
    if dim == "octave":
        return hertz(value)
    if dim == "side_angle":
        angle = float(value)
        return f"{abs(angle):g}° {'left' if angle < 0 else 'right'}"
    return str(value)
