"""The figures of a placement map."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.figure import Figure

from acoustics.cabinet.names import face_words
from acoustics.figures.driver_map import (
    draw_placement,
    draw_placement_notes,
    face_of_moved,
    placement_key,
)
from acoustics.figures.style import head, key, new_figure, panel_title

KEYS = {
    "relative_ripple": "Ripple off axis",
    "common_ripple": "Common ripple",
    "side_difference": "Left against right",
    "driver_relative_ripple": "Alone: ripple off axis",
    "driver_common_ripple": "Alone: common ripple",
    "driver_side_difference": "Alone: left against right",
    "seat_level": "Level at the seat",
    "floor_dip": "Floor dip",
}
"""what each map shows, in dB"""

TALLEST, LOWEST = 8.4, 4.4
"""inches: heights of the large map"""

NARROW = 2.5
"""height over width of a face that leaves room for words beside it"""

SMALL_WIDTH = 1.3
"""inches: of the face in the small maps, where it is not low"""

COLUMNS = 3

HEAD = 1.2
"""inches for title and key"""


def placement_sheet(found: xr.Dataset) -> Figure:
    """The metric by which the best place was sought, large."""
    by = str(found.attrs["by"])
    height = float(np.clip(4.2 * _tall(found) + HEAD, LOWEST, TALLEST))
    beside = _tall(found) > NARROW
    how: dict[str, Any] = {"columns": 2, "width_ratios": (1.0, 0.7)} if beside else {}
    figure, axes = new_figure(height, **how)
    draw_placement(axes[0, 0], found, by, f"{KEYS[by]} in dB")
    if beside:
        draw_placement_notes(axes[0, 1], found, by, KEYS[by])
    key(axes[0, 0], curves=placement_key(found))
    head(figure, f"Where should the {found.attrs['moved']} go?", _subject(found))
    return figure


def all_metrics_sheet(found: xr.Dataset) -> Figure:
    """Every metric, small."""
    shown = [name for name in KEYS if name in found]
    rows = -(-len(shown) // COLUMNS)
    each = float(np.clip(SMALL_WIDTH * _tall(found) + 0.7, 1.8, 4.6))
    figure, axes = new_figure(rows * each + HEAD, rows=rows, columns=COLUMNS)
    for panel, name in zip(axes.flat, shown, strict=False):
        draw_placement(panel, found, name, "", small=True)
        panel_title(panel, KEYS[name].replace(": ", ":\n"))
    for panel in axes.flat[len(shown) :]:
        panel.set_axis_off()
    key(axes[0, 0], curves=placement_key(found))
    question = f"What else does the place of the {found.attrs['moved']} change?"
    head(figure, question, _subject(found), "all in dB; the best place is that of the large map")
    return figure


def _tall(found: xr.Dataset) -> float:
    """Height of the face over its width."""
    return float(np.ptp(found.face_corner_up.values) / np.ptp(found.face_corner_right.values))


def _subject(found: xr.Dataset) -> str:
    face = face_of_moved(found)
    where = "" if face == "front" else f", on the {face_words(face)}"
    return f"{found.attrs['title']}{where}"


PLACEMENT_SHEETS: dict[str, Callable[[xr.Dataset], Figure | None]] = {
    "placement": placement_sheet,
    "all-metrics": all_metrics_sheet,
}
