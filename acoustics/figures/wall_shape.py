"""A wall as one sees it from outside, with what is cut out, what braces it, and how it bends."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.patches import Circle, Polygon
from scipy.ndimage import distance_transform_edt, maximum_filter, zoom

from acoustics.figures.front_face import MM
from acoustics.figures.style import INK, PAPER, QUIET
from acoustics.structure.wall_modes import WallModes

BENT = LinearSegmentedColormap.from_list(
    "bent", ("#2f6aa3", "#cfe0ee", PAPER, "#f6d9bd", "#d1600f")
)
"""Of what moves inward (blue) and outward (orange) at one time; paper stays still."""

BRACE = "#3a9e6e"

# An even number of them, so that what hardly moves has one shade.
LEVELS = np.linspace(-1.0, 1.0, 20)

FINER = 81
"""points each way on which a shape is drawn"""

STILL = 0.15
"""of the largest deflection: where nothing near moves more, no nodal line is drawn"""

Line = tuple[tuple[float, float], tuple[float, float]]
"""ends of a brace on a wall, m from its middle; both alike of a strut"""


def draw_wall(axes: Axes, modes: WallModes, mode: int, braces: Iterable[Line]) -> Axes:
    """Draw a wall in the shape of one of its modes, with nodal lines.

    Args:
        axes: where to draw, in millimetres from the middle of the wall.
        modes: of the wall.
        mode: which of them.
        braces: where they are on this wall.

    Returns:
        The axes.
    """
    wall = modes.wall
    outline = Polygon(MM * wall.corners, facecolor="none", edgecolor=INK, linewidth=1.4, zorder=3)
    x, y = (np.linspace(MM * along[0], MM * along[-1], FINER) for along in (modes.x, modes.y))
    shape = _smooth(modes.shape[mode])
    filled = axes.contourf(x, y, shape, LEVELS, cmap=BENT, extend="both")
    axes.add_patch(outline)
    filled.set_clip_path(outline)
    moving = maximum_filter(np.abs(shape), FINER // 8) > STILL
    lined = np.where(moving, shape, np.nan)
    if np.nanmin(lined) < 0 < np.nanmax(lined):
        lines = axes.contour(x, y, lined, [0.0], colors=[QUIET], linewidths=1.0)
        lines.set_clip_path(outline)
    for cutout in wall.cutouts:
        look: dict[str, Any] = {"facecolor": PAPER, "edgecolor": INK, "linewidth": 1.0, "zorder": 2}
        axes.add_patch(Circle(tuple(MM * np.array(cutout.centre)), MM * cutout.radius, **look))
    for start, end in braces:
        along, up = (MM * np.array(ends) for ends in zip(start, end, strict=True))
        if start == end:
            axes.plot(along[:1], up[:1], marker="s", markersize=6, color=BRACE, zorder=4)
        else:
            axes.plot(along, up, color=BRACE, linewidth=2.0, linestyle="--", zorder=4)
    axes.set_axis_off()
    return axes


def _smooth(shape: np.ndarray) -> np.ndarray:
    """A shape on a finer grid; where there is no board, as beside it: it is covered up there."""
    nearest = distance_transform_edt(np.isnan(shape), return_distances=False, return_indices=True)
    filled = shape[tuple(nearest)]
    finer: np.ndarray = zoom(filled, FINER / np.array(shape.shape), order=3, grid_mode=False)
    return finer
