"""Where everything of a schematic goes, in inches: every rung has a strip of its own.

Nothing that stands in one strip reaches into another, so names of any length keep clear of each
other.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from acoustics.crossover.connections import Ladder, Rung
from acoustics.crossover.network import Part
from acoustics.figures.style import text_width
from acoustics.figures.symbols import HALF, LENGTH, LOUDSPEAKER
from acoustics.studies.wording import part_value

SIZE, SMALL = 11.0, 9.0
"""points: names and values; what the coil's wire has"""
SPACING = 1.2
"""of lines of text, in their height"""
LETTERS = 14
"""of a name, before it goes on in the next line"""

GAP = 0.12
"""inches: between a sign and its words, and between strips"""
LEAD = 0.17
"""inches: of line at either end of a sign, at least"""

MOST = 9.6
"""inches: of rungs in one line; a longer ladder goes on below"""

LEFT = 1.25
"""inches: where rungs begin, right of the amplifier"""

CLEAR = 0.04
"""inches: between a sign and the words above or below it"""

LEAST, WITH_AMPLIFIER, WITH_DRIVER = 0.6, 1.4, 1.05
"""inches: between the upper and the lower line, at least"""


@dataclass(frozen=True)
class Label:
    """The words at a part: name and value, and in small letters what its wire has."""

    lines: tuple[str, ...]
    small: tuple[str, ...]

    @property
    def width(self) -> float:
        """Inches."""
        wide = text_width("\n".join(self.lines), SIZE)
        return max(wide, text_width("\n".join(self.small), SMALL)) / 72

    @property
    def height(self) -> float:
        """Inches, of the large lines."""
        return SPACING * SIZE * len(self.lines) / 72

    @property
    def small_height(self) -> float:
        """Inches, of the small lines."""
        return SPACING * SMALL * len(self.small) / 72


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
    """Some rungs of one ladder side by side; `first` and `last` say where in the ladder it is."""

    ladder: Ladder
    strips: tuple[Strip, ...]
    first: bool
    last: bool
    above: float
    below: float

    @property
    def width(self) -> float:
        """Inches, of the rungs together."""
        return sum(strip.width for strip in self.strips)


def lines_of(ladders: Sequence[Ladder]) -> list[Line]:
    """The lines of a schematic from top to bottom, every ladder beginning a new one."""
    lines = list[Line]()
    for ladder in ladders:
        rows = _wrapped([_strip(rung) for rung in ladder.rungs])
        words = driver_words(ladder)
        for number, row in enumerate(rows):
            last = number + 1 == len(rows)
            below = [LEAST, *(strip.below for strip in row)]
            below += [] if lines else [WITH_AMPLIFIER]
            below += [WITH_DRIVER, words.height + words.small_height + GAP] if last else []
            above = max([2 * GAP, *(strip.above for strip in row)])
            lines.append(Line(ladder, tuple(row), number == 0, last, above, max(below)))
    return lines


def label_of(part: Part) -> Label:
    """The words at a part."""
    small = []
    if part.kind == "inductor":
        small += [plain_ohm(part.resistance)] if part.resistance else []
        small += [f"core {plain_ohm(part.core_resistance)}"] if part.core_resistance else []
    return Label((*wrapped(part.name), value_words(part)), tuple(small))


def driver_words(ladder: Ladder) -> Label:
    """The words at a driver."""
    small = ("polarity", "inverted") if ladder.swapped else ()
    return Label(tuple(wrapped(ladder.driver.name)), small)


def driver_width(ladder: Ladder) -> float:
    """Inches that a driver and its words take."""
    return 0.3 + LOUDSPEAKER[0] + GAP + driver_words(ladder).width


def value_words(part: Part) -> str:
    """A part's value with the signs of its unit: "10 µF", "8.2 Ω"."""
    return part_value(part.kind, part.value).replace(" uF", " µF").replace(" ohm", " Ω")


def plain_ohm(resistance: float) -> str:
    """A resistance: "0.37 Ω"."""
    return f"{resistance:.4g} Ω"


def wrapped(name: str) -> list[str]:
    """A name in lines."""
    return textwrap.wrap(name, LETTERS)


def _strip(rung: Rung) -> Strip:
    labels = tuple(label_of(part) for part in rung.parts)
    wide = max(label.width for label in labels)
    high = max(label.height for label in labels)
    small = max(label.small_height for label in labels)
    count = len(labels)
    if rung.element.place == "series":
        pitch = max(LENGTH + 2 * LEAD, wide + GAP)
        if rung.side_by_side:
            step = high + small + HALF + 2 * GAP
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
