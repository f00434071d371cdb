"""Marks of a drawing on a page whose axes count in millimetres."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle as RoundPatch
from matplotlib.patches import Polygon, Rectangle

from acoustics.figures.drawing_marks import Circle, Layer, Mark, Stroke, Words
from acoustics.figures.style import INK, PAPER, WORDS
from acoustics.studies.drawings import plain

INCH = 25.4
"""mm"""

POINTS = 72.0 / INCH
"""printer's points in a millimetre"""

CAPITALS = 0.729
"""height of capital letters in the size of the type (its own table of DejaVu Sans: 1493/2048)"""

LOOKS: dict[Layer, dict[str, Any]] = {
    "outline": {"color": INK, "linewidth": 1.2},
    "holes": {"color": "#b02a1a", "linewidth": 0.9},
    "reference": {"color": "#4a6fa5", "linewidth": 0.4},
    "text": {"color": INK},
}
"""line widths in points"""

DASHES = (0, (8, 5))


def page(paper: tuple[float, float]) -> tuple[Figure, Axes]:
    """An empty sheet of this width and height (mm), and axes all over it in millimetres."""
    figure = Figure(figsize=(paper[0] / INCH, paper[1] / INCH), facecolor=PAPER)
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, paper[0])
    axes.set_ylim(0.0, paper[1])
    axes.set_axis_off()
    return figure, axes


def put_marks(
    axes: Axes,
    marks: Iterable[Mark],
    at: tuple[float, float],
    scale: float = 1.0,
    window: Rectangle | None = None,
) -> None:
    """Draw marks, the drawing's (0, 0) at a place of the page; only what is in a window, if any."""
    for mark in marks:
        artist = _artist(axes, mark, at, scale)
        if window is not None:
            artist.set_clip_path(window)


def put_words(axes: Axes, text: str, x: float, y: float, capitals: float, **how: Any) -> Artist:
    """Write on a page, capitals so many millimetres high."""
    look = {"color": INK, "fontsize": capitals / CAPITALS * POINTS, **WORDS, **how}
    return axes.text(x, y, plain(text), **look)


def _artist(axes: Axes, mark: Mark, at: tuple[float, float], scale: float) -> Artist:
    if isinstance(mark, Words):
        x, y = _moved(mark.at, at, scale)
        side = {"start": "left", "middle": "center", "end": "right"}[mark.anchor]
        return put_words(axes, mark.text, x, y, mark.height * scale, ha=side, va="baseline")
    look = LOOKS[mark.layer]
    dashes: Any = DASHES if mark.dashed else "-"
    patch: dict[str, Any] = {
        "fill": False,
        "edgecolor": look["color"],
        "linewidth": look["linewidth"],
        "linestyle": dashes,
    }
    if isinstance(mark, Circle):
        centre = _moved(mark.centre, at, scale)
        return axes.add_patch(RoundPatch(centre, mark.radius * scale, **patch))
    points = [_moved(point, at, scale) for point in mark.points]
    if mark.closed:
        return axes.add_patch(Polygon(points, closed=True, joinstyle="miter", **patch))
    return _line(axes, mark, points, look, dashes)


def _line(
    axes: Axes, mark: Stroke, points: list[tuple[float, float]], look: dict[str, Any], dashes: Any
) -> Line2D:
    across, up = zip(*points, strict=True)
    return axes.add_line(Line2D(across, up, linestyle=dashes, **look))


def _moved(
    point: tuple[float, float], at: tuple[float, float], scale: float
) -> tuple[float, float]:
    return at[0] + scale * point[0], at[1] + scale * point[1]
