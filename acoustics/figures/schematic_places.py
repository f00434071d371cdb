"""Parts and drivers of a schematic drawn with their words, and the room that each then takes."""

from __future__ import annotations

from dataclasses import dataclass

from matplotlib.axes import Axes

from acoustics.case.design.network_parts import Part
from acoustics.crossover.connections import Ladder
from acoustics.figures import symbols
from acoustics.figures.schematic_words import (
    CLEAR,
    GAP,
    TO_DRIVER,
    Label,
    draw_driver_words,
    draw_label,
    draw_label_above,
    driver_words,
)
from acoustics.figures.symbols import HALF, LENGTH, LOUDSPEAKER, Point, wire


@dataclass(frozen=True)
class Place:
    """What stands somewhere in a schematic, sign and words: a part, or the driver of a ladder.

    Its sides are in inches, as the schematic is drawn.
    """

    what: Part | Ladder
    left: float
    right: float
    bottom: float
    top: float


@dataclass(frozen=True)
class Drawn:
    """Some of a schematic: where it meets the lower line (x), and what stands where in it."""

    ends: tuple[float, ...] = ()
    places: tuple[Place, ...] = ()

    def __add__(self, other: Drawn) -> Drawn:
        """Both."""
        return Drawn(self.ends + other.ends, self.places + other.places)


def draw_along(axes: Axes, part: Part, label: Label, start: Point, end: Point) -> Place:
    """Draw a part in a level line from `start` to the right, its words above and below it."""
    symbols.part(axes, part.kind, start, end)
    middle, y = (start[0] + end[0]) / 2, start[1]
    draw_label_above(axes, middle, y, label)
    half = max(LENGTH, label.width) / 2
    below = label.under + CLEAR + label.small_height
    return Place(
        part, middle - half, middle + half, y - max(HALF, below), y + HALF + CLEAR + label.height
    )


def draw_down(axes: Axes, part: Part, label: Label, top: Point, bottom: Point) -> Place:
    """Draw a part in an upright line from `top` down, its words on the right."""
    symbols.part(axes, part.kind, top, bottom)
    x, middle = top[0], (top[1] + bottom[1]) / 2
    draw_label(axes, x + HALF + GAP, middle, label)
    half = max(LENGTH, label.height + label.small_height) / 2
    return Place(part, x - HALF, x + HALF + GAP + label.width, middle - half, middle + half)


def draw_driver(axes: Axes, ladder: Ladder, x: float, upper: float, lower: float) -> Drawn:
    """Draw a driver between two lines that end at x, its terminals as they are wired."""
    at, middle = x + TO_DRIVER, (upper + lower) / 2
    wire(axes, (x, upper), (at, upper))
    wire(axes, (x, lower), (at, lower))
    symbols.loudspeaker(axes, (at, upper), (at, lower))
    draw_driver_words(axes, ladder, at, middle)
    words = driver_words(ladder)
    left, sign = at - symbols.BACK, at - symbols.BACK + LOUDSPEAKER[0]
    half = max(LOUDSPEAKER[1], words.height + words.small_height) / 2
    place = Place(ladder, left, sign + GAP + words.width, middle - half, middle + half)
    return Drawn((at,), (place,))
