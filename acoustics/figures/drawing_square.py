"""A square of 100 mm on every page, by which one sees whether it was printed at its true size."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from acoustics.figures.drawing_ink import put_words

SIDE = 100.0
"""mm"""

COLOUR = "#7a9cc6"

CAPITALS = 1.9
"""mm"""

WORDS = (
    "Test square: measure this, 100.0 mm each way.",
    "If not, print at 100 %, no fit to page.",
    "It is no part of the drawing: never cut it.",
)


def draw_square(axes: Axes, at: tuple[float, float]) -> None:
    """Draw it with its lower left corner at a place of the page, mm."""
    look: dict[str, Any] = {
        "fill": False,
        "edgecolor": COLOUR,
        "linewidth": 0.6,
        "linestyle": (0, (4, 3)),
    }
    axes.add_patch(Rectangle(at, SIDE, SIDE, gid="test square", joinstyle="miter", **look))
    for number, line in enumerate(reversed(WORDS)):
        below = at[1] + 1.5 + 1.8 * CAPITALS * number
        put_words(axes, line, at[0] + 2, below, CAPITALS, color=COLOUR)
