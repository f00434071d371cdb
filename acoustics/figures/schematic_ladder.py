"""A ladder in a schematic: every rung has a strip of its own.

Nothing that stands in one strip reaches into another, so names of any length keep clear of each
other. All lengths are in inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from acoustics.crossover.connections import Ladder, Rung
from acoustics.figures.schematic_places import Drawn, draw_along, draw_down, draw_driver
from acoustics.figures.schematic_words import (
    CLEAR,
    GAP,
    LEAD,
    Label,
    driver_height,
    driver_width,
    label_of,
)
from acoustics.figures.symbols import HALF, LENGTH, joint, wire

MOST = 9.6
"""inches: of rungs in one line; a longer ladder goes on below"""

LEAST = 0.6
"""inches: between the upper and the lower line, at least"""


@dataclass(frozen=True)
class Strip:
    """A rung and the room it takes: its width, how far it reaches above and below the upper line.

    `pitch` is the distance from one of its parts to the next, along or across.
    """

    rung: Rung
    labels: tuple[Label, ...]
    width: float
    above: float
    below: float
    pitch: float


@dataclass(frozen=True)
class Line:
    """Some rungs of one ladder side by side; `first` and `last` say where in the ladder it is.

    Lengths in inches: what stands above the upper line, and how far the lower one is below it.
    """

    ladder: Ladder
    strips: tuple[Strip, ...]
    first: bool
    last: bool
    above: float
    below: float

    @property
    def width(self) -> float:
        """Inches, of the rungs and the driver."""
        rungs = sum(strip.width for strip in self.strips)
        return rungs + (driver_width(self.ladder) if self.last else 0.0)

    @property
    def labels(self) -> tuple[Label, ...]:
        """The words at all its parts."""
        return tuple(label for strip in self.strips for label in strip.labels)


def lines_of(ladder: Ladder) -> list[Line]:
    """The lines of a ladder from top to bottom."""
    lines = []
    rows = _wrapped([_strip(rung) for rung in ladder.rungs])
    for number, row in enumerate(rows):
        last = number + 1 == len(rows)
        below = [LEAST, *(strip.below for strip in row)]
        below += [driver_height(ladder)] if last else []
        above = max([2 * GAP, *(strip.above for strip in row)])
        lines.append(Line(ladder, tuple(row), number == 0, last, above, max(below)))
    return lines


def draw_line(axes: Axes, line: Line, x: float, upper: float, lower: float) -> Drawn:
    """Draw rungs side by side from x on, and the driver."""
    drawn = Drawn()
    for strip in line.strips:
        drawn += _draw_strip(axes, strip, x, upper, lower)
        x += strip.width
    return drawn + draw_driver(axes, line.ladder, x, upper, lower) if line.last else drawn


def _strip(rung: Rung) -> Strip:
    labels = tuple(label_of(part) for part in rung.parts)
    wide = max(label.width for label in labels)
    high = max(label.height for label in labels)
    small = max(label.small_height for label in labels)
    count = len(labels)
    if rung.element.place == "series":
        pitch = max(LENGTH + 2 * LEAD, wide + 2 * GAP)
        if rung.side_by_side:
            step = high + small + 2 * (HALF + CLEAR) + GAP
            above = (count - 1) * step + HALF + CLEAR + high
            return Strip(rung, labels, pitch + 2 * LEAD, above, HALF + small + GAP, step)
        return Strip(rung, labels, count * pitch, HALF + CLEAR + high, HALF + small + GAP, pitch)
    if rung.side_by_side:
        pitch = HALF + GAP + wide + GAP + HALF
        below = max(LENGTH + 2 * LEAD, high + small) + 2 * GAP
        return Strip(rung, labels, count * pitch + GAP, 0.0, below, pitch)
    pitch = max(LENGTH + 2 * LEAD, high + small + GAP)
    width = 2 * HALF + GAP + wide + GAP
    return Strip(rung, labels, width, 0.0, count * pitch, pitch)


def _wrapped(strips: Sequence[Strip]) -> list[list[Strip]]:
    """Strips in as few lines as they fit, and these about alike in width."""
    rows = _packed(strips, MOST)
    limit, step = sum(strip.width for strip in strips) / len(rows), MOST / 50
    while len(_packed(strips, limit)) > len(rows):
        limit += step
    return _packed(strips, limit)


def _packed(strips: Sequence[Strip], limit: float) -> list[list[Strip]]:
    rows: list[list[Strip]] = [[]]
    room = limit
    for strip in strips:
        if rows[-1] and strip.width > room + 1e-9:
            rows.append([])
            room = limit
        rows[-1].append(strip)
        room -= strip.width
    return rows


def _draw_strip(axes: Axes, strip: Strip, x: float, upper: float, lower: float) -> Drawn:
    """One rung."""
    parts = list(zip(strip.rung.parts, strip.labels, strict=True))
    if strip.rung.element.place == "series":
        if strip.rung.side_by_side:
            return _beside_in_the_way(axes, strip, x, upper)
        starts = [x + number * strip.pitch for number in range(len(parts))]
        return Drawn(
            places=tuple(
                draw_along(axes, part, label, (start, upper), (start + strip.pitch, upper))
                for start, (part, label) in zip(starts, parts, strict=True)
            )
        )
    wire(axes, (x, upper), (x + strip.width, upper))
    if strip.rung.side_by_side:
        return _beside_across(axes, strip, x, upper, lower)
    return _one_across(axes, strip, x, upper, lower)


def _beside_in_the_way(axes: Axes, strip: Strip, x: float, upper: float) -> Drawn:
    left, right = x + LEAD, x + strip.width - LEAD
    wire(axes, (x, upper), (left, upper))
    wire(axes, (right, upper), (x + strip.width, upper))
    places = []
    for number, (part, label) in enumerate(zip(strip.rung.parts, strip.labels, strict=True)):
        y = upper + number * strip.pitch
        places.append(draw_along(axes, part, label, (left, y), (right, y)))
        if number + 1 < len(strip.labels):
            for side in (left, right):
                wire(axes, (side, y), (side, y + strip.pitch))
                joint(axes, (side, y))
    return Drawn(places=tuple(places))


def _one_across(axes: Axes, strip: Strip, x: float, upper: float, lower: float) -> Drawn:
    x += HALF + GAP / 2
    joint(axes, (x, upper))
    joint(axes, (x, lower))
    step = (upper - lower) / len(strip.labels)
    places = []
    for number, (part, label) in enumerate(zip(strip.rung.parts, strip.labels, strict=True)):
        y = upper - number * step
        places.append(draw_down(axes, part, label, (x, y), (x, y - step)))
    return Drawn((x,), tuple(places))


def _beside_across(axes: Axes, strip: Strip, x: float, upper: float, lower: float) -> Drawn:
    count = len(strip.rung.parts)
    columns = [x + HALF + GAP / 2 + number * strip.pitch for number in range(count)]
    high, low = upper - GAP, lower + GAP
    middle = (columns[0] + columns[-1]) / 2
    for level, bar in ((upper, high), (lower, low)):
        joint(axes, (middle, level))
        wire(axes, (middle, level), (middle, bar))
        wire(axes, (columns[0], bar), (columns[-1], bar))
        for column in {middle, *columns[1:-1]}:
            joint(axes, (column, bar))
    places = tuple(
        draw_down(axes, part, label, (column, high), (column, low))
        for column, part, label in zip(columns, strip.rung.parts, strip.labels, strict=True)
    )
    return Drawn((middle,), places)
