"""The answers of several designs as one table: a row for each number, a column for each design."""

from __future__ import annotations

import itertools
from collections.abc import Hashable, Sequence
from typing import Any

import numpy as np
import xarray as xr

from acoustics.studies.wording import hertz
from acoustics.studies.yardsticks.build_ends import ends_of
from acoustics.studies.yardsticks.rated_figures import ABOVE, UNCERTAINTY

OPEN = {
    "window_height": "window_open",
    "height_span": "height_span_open",
    "aside_span": "aside_span_open",
}
"""Number → what tells that it reaches an end of the points predicted, so that it is at least so
large."""


def comparison_table(
    labels: Sequence[str],
    numbers: Sequence[xr.Dataset],
    built: Sequence[xr.Dataset] = (),
    band: float = 0.0,
) -> xr.Dataset:
    """Line up the numbers of several designs.

    Args:
        labels: a name for each design.
        numbers: what `rated_figures.numbers_of` gives for each, cut down to the same dims and
            coordinates.
        built: the same of builds of each design, with a dim build; none if empty.
        band: the share of builds within the bands told.

    Returns:
        value, uncertainty and uncertainty_above (row, design), how much smaller and larger the true
        value may be, mostly the same; difference (row), largest minus smallest value;
        difference_uncertainty (row), how much smaller that one may be and larger the other;
        at_least (row, design), whether a value is that of an open range, which may go on; differs
        (row), whether the difference is larger than its uncertainty and the smaller value is not
        one of those. Held against builds, also built and built_at_least (build, row, design), the
        numbers of builds; band_low and band_high (row), between which the middle share `band` (an
        attribute) of the same differences between builds lies. The difference's uncertainty is then
        no less than what takes it to the band's lower end, so that with 0 in the band, or beyond
        it, nothing differs. Coordinates answer, quantity, place and unit (row). Rows in which a
        design has no number are left out.
    """
    heads: list[tuple[str, str, str, str]] = []
    parts: list[tuple[np.ndarray, ...]] = []
    builds: list[tuple[np.ndarray, np.ndarray]] = []
    for name in (str(name) for name in numbers[0].data_vars):
        if f"{name}{UNCERTAINTY}" not in numbers[0]:
            continue
        of, given = numbers[0][name].dims, numbers[0][name].attrs
        value, spread = (_columns(numbers, each, of) for each in (name, f"{name}{UNCERTAINTY}"))
        above = f"{name}{ABOVE}{UNCERTAINTY}"
        upper = _columns(numbers, above, of) if above in numbers[0] else spread
        reached = name in OPEN and _columns(numbers, OPEN[name], of).astype(bool)
        known = np.isfinite(value).all(axis=1)
        heads += [
            (name, given["long_name"], place, given.get("units", ""))
            for place, told in zip(_places(numbers[0][name]), known, strict=True)
            if told
        ]
        is_open = np.broadcast_to(reached, value.shape)
        parts.append(tuple(each[known] for each in (value, spread, upper, is_open)))
        if built:
            found = _columns(built, name, ("build", *of)).reshape(-1, *value.shape)
            larger = np.zeros(found.shape, dtype=bool)
            if name in OPEN:
                larger = _columns(built, OPEN[name], ("build", *of)).reshape(found.shape) > 0
            builds.append((found[:, known], larger[:, known]))

    none = (np.empty((0, len(labels))),) * 3 + (np.empty((0, len(labels)), dtype=bool),)
    value, spread, upper, at_least = map(np.concatenate, zip(none, *parts, strict=True))
    most, least = value.argmax(axis=1), value.argmin(axis=1)
    each_row = np.arange(len(heads))
    difference = value[each_row, most] - value[each_row, least]
    allowed = spread[each_row, most] + upper[each_row, least]
    words = np.array(heads, dtype=str).reshape(-1, 4).T
    held: dict[str, Any] = {}
    if built:
        of_builds, larger = (np.concatenate(each, axis=1) for each in zip(*builds, strict=True))
        apart = of_builds[:, each_row, most] - of_builds[:, each_row, least]
        # The smaller one may be larger than it is told, so it is not sure to be the smaller.
        apart = np.where(larger[:, each_row, least], np.minimum(apart, 0.0), apart)
        low, high = ends_of(apart, band)
        allowed = np.maximum(allowed, difference - low)
        held = {
            "built": (("build", "row", "design"), of_builds),
            "built_at_least": (("build", "row", "design"), larger),
            "band_low": ("row", low),
            "band_high": ("row", high),
        }
    return xr.Dataset(
        {
            "value": (("row", "design"), value),
            "uncertainty": (("row", "design"), spread),
            "uncertainty_above": (("row", "design"), upper),
            "difference": ("row", difference),
            "difference_uncertainty": ("row", allowed),
            "at_least": (("row", "design"), at_least),
            "differs": ("row", (difference > allowed) & ~at_least[each_row, least]),
            **held,
        },
        coords={
            "design": np.array(labels),
            **{
                name: ("row", column)
                for name, column in zip(("answer", "quantity", "place", "unit"), words, strict=True)
            },
        },
        attrs={"band": band} if built else {},
    )


def _columns(numbers: Sequence[xr.Dataset], name: str, dims: tuple[Hashable, ...]) -> np.ndarray:
    """One variable of every design, shape (place, design)."""
    return np.stack([each[name].transpose(*dims).values.ravel() for each in numbers], axis=1)


def _places(array: xr.DataArray) -> list[str]:
    """Every place of an array in words."""
    words = [[place_words(str(dim), value) for value in array[dim].values] for dim in array.dims]
    return [", ".join(filter(None, place)) for place in itertools.product(*words)]


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
