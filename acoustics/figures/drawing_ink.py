"""Marks of a drawing on a sheet, in millimetres."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from reportlab.pdfgen.canvas import Canvas

from acoustics.figures.drawing_marks import Circle, Layer, Mark, Words
from acoustics.figures.paper import Ink, circle, draw, line, write
from acoustics.figures.style import INK
from acoustics.studies.drawings import plain

INCH = 25.4
"""mm"""

POINTS = 72.0 / INCH
"""printer's points in a millimetre"""

CAPITALS = 0.729
"""height of capital letters in the size of the type (its own table of DejaVu Sans: 1493/2048)"""

LOOKS: dict[Layer, dict[str, Any]] = {
    "outline": {"stroke": INK, "width": 1.2},
    "holes": {"stroke": "#b02a1a", "width": 0.9},
    "reference": {"stroke": "#4a6fa5", "width": 0.4},
}
"""line widths in points"""

DASHES = (7.2, 4.5)
"""points"""


def points(place: tuple[float, float]) -> tuple[float, float]:
    """A place or a size that is given in millimetres."""
    return place[0] * POINTS, place[1] * POINTS


def put_marks(
    canvas: Canvas, marks: Iterable[Mark], at: tuple[float, float], scale: float = 1.0
) -> None:
    """Draw marks, the drawing's (0, 0) at a place of the sheet."""
    for mark in marks:
        if isinstance(mark, Words):
            x, y = _moved(mark.at, at, scale)
            put_words(canvas, mark.text, x, y, mark.height * scale, anchor=mark.anchor)
            continue
        ink = Ink(**LOOKS[mark.layer], dashes=DASHES if mark.dashed else ())
        if isinstance(mark, Circle):
            centre = points(_moved(mark.centre, at, scale))
            draw(canvas, circle(centre, mark.radius * scale * POINTS), ink)
        else:
            put_line(
                canvas, [_moved(point, at, scale) for point in mark.points], ink, closed=mark.closed
            )


def put_line(
    canvas: Canvas, through: Iterable[tuple[float, float]], ink: Ink, *, closed: bool = False
) -> None:
    """Draw a line through points."""
    draw(canvas, line(map(points, through), closed=closed), ink)


def put_rectangle(
    canvas: Canvas, at: tuple[float, float], size: tuple[float, float], ink: Ink
) -> None:
    """Draw a rectangle from its lower left corner."""
    (x, y), (wide, high) = at, size
    put_line(canvas, ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high)), ink, closed=True)


def put_words(
    canvas: Canvas, text: str, x: float, y: float, capitals: float, color: str = INK, **how: Any
) -> None:
    """Write on a sheet, capitals so many millimetres high; `how` as `write` has it."""
    size = capitals / CAPITALS * POINTS
    write(canvas, plain(text), points((x, y)), size, color, **how)


def _moved(
    point: tuple[float, float], at: tuple[float, float], scale: float
) -> tuple[float, float]:
    return at[0] + scale * point[0], at[1] + scale * point[1]
