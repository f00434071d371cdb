"""The front face to scale: drivers, frames and reference axis, measured in millimetres."""

from __future__ import annotations

import textwrap
from itertools import compress
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from acoustics.figures.body_view import draw_body, draw_driver, draw_openings, openings
from acoustics.figures.front_face import MM, Extent, front_extent, reference_place
from acoustics.figures.layout_words import layout_words
from acoustics.figures.style import INK, NOTE, PAPER, QUIET, TICK, WORDS

GAP = 0.06
"""part of the height: least distance between two measures, and of a measure from the body"""

LEAST_HEIGHT = 1.7
"""of the width: what is lower is drawn smaller, as the width fills the panel"""

MEASURE_COLUMNS = 18
"""letters of a measure and the names beside it in one line"""

LINE = 1.55 * NOTE
"""points from one line of the notes to the next"""


def draw_layout(axes: Axes, prediction: xr.Dataset) -> Axes:
    """Draw the front face as one looks straight at it, and lightly what is seen round it.

    Positions are measured from the lower left of the front face, of a box and a plate before
    their edges are cut or rounded. Drivers on other faces are left to `draw_faces`.

    Args:
        axes: where to draw.
        prediction: for its attributes (cabinet and reference axis) and its drivers' coordinates.

    Returns:
        The axes, in millimetres from the lower left corner, with the label "front".
    """
    axes.set_label("front")
    given = prediction.attrs
    face = front_extent(prediction)
    origin = np.array([face.left, face.bottom])
    everything = draw_body(axes, prediction, "front", origin)
    front = MM * np.stack([given["front_right"], given["front_up"]], axis=-1) - origin
    axes.add_patch(Polygon(front, facecolor=PAPER, edgecolor=INK, linewidth=2.0, zorder=0.7))
    centres = MM * np.stack([prediction.driver_right, prediction.driver_up], axis=-1) - origin
    in_front = prediction.driver_face.values == "front"
    for i in map(int, np.flatnonzero(in_front)):
        draw_driver(axes, prediction, i, centres[i])
    draw_openings(axes, prediction, "front", origin)
    axes.plot(
        *reference_place(prediction), marker="+", markersize=16, markeredgewidth=1.6, color=INK
    )

    wide, high = everything.right - everything.left, everything.top - everything.bottom
    gap = GAP * max(high, LEAST_HEIGHT * wide)
    names, places = _on_the_front(prediction, centres[in_front], origin)
    x, y = places.T
    _heights_beside(axes, x, y, names, everything.right, gap)
    _places_below(axes, x, y, everything.bottom, gap)
    _overall(axes, face.right - face.left, face.top - face.bottom, everything, gap)
    axes.set_xlim(everything.left - 2.6 * gap, everything.right + 1.2 * gap)
    axes.set_ylim(everything.bottom - 4.2 * gap, everything.top + 0.5 * gap)
    axes.set_aspect("equal", adjustable="box", anchor="NW")
    axes.set_axis_off()
    return axes


def draw_layout_notes(axes: Axes, prediction: xr.Dataset) -> Axes:
    """Say in words what the drawing cannot show.

    Args:
        axes: an empty panel beside the drawing.
        prediction: as for `draw_layout`.

    Returns:
        The axes.
    """
    for i, (color, line) in enumerate(layout_words(prediction)):
        axes.annotate(
            line,
            (0.0, 1.0),
            xycoords="axes fraction",
            xytext=(0, -LINE * i),
            textcoords="offset points",
            va="top",
            fontsize=NOTE,
            color=color,
            **WORDS,
        )
    axes.set_axis_off()
    return axes


def notes_height(prediction: xr.Dataset) -> float:
    """Height that the notes of `draw_layout_notes` take, inches."""
    return LINE * len(layout_words(prediction)) / 72.0


def _on_the_front(
    prediction: xr.Dataset, drivers: np.ndarray, origin: np.ndarray
) -> tuple[list[str], np.ndarray]:
    """Names and centres (mm, shape (name, 2)) of all that is measured: drivers, then openings."""
    names = [str(name) for name in prediction.driver.values[prediction.driver_face == "front"]]
    numbers = openings(prediction, "front")
    if not numbers:
        return names, drivers
    some = prediction.isel(radiator=numbers)
    centres = MM * np.stack([some.radiator_right, some.radiator_up], axis=-1) - origin
    return [*names, *map(str, some.radiator.values)], np.vstack([drivers, centres])


def _heights_beside(
    axes: Axes, x: np.ndarray, y: np.ndarray, names: list[str], right: float, gap: float
) -> None:
    """Each centre's height and the drivers at it, to the right of the body."""
    heights = np.unique(np.round(y, 1))
    at = [np.isclose(y, height, atol=0.06) for height in heights]
    texts = [
        textwrap.wrap(f"{height:.4g} {', '.join(compress(names, here))}", MEASURE_COLUMNS)
        for height, here in zip(heights, at, strict=True)
    ]
    lines = np.array([len(text) for text in texts])
    places = spread(heights, gap * (lines[1:] + lines[:-1]) / 2)
    for height, here, place, text in zip(heights, at, places, texts, strict=True):
        level = [height, height, place]
        axes.plot([x[here].max(), right + 0.4 * gap, right + 0.9 * gap], level, **_THIN)
        axes.text(right + gap, place, "\n".join(text), ha="left", va="center", **_NUMBER)


def _places_below(axes: Axes, x: np.ndarray, y: np.ndarray, bottom: float, gap: float) -> None:
    """Each centre's distance from the left end, below the body."""
    rights = np.unique(np.round(x, 1))
    for right, place in zip(rights, spread(rights, 2 * gap), strict=True):
        start = y[np.isclose(x, right, atol=0.06)].max()
        axes.plot([right, right, place], [start, bottom - 0.4 * gap, bottom - 0.9 * gap], **_THIN)
        axes.text(place, bottom - gap, f"{right:.4g}", ha="center", va="top", **_NUMBER)


def _overall(axes: Axes, width: float, height: float, everything: Extent, gap: float) -> None:
    """Width and height of the face, between arrows."""
    arrow = {"arrowstyle": "<->", "color": INK, "linewidth": 1.0, "shrinkA": 0, "shrinkB": 0}
    below, beside = everything.bottom - 2.7 * gap, everything.left - gap
    for start, end in (((0, below), (width, below)), ((beside, 0), (beside, height))):
        axes.annotate("", xy=end, xytext=start, arrowprops=arrow)
    axes.text(width / 2, below - 0.2 * gap, f"{width:.4g}", ha="center", va="top", **_NUMBER)
    turned: dict[str, Any] = {"ha": "right", "va": "center", "rotation": 90}
    axes.text(beside - 0.25 * gap, height / 2, f"{height:.4g}", **turned, **_NUMBER)


def spread(places: np.ndarray, gap: float | np.ndarray) -> np.ndarray:
    """Ascending places moved apart, each as little as needed, until `gap` lies between any two.

    `gap` is one for all or that of each two neighbours.
    """
    moved = np.array(places, dtype=float)
    gaps = np.broadcast_to(gap, (max(moved.size - 1, 0),))
    for i in range(1, moved.size):
        moved[i] = max(moved[i], moved[i - 1] + gaps[i - 1])
    excess = moved - places
    return moved - excess.max(initial=0.0) / 2 if excess.any() else moved


_THIN: dict[str, Any] = {"color": QUIET, "linewidth": 0.8, "zorder": 1}
_NUMBER: dict[str, Any] = {"fontsize": TICK, "color": INK, **WORDS}
