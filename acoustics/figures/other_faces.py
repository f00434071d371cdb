"""Faces other than the front that carry something, each seen from outside."""

from __future__ import annotations

import textwrap
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from acoustics.cabinet.names import face_words
from acoustics.cabinet.place import FaceFrame
from acoustics.figures.body_view import draw_body, draw_driver, draw_openings
from acoustics.figures.front_face import MM, Extent
from acoustics.figures.outline import FLAT, silhouette
from acoustics.figures.style import INK, NOTE, PAPER, QUIET, WORDS, panel_title
from acoustics.listening.body_shape import body_corners, frame_of, seen_in

MARGIN = 0.04
"""of the larger side of the largest face: left free round each"""

TOWARD_FRONT = 0.7
"""cosine: from this on a side of a face is called the one toward the front"""

AWAY = 0.8 * NOTE
"""points from the body to the middle of the word beside it"""

ROW_LETTERS = 64
"""of titles that a row of panels has room for"""


def other_faces(prediction: xr.Dataset) -> list[str]:
    """Names of the faces that carry drivers, ports or passive radiators, the front apart."""
    return [str(face) for face in prediction.face.values if face != "front"]


def draw_faces(panels: list[Axes], prediction: xr.Dataset) -> None:
    """Draw each of `other_faces` in a panel of its own, all to one scale."""
    extents = [
        draw_face(panel, prediction, face)
        for panel, face in zip(panels, other_faces(prediction), strict=True)
    ]
    wide = max(extent.right - extent.left for extent in extents)
    high = max(extent.top - extent.bottom for extent in extents)
    free = 2 * MARGIN * max(wide, high)
    for panel, extent in zip(panels, extents, strict=True):
        panel.set_xlim(extent.left - free, extent.left + wide + free)
        panel.set_ylim(extent.top - high - free, extent.top + free)
        panel.set_aspect("equal", adjustable="box", anchor="NW")


def draw_face(axes: Axes, prediction: xr.Dataset, face: str) -> Extent:
    """Draw a face as one looks straight at it from outside, with the lines through its middle.

    A driver of a plate that sounds on both sides is drawn from behind too, in dashes.

    Args:
        axes: where to draw, in millimetres from the middle of the face; the face is their label.
        prediction: for its body, faces and drivers.
        face: its name.

    Returns:
        What the body takes up.
    """
    axes.set_label(face)
    frame = frame_of(prediction, face)
    everything = draw_body(axes, prediction, face, np.zeros(2))
    outline = face_outline(prediction, face)
    axes.add_patch(Polygon(outline, facecolor=PAPER, edgecolor=INK, linewidth=1.6, zorder=0.7))
    x, y = outline.T
    for across, up in (((x.min(), x.max()), (0, 0)), ((0, 0), (y.min(), y.max()))):
        axes.plot(across, up, **_MIDDLE)
    centres = np.stack([prediction[f"driver_{axis}"] for axis in "xyz"], axis=-1)
    seen = MM * seen_in(frame, centres)
    for i, on in enumerate(prediction.driver_face.values):
        through = face == "back" and bool(prediction.driver_both_sides[i])
        if on == face or through:
            draw_driver(axes, prediction, i, seen[i], "-" if on == face else "--")
    draw_openings(axes, prediction, face, np.zeros(2))
    _name_front(axes, _front_side(frame), everything)
    axes.set_axis_off()
    # Above the bottom face, say, stands the word; all titles are in one line.
    above = any(_front_side(frame_of(prediction, one)) == "top" for one in other_faces(prediction))
    place = axes.get_subplotspec()
    letters = ROW_LETTERS // (place.get_gridspec().ncols if place else 1)
    title = textwrap.fill(face_words(face), letters)
    panel_title(axes, title, clear=2 * AWAY if above else 0.0)
    return everything


def face_outline(prediction: xr.Dataset, face: str) -> np.ndarray:
    """Corners of a face in their order round it, mm from its middle, shape (corner, 2)."""
    frame, corners = frame_of(prediction, face), body_corners(prediction)
    in_face = np.abs((corners - frame.centre) @ frame.outward) < FLAT
    return MM * silhouette(seen_in(frame, corners[in_face]))


def _front_side(frame: FaceFrame) -> str:
    """Which side of a face, as it is drawn, is the one toward the front; empty if none is."""
    rightward, upward = float(frame.right[2]), float(frame.up[2])
    if abs(rightward) > TOWARD_FRONT:
        return "right" if rightward > 0 else "left"
    if abs(upward) > TOWARD_FRONT:
        return "top" if upward > 0 else "bottom"
    return ""


def _name_front(axes: Axes, side: str, everything: Extent) -> None:
    """Say beside which side of the body the front is."""
    if not side:
        return
    how: dict[str, Any] = {"ha": "center", "va": "center", "fontsize": NOTE, "color": QUIET}
    end, away = getattr(everything, side), AWAY if side in ("right", "top") else -AWAY
    if side in ("left", "right"):
        at = end, (everything.bottom + everything.top) / 2
        clear, turn = (away, 0.0), 90
    else:
        at = (everything.left + everything.right) / 2, end
        clear, turn = (0.0, away), 0
    axes.annotate("front", at, clear, textcoords="offset points", rotation=turn, **how, **WORDS)


_MIDDLE: dict[str, Any] = {
    "color": QUIET, "linewidth": 0.8, "linestyle": (0, (8, 3, 1, 3)), "zorder": 0.8,
}  # fmt: skip
