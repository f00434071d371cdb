"""The walls of a cabinet in their most driven modes, all to one scale."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from acoustics.figures.front_face import MM
from acoustics.figures.style import QUIET, WIDTH, head, head_height, key, new_figure, panel_title
from acoustics.figures.wall_shape import BENT, BRACE, draw_wall
from acoustics.structure.wall_braces import lines_on
from acoustics.structure.wall_modes import WallModes
from acoustics.studies.structure.found import StructureFound
from acoustics.studies.wording import hertz

COLUMNS = (2, 3, 4, 6)
"""of panels that are tried: the one that draws the walls largest is taken"""

TALLEST, TOGETHER = 4.2, 6.0
"""inches: of a wall as it is drawn, and of all rows"""

MARGIN = 1.08
"""of a wall's panel over the largest wall"""

LETTERS = 60
"""of titles that a row of panels has room for"""

TITLE_LINE = 0.23
"""inches"""

FOOT = 0.55
"""inches: for the key"""


class Grid(NamedTuple):
    """How panels are set: inches a metre, columns, rows."""

    scale: float
    columns: int
    rows: int


def walls_sheet(title: str, found: StructureFound) -> Figure | None:
    """Every wall in the mode by which it yields most to pressure inside; None: no wall bends."""
    if not found.walls:
        return None
    grid = _grid([modes.wall.size for modes in found.walls])
    walls = tuple(modes.wall for modes in found.walls)
    lines: dict[str, list[tuple[tuple[float, float], tuple[float, float]]]] = {}
    for brace in found.structure.braces:
        for name, new in lines_on(walls, found.structure, brace).items():
            lines.setdefault(name, []).extend(new)
    titles = [_title(modes, LETTERS // grid.columns) for modes in found.walls]
    tall = max(wall.size[1] for wall in walls) * MARGIN
    wide = max(wall.size[0] for wall in walls) * MARGIN
    words = (
        "How do the walls move?",
        title,
        "each as it yields most to pressure inside, seen from outside",
    )
    lines_of_title = max(text.count("\n") + 1 for text in titles)
    each = grid.scale * tall + TITLE_LINE * lines_of_title + 0.15
    figure, axes = new_figure(
        each * grid.rows + head_height(*words) + FOOT, rows=grid.rows, columns=grid.columns
    )
    for panel, modes, text in zip(axes.flat, found.walls, titles, strict=False):
        draw_wall(panel, modes, modes.most_driven, lines.get(modes.wall.name, ()))
        left = MM * float(modes.wall.corners[:, 0].min())
        top = MM * float(modes.wall.corners[:, 1].max())
        panel.set_xlim(left, left + MM * wide)
        panel.set_ylim(top - MM * tall, top + 0.01 * MM * tall)
        panel.set_aspect("equal", adjustable="box", anchor="NW")
        panel_title(panel, text)
    for panel in axes.flat[len(found.walls) :]:
        panel.set_axis_off()
    curves = [
        Patch(facecolor=BENT(0.9), label="outward"),
        Patch(facecolor=BENT(0.1), label="while this goes inward"),
        Line2D([], [], color=QUIET, linewidth=1.0, label="stays still"),
    ]
    if lines:
        curves.append(Line2D([], [], color=BRACE, linewidth=2.0, linestyle="--", label="brace"))
    key(axes[0, 0], curves=curves)
    head(figure, *words)
    return figure


def _title(modes: WallModes, letters: int) -> str:
    """Which wall and mode, and how high its lowest one is where that is another."""
    text = textwrap.fill(modes.wall.name, letters)
    text += f"\n{hertz(float(modes.frequency[modes.most_driven]))}"
    if modes.most_driven > 0:
        text += f"\nlowest\n{hertz(float(modes.frequency[0]))}"
    return text


def _grid(sizes: Sequence[tuple[float, float]]) -> Grid:
    """The panels in which walls of these sizes (m) are drawn largest."""
    wide, tall = (MARGIN * float(size) for size in np.max(sizes, axis=0))
    grids = []
    for columns in COLUMNS:
        rows = -(-len(sizes) // columns)
        across = (WIDTH - 0.2) / columns - 0.12
        scale = min(across / wide, TALLEST / tall, TOGETHER / rows / tall)
        grids.append(Grid(scale, columns, rows))
    return max(grids, key=lambda grid: (round(grid.scale, 3), -grid.rows))
