"""The front face to scale: drivers, frames and reference axis, measured in millimetres."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon

from acoustics.figures.style import INK, NOTE, PAPER, QUIET, TICK, WORDS, series

MM = 1000.0

GAP = 0.055
"""part of the longer side: least distance between two measures, and of a measure from the face"""


def draw_layout(axes: Axes, prediction: xr.Dataset) -> Axes:
    """Draw the front face as the listener sees it; positions are measured from its lower left.

    Args:
        axes: where to draw.
        prediction: for its attributes (cabinet and reference axis) and its drivers' coordinates.

    Returns:
        The axes, in millimetres from the lower left corner.
    """
    given = prediction.attrs
    left, bottom, width, height = front_extent(prediction)
    x = MM * prediction.driver_right.values - left
    y = MM * prediction.driver_up.values - bottom
    in_front = prediction.driver_face.values == "front"
    gap = GAP * max(width, height)
    outline = MM * np.stack([given["front_right"], given["front_up"]], axis=-1) - [left, bottom]
    axes.add_patch(Polygon(outline, facecolor=PAPER, edgecolor=INK, linewidth=2.0))
    for i in map(int, np.flatnonzero(in_front)):
        color = series(i)["color"]
        for diameter, fill, line in (
            (prediction.frame_diameter, "none", 1.2),
            (prediction.piston_diameter, f"{color}33", 1.6),
        ):
            circle = Circle((x[i], y[i]), MM * float(diameter[i]) / 2, facecolor=fill)
            circle.set(edgecolor=color, linewidth=line)
            axes.add_patch(circle)
    point = (MM * given["reference_x"] - left, MM * given["reference_y"] - bottom)
    axes.plot(*point, marker="+", markersize=16, markeredgewidth=1.6, color=INK)

    names = [str(name) for name in prediction.driver.values[in_front]]
    _heights_beside(axes, x[in_front], y[in_front], names, width, gap)
    _places_below(axes, x[in_front], y[in_front], gap)
    _overall(axes, width, height, gap)
    axes.set_xlim(-2.6 * gap, width + 1.2 * gap)
    axes.set_ylim(-4.2 * gap, height + 0.5 * gap)
    axes.set_aspect("equal", adjustable="box", anchor="NW")
    axes.set_axis_off()
    return axes


def front_extent(prediction: xr.Dataset) -> tuple[float, float, float, float]:
    """Left and lower end of the front face from its centre, its width and its height, mm."""
    ends = [MM * np.asarray(prediction.attrs[f"front_{way}"]) for way in ("right", "up")]
    (left, right), (bottom, top) = ((float(each.min()), float(each.max())) for each in ends)
    return left, bottom, right - left, top - bottom


def draw_layout_notes(axes: Axes, prediction: xr.Dataset) -> Axes:
    """Say in words what the drawing cannot show.

    Args:
        axes: an empty panel beside the drawing.
        prediction: as for `draw_layout`.

    Returns:
        The axes.
    """
    given = prediction.attrs
    box = [f"{MM * given[f'cabinet_{side}']:.4g}" for side in ("width", "height", "depth")]
    lines = []
    for i, name in enumerate(prediction.driver.values):
        piston, frame = prediction.piston_diameter[i], prediction.frame_diameter[i]
        sizes = f"  piston ⌀ {MM * float(piston):.4g}, frame ⌀ {MM * float(frame):.4g}"
        face = str(prediction.driver_face.values[i])
        where = "" if face == "front" else f" ({face}, not drawn)"
        lines += [(series(i)["color"], f"{name}{where}"), (INK, sizes)]
    left, bottom, _, _ = front_extent(prediction)
    right = MM * given["reference_x"] - left
    up = MM * given["reference_y"] - bottom
    lines += [
        (INK, "+ reference axis"),
        (INK, f"  {right:.4g} right, {up:.4g} up"),
        (INK, "cabinet"),
        (INK, f"  {box[0]} wide, {box[1]} high, {box[2]} deep"),
        (INK, f"  {MM * given['cabinet_base_height']:.4g} above the floor"),
        (QUIET, "all in mm,"),
        (QUIET, "from the lower left corner"),
    ]
    for i, (color, line) in enumerate(lines):
        axes.annotate(
            line,
            (0.0, 1.0),
            xycoords="axes fraction",
            xytext=(0, -1.7 * NOTE * i),
            textcoords="offset points",
            va="top",
            fontsize=NOTE,
            color=color,
            **WORDS,
        )
    axes.set_axis_off()
    return axes


def _heights_beside(
    axes: Axes, x: np.ndarray, y: np.ndarray, names: list[str], width: float, gap: float
) -> None:
    """Each centre's height and the drivers at it, to the right of the face."""
    heights = np.unique(np.round(y, 1))
    for height, place in zip(heights, spread(heights, gap), strict=True):
        here = np.isclose(y, height, atol=0.06)
        level = [height, height, place]
        axes.plot([x[here].max(), width + 0.4 * gap, width + 0.9 * gap], level, **_THIN)
        who = ", ".join(name for name, at in zip(names, here, strict=True) if at)
        axes.text(width + gap, place, f"{height:.4g} {who}", ha="left", va="center", **_NUMBER)


def _places_below(axes: Axes, x: np.ndarray, y: np.ndarray, gap: float) -> None:
    """Each centre's distance from the left edge, below the face."""
    rights = np.unique(np.round(x, 1))
    for right, place in zip(rights, spread(rights, 2 * gap), strict=True):
        start = y[np.isclose(x, right, atol=0.06)].max()
        axes.plot([right, right, place], [start, -0.4 * gap, -0.9 * gap], **_THIN)
        axes.text(place, -gap, f"{right:.4g}", ha="center", va="top", **_NUMBER)


def _overall(axes: Axes, width: float, height: float, gap: float) -> None:
    """Width and height of the face, between arrows."""
    arrow = {"arrowstyle": "<->", "color": INK, "linewidth": 1.0, "shrinkA": 0, "shrinkB": 0}
    for start, end in (((0, -2.7 * gap), (width, -2.7 * gap)), ((-gap, 0), (-gap, height))):
        axes.annotate("", xy=end, xytext=start, arrowprops=arrow)
    axes.text(width / 2, -2.9 * gap, f"{width:.4g}", ha="center", va="top", **_NUMBER)
    turned: dict[str, Any] = {"ha": "right", "va": "center", "rotation": 90}
    axes.text(-1.25 * gap, height / 2, f"{height:.4g}", **turned, **_NUMBER)


def spread(places: np.ndarray, gap: float) -> np.ndarray:
    """Ascending places moved apart, each as little as needed, until `gap` lies between any two."""
    moved = np.array(places, dtype=float)
    for i in range(1, moved.size):
        moved[i] = max(moved[i], moved[i - 1] + gap)
    excess = moved - places
    return moved - excess.max(initial=0.0) / 2 if excess.any() else moved


_THIN: dict[str, Any] = {"color": QUIET, "linewidth": 0.8, "zorder": 1}
_NUMBER: dict[str, Any] = {"fontsize": TICK, "color": INK, **WORDS}
