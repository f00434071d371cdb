"""A face with its drivers where a layout has them, to scale."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from acoustics.figures.body_view import draw_body, draw_driver, draw_openings
from acoustics.figures.front_face import MM, Extent, extent_of
from acoustics.figures.style import INK, PAPER

FRONT = "front"


def places_in(prediction: xr.Dataset, found: xr.Dataset, layout: str, face: str) -> np.ndarray:
    """Centres of all drivers on a face in a layout, mm from its middle, (driver, 2).

    NaN for drivers on other faces.
    """
    places = MM * np.stack([prediction.driver_right, prediction.driver_up], axis=-1)
    names = list(prediction.driver.values)
    one = found.sel(layout=layout)
    for n, name in enumerate(found.driver.values):
        places[names.index(name)] = MM * float(one.right[n]), MM * float(one.up[n])
    places[prediction.driver_face.values != face] = np.nan
    return places


def draw_places(
    axes: Axes, prediction: xr.Dataset, found: xr.Dataset, layout: str, face: str
) -> Extent:
    """Draw the body from one side, and on that face the drivers of a layout.

    Args:
        axes: where to draw, in mm from the middle of the face.
        prediction: of a design with the edges of that layout, for its body and drivers.
        found: as `layout_dataset` makes it.
        layout: one of its layouts.
        face: which face.

    Returns:
        What the body takes up, mm.
    """
    whole = draw_body(axes, prediction, face, np.zeros(2))
    if face == FRONT:
        given = prediction.attrs
        flat = MM * np.stack([given["front_right"], given["front_up"]], axis=-1)
        axes.add_patch(Polygon(flat, facecolor=PAPER, edgecolor=INK, linewidth=1.6, zorder=0.7))
    draw_openings(axes, prediction, face, np.zeros(2))
    for i, at in enumerate(places_in(prediction, found, layout, face)):
        if np.isfinite(at).all():
            draw_driver(axes, prediction, i, at)
            axes.plot(*at, marker=".", markersize=4, color=INK, linestyle="none", zorder=5)
    axes.set_aspect("equal", adjustable="box", anchor="C")
    return whole


def with_margin(axes: Axes, whole: Extent, part: float) -> None:
    """Limits that show a body, and a part of its larger side round it."""
    free = part * max(whole.right - whole.left, whole.top - whole.bottom)
    axes.set_xlim(whole.left - free, whole.right + free)
    axes.set_ylim(whole.bottom - free, whole.top + free)


def extent_both(one: Extent, other: Extent) -> Extent:
    """What two bodies take up together."""
    ends = [(one.left, one.bottom), (one.right, one.top)]
    ends += [(other.left, other.bottom), (other.right, other.top)]
    return extent_of(np.array(ends))
