"""The body as one sees it looking straight at one of its faces, and what is on that face."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import Circle, Rectangle

from acoustics.figures.front_face import MM, Extent, extent_of
from acoustics.figures.outline import silhouette, visible_edges
from acoustics.figures.style import INK, QUIET, series
from acoustics.listening.body_shape import body_corners, frame_of, seen_in

BESIDE = "#eef0f3"
"""of what lies beside the face"""

LEAST_BESIDE = 1e-3
"""of the front's area"""


def draw_body(axes: Axes, prediction: xr.Dataset, face: str, origin: np.ndarray) -> Extent:
    """Draw the body lightly: its outline and the edges within it.

    Args:
        axes: where to draw.
        prediction: for its body and faces.
        face: which face is looked at.
        origin: where the drawing counts from, mm from the face's centre, shape (2,).

    Returns:
        What the body takes up.
    """
    corners, frame = body_corners(prediction), frame_of(prediction, face)
    outline = MM * silhouette(seen_in(frame, corners)) - origin
    edges = MM * seen_in(frame, visible_edges(corners, frame.outward)) - origin
    axes.fill(*outline.T, facecolor=BESIDE, edgecolor=QUIET, linewidth=1.2, zorder=0.5)
    lines = LineCollection(list(edges), color=QUIET, linewidth=0.8, zorder=0.6)
    axes.add_collection(lines, autolim=False)
    return extent_of(outline)


def draw_driver(
    axes: Axes, prediction: xr.Dataset, driver: int, at: np.ndarray, dashes: str = "-"
) -> None:
    """Draw piston and frame of the driver of this index, their centre at a place, mm."""
    one = prediction.isel(driver=driver)
    color = series(driver)["color"]
    for diameter, fill, line in (
        (one.frame_diameter, "none", 1.2),
        (one.piston_diameter, f"{color}33", 1.6),
    ):
        x, y = at
        circle = Circle((x, y), MM * float(diameter) / 2, facecolor=fill, linestyle=dashes)
        circle.set(edgecolor=color, linewidth=line)
        axes.add_patch(circle)


def draw_openings(axes: Axes, prediction: xr.Dataset, face: str, origin: np.ndarray) -> None:
    """Draw the ports and passive radiators on a face, `origin` as in `draw_body`."""
    for number in openings(prediction, face):
        one = prediction.isel(radiator=number)
        wide, high = MM * float(one.radiator_width), MM * float(one.radiator_height)
        x, y = MM * np.array([one.radiator_right, one.radiator_up]) - origin
        look: dict[str, Any] = {
            "facecolor": BESIDE,
            "edgecolor": INK,
            "linewidth": 1.2,
            "zorder": 0.9,
        }
        if wide == high:
            axes.add_patch(Circle((x, y), wide / 2, **look))
        else:
            axes.add_patch(Rectangle((x - wide / 2, y - high / 2), wide, high, **look))
        if one.radiator_kind == "passive radiator":
            axes.add_patch(Circle((x, y), wide / 4, **{**look, "linestyle": "--"}))


def openings(prediction: xr.Dataset, face: str | None = None) -> list[int]:
    """Numbers among the radiators of the ports and passive radiators, on one face or on all."""
    if "radiator" not in prediction.coords:
        return []
    return [
        number
        for number, (kind, where) in enumerate(
            zip(prediction.radiator_kind.values, prediction.radiator_face.values, strict=True)
        )
        if kind != "cone" and face in (None, where)
    ]


def shows_beside(prediction: xr.Dataset) -> bool:
    """Whether one sees more of the body than the flat part of its front, looking straight at it."""
    outline = silhouette(seen_in(frame_of(prediction), body_corners(prediction)))
    given = prediction.attrs
    front = np.stack([given["front_right"], given["front_up"]], axis=-1)
    return _area(outline) > (1 + LEAST_BESIDE) * _area(front)


def _area(polygon: np.ndarray) -> float:
    """By the shoelace formula, whichever way round."""
    x, y = polygon.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
