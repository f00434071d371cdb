"""A square of 100 mm on every page, by which one sees whether it was printed at its true size."""

from __future__ import annotations

from reportlab.pdfgen.canvas import Canvas

from acoustics.figures.drawing_ink import put_rectangle, put_words
from acoustics.figures.paper import Ink

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


def draw_square(canvas: Canvas, at: tuple[float, float]) -> None:
    """Draw it with its lower left corner at a place of the page, mm."""
    put_rectangle(canvas, at, (SIDE, SIDE), Ink(COLOUR, width=0.6, dashes=(2.4, 1.8)))
    for number, line in enumerate(reversed(WORDS)):
        below = at[1] + 1.5 + 1.8 * CAPITALS * number
        put_words(canvas, line, at[0] + 2, below, CAPITALS, color=COLOUR)
