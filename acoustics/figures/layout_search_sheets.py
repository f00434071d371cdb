"""The figures of a search for a layout."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import xarray as xr
from matplotlib.figure import Figure

from acoustics.figures.layout_change import layout_change
from acoustics.figures.layout_freedom import layout_freedom
from acoustics.figures.layout_front import layout_front


@dataclass(frozen=True)
class Shown:
    """What was found, as `layout_dataset` makes it, and predictions before and after.

    Where nothing better was found, `after` is `before`.
    """

    found: xr.Dataset
    before: xr.Dataset
    after: xr.Dataset


LAYOUT_SHEETS: dict[str, Callable[[Shown], Figure | None]] = {
    "layout": lambda shown: layout_change(shown.found, shown.before, shown.after),
    "trade-off": lambda shown: layout_front(shown.found, shown.before, shown.after),
    "how-exactly": lambda shown: layout_freedom(shown.found),
}
"""File name → what draws it; None from a sheet means there is nothing to show."""
