"""Signs of a circuit, as IEC 60617 has them (from memory), drawn in inches between two points."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon

from acoustics.case.design.network_parts import PartKind
from acoustics.figures.style import INK, PAPER

LINE = 1.4
"""points: width of all lines"""

LENGTH = 0.5
"""inches: of a part's sign along its line"""
HALF = 0.15
"""inches: how far it reaches to either side, at most"""

LOUDSPEAKER = (0.36, 0.56)
"""inches: width and height of a loudspeaker's sign, right of its terminals' line by `BACK` less"""
BACK = 0.08

HOP = 0.07
"""inches: radius of the bow with which a line leaps over another"""

Point = tuple[float, float]


def wire(axes: Axes, *points: Point) -> None:
    """A line through some points."""
    x, y = zip(*points, strict=True)
    axes.plot(x, y, color=INK, linewidth=LINE, solid_capstyle="round", solid_joinstyle="round")


def joint(axes: Axes, at: Point) -> None:
    """The dot where lines are joined."""
    axes.add_patch(Circle(at, 0.035, facecolor=INK, edgecolor=INK, zorder=3))


def open_end(axes: Axes, at: Point) -> None:
    """The ring of a terminal, or of a line that goes on elsewhere."""
    axes.add_patch(Circle(at, 0.045, facecolor=PAPER, edgecolor=INK, linewidth=LINE, zorder=3))


def part(axes: Axes, kind: PartKind, start: Point, end: Point) -> None:
    """A part with its leads, in the middle between two points."""
    place = _along(start, end)
    length = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    before, after = (length - LENGTH) / 2, (length + LENGTH) / 2
    if kind == "capacitor":
        gap = 0.045
        before, after = length / 2 - gap, length / 2 + gap
    wire(axes, start, place(before, 0.0))
    wire(axes, place(after, 0.0), end)
    SIGNS[kind](axes, place, before, after)


def hop(axes: Axes, start: Point, over: Sequence[float], end: Point) -> None:
    """A level line from `start` to the right to `end` that leaps over upright ones at x = `over`.

    The latter in their order.
    """
    angle = np.linspace(np.pi, 0.0, 25)
    here = start
    for x in over:
        wire(axes, here, (x - HOP, start[1]))
        wire(axes, *((x + HOP * np.cos(a), start[1] + HOP * np.sin(a)) for a in angle))
        here = (x + HOP, start[1])
    wire(axes, here, end)


def loudspeaker(axes: Axes, top: Point, bottom: Point) -> None:
    """A loudspeaker whose terminals are joined to two points, one above the other."""
    x, middle = top[0], (top[1] + bottom[1]) / 2
    width, height = LOUDSPEAKER
    body, flare = 0.17, width - BACK - 0.09
    left, right = x - BACK, x + 0.09
    wire(axes, top, (x, middle + body))
    wire(axes, (x, middle - body), bottom)
    for corners in (
        [(left, middle - body), (right, middle - body), (right, middle + body)],
        [(right, middle - body), (right + flare, middle - height / 2)],
    ):
        mirrored = [(px, 2 * middle - py) for px, py in reversed(corners)]
        _closed(axes, corners + mirrored)


def _closed(axes: Axes, corners: list[Point]) -> None:
    outline = {"facecolor": PAPER, "edgecolor": INK, "linewidth": LINE, "joinstyle": "round"}
    axes.add_patch(Polygon(corners, closed=True, zorder=2, **outline))


Placed = Callable[[float, float], Point]


def _along(start: Point, end: Point) -> Placed:
    """From along the line and to its left, in inches, to where that is."""
    begin = np.array(start)
    way = np.array(end) - begin
    way = way / np.hypot(*way)

    def place(along: float, aside: float) -> Point:
        x, y = begin + along * way + aside * np.array([-way[1], way[0]])
        return float(x), float(y)

    return place


def _resistor(axes: Axes, place: Placed, before: float, after: float) -> None:
    half = 0.085
    _closed(
        axes, [place(before, -half), place(after, -half), place(after, half), place(before, half)]
    )


def _capacitor(axes: Axes, place: Placed, before: float, after: float) -> None:
    for plate in (before, after):
        wire(axes, place(plate, -HALF), place(plate, HALF))


def _coil(axes: Axes, place: Placed, before: float, after: float) -> None:
    turns = 4
    radius = (after - before) / (2 * turns)
    angle = np.linspace(np.pi, 0.0, 25)
    bows = [
        place(before + (2 * turn + 1 + np.cos(a)) * radius, 1.3 * radius * np.sin(a))
        for turn in range(turns)
        for a in angle
    ]
    wire(axes, *bows)


SIGNS: dict[PartKind, Callable[[Axes, Placed, float, float], None]] = {
    "resistor": _resistor,
    "capacitor": _capacitor,
    "inductor": _coil,
}
