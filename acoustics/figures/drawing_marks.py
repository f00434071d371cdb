"""A drawing as strokes, circles and words in millimetres, before it is written in any format.

y runs upward, and (0, 0) is the lower left corner of the rectangle round the outline.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from acoustics.figures.front_face import MM
from acoustics.figures.layout import spread
from acoustics.studies.drawings import Cut, Drawing, Line, Ring
from acoustics.studies.wording import tenths

Layer = Literal["outline", "holes", "reference", "text"]
LAYERS: tuple[Layer, ...] = ("outline", "holes", "reference", "text")

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

LETTERS = 3.5
"""mm: height of capital letters (a nominal height of ISO 3098; from memory)"""

CROSS = 6.0
"""mm: from a centre to the ends of its mark"""

CLEAR, LEVEL, SIDE = 1.2, 1.9, 4.6
"""in heights of letters: free beside a line, from one line of words to the next, and from one
number to the next where they stand side by side"""


@dataclass(frozen=True)
class Stroke:
    """A line through points, mm."""

    points: tuple[Point, ...]
    layer: Layer
    closed: bool = False
    dashed: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle, mm."""

    centre: Point
    radius: float
    layer: Layer
    dashed: bool = False


@dataclass(frozen=True)
class Words:
    """One line of text, its base line at `at`, capitals `height` mm high."""

    text: str
    at: Point
    height: float
    anchor: Anchor = "start"


Mark = Stroke | Circle | Words


@dataclass(frozen=True)
class Marks:
    """A drawing to scale: what is on the thing itself, and what stands around it.

    `size` is that of the rectangle round the outline; `left`, `bottom`, `right` and `top` are how
    far all of it reaches, mm.
    """

    on: tuple[Mark, ...]
    around: tuple[Mark, ...]
    size: Point
    left: float
    bottom: float
    right: float
    top: float


def marks_of(
    drawing: Drawing, letters: float = LETTERS, *, notes: bool = True, brief: bool = False
) -> Marks:
    """The marks of a drawing at its true size.

    Args:
        drawing: in metres.
        letters: height of capital letters, mm; larger where the drawing is shown smaller.
        notes: whether title and notes stand above and below it.
        brief: whether holes bear their letter alone, which the notes explain.
    """
    wide, high = (MM * size for size in drawing.size)
    on = tuple(_on(drawing, letters, brief))
    beside = list(_heights(drawing, letters))
    below = list(_places(drawing, letters))
    overall = list(_overall(wide, high, letters))
    floor = -(SIDE + 3 * LEVEL) * letters
    words: list[Mark] = []
    if notes:
        words.append(
            Words(f"{drawing.subject}: {drawing.title}", (0.0, high + LEVEL * letters), letters)
        )
        lines = ("mm, drawn at its true size", *drawing.notes)
        words += [
            Words(line, (0.0, floor - LEVEL * letters * number), letters)
            for number, line in enumerate(lines)
        ]
        floor -= LEVEL * letters * len(lines)
    numbers = [word.at[0] for word in (*beside, *below) if isinstance(word, Words)]
    heights = [word.at[1] for word in beside if isinstance(word, Words)]
    return Marks(
        on=on,
        around=(*beside, *below, *overall, *words),
        size=(wide, high),
        left=min(-(2 * SIDE) * letters, *numbers, 0.0),
        bottom=min(floor, *heights, 0.0),
        right=max([wide, *numbers]) + SIDE * letters,
        top=max([high, *heights]) + 2 * LEVEL * letters,
    )


def _on(drawing: Drawing, letters: float, brief: bool) -> Iterator[Mark]:
    yield Stroke(_scaled(drawing.outline), "outline", closed=True)
    for line in drawing.lines:
        yield from _line(line, letters)
    for ring in drawing.rings:
        yield _ring(ring)
    for cut in drawing.cuts:
        yield from _cut(cut, letters, brief)


def _line(line: Line, letters: float) -> Iterator[Mark]:
    points = _scaled(line.points)
    yield Stroke(points, "reference", closed=True)
    if line.letter:
        across, up = zip(*points, strict=True)
        middle = (min(across) + max(across)) / 2, (min(up) + max(up) - letters) / 2
        yield Words(line.letter, middle, letters, "middle")


def _ring(ring: Ring) -> Circle:
    return Circle(_point(ring.centre), MM * ring.radius, "reference")


def _cut(cut: Cut, letters: float, brief: bool) -> Iterator[Mark]:
    x, y = _point(cut.centre)
    if cut.kind == "round":
        yield Circle((x, y), MM * cut.size[0] / 2, "holes", dashed=not cut.stated)
    else:
        yield Stroke(_scaled(cut.outline), "holes", closed=True, dashed=not cut.stated)
    yield Stroke(((x - CROSS, y), (x + CROSS, y)), "reference")
    yield Stroke(((x, y - CROSS), (x, y + CROSS)), "reference")
    at = x + 0.4 * letters, y + 0.4 * letters
    if brief:
        yield Words(cut.letter, at, letters)
        return
    size = " × ".join(map(tenths, cut.size))
    words = f"{cut.letter}  {'Ø ' if cut.kind == 'round' else ''}{size}"
    yield Words(words, at, letters)
    told = [cut.what] if cut.stated else [cut.what, "cut-out not stated"]
    for number, line in enumerate(told):
        yield Words(line, (at[0], y - (1.4 + LEVEL * number) * letters), letters)


def _heights(drawing: Drawing, letters: float) -> Iterator[Mark]:
    """How far above the bottom each place is, right of the outline."""
    right = MM * drawing.size[0]
    places = [MM * place for place in drawing.upward]
    for place, at in zip(places, spread(np.array(places), LEVEL * letters), strict=True):
        bends = ((right + CLEAR, place), (right + 4 * CLEAR, place), (right + 7 * CLEAR, float(at)))
        yield Stroke(bends, "reference")
        where = right + 8 * CLEAR, float(at) - letters / 2
        yield Words(tenths(place / MM), where, letters)


def _places(drawing: Drawing, letters: float) -> Iterator[Mark]:
    """How far from the left each place is, below the outline."""
    places = [MM * place for place in drawing.across]
    for place, at in zip(places, spread(np.array(places), SIDE * letters), strict=True):
        bends = ((place, -CLEAR), (place, -4 * CLEAR), (float(at), -7 * CLEAR))
        yield Stroke(bends, "reference")
        yield Words(tenths(place / MM), (float(at), -8 * CLEAR - letters), letters, "middle")


def _overall(wide: float, high: float, letters: float) -> Iterator[Mark]:
    """Width below and height to the left, between the ends of a line."""
    low, tick = -(8 * CLEAR + 2.5 * letters), letters / 2
    yield Stroke(((0.0, low), (wide, low)), "reference")
    yield from (Stroke(((x, low - tick), (x, low + tick)), "reference") for x in (0.0, wide))
    yield Words(tenths(wide / MM), (wide / 2, low - 1.5 * letters), letters, "middle")
    aside = -2 * letters
    yield Stroke(((aside, 0.0), (aside, high)), "reference")
    yield from (Stroke(((aside - tick, y), (aside + tick, y)), "reference") for y in (0.0, high))
    yield Words(tenths(high / MM), (aside - tick, high / 2 - letters / 2), letters, "end")


def _point(point: Point) -> Point:
    return MM * point[0], MM * point[1]


def _scaled(points: tuple[Point, ...]) -> tuple[Point, ...]:
    return tuple(map(_point, points))
