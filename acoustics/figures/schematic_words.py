"""The words of a schematic at its parts and drivers, and the room they take."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from matplotlib.axes import Axes

from acoustics.case.design.network_parts import Part, pieces_of
from acoustics.crossover.connections import Ladder
from acoustics.figures import symbols
from acoustics.figures.style import INK, QUIET, WORDS, text_width
from acoustics.figures.symbols import HALF, LOUDSPEAKER
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

CLEAR = 0.04
"""inches: between a sign and the words above or below it"""

BASELINE = 0.77
"""of a line of words, in its height from the top"""

WITH_DRIVER = 1.05
"""inches: between the lines that a driver hangs on, at least"""
TO_DRIVER = 0.3
"""inches: from the last part to its terminals"""


@dataclass(frozen=True)
class Label:
    """The words at a part: name and value, in small letters what its wire has or its pieces are."""

    lines: tuple[str, ...]
    small: tuple[str, ...]
    under: float = 0.0
    """inches: how far the sign reaches below its line, where there are small letters"""

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


def label_of(part: Part) -> Label:
    """The words at a part."""
    small = []
    if part.kind == "inductor":
        small += [plain_ohm(part.resistance)] if part.resistance else []
        small += [f"core {plain_ohm(part.core_resistance)}"] if part.core_resistance else []
    if part.pieces:
        values = [value_words(piece) for piece in pieces_of(part)]
        # Two of one unit share it: "10 + 2.2 µF".
        units = {value.partition(" ")[2] for value in values}
        if len(units) == 1:
            values[:-1] = [value.partition(" ")[0] for value in values[:-1]]
        small += ["side by side"] if part.kind == "capacitor" else ["one after", "the other"]
        return Label((*wrapped(part.name), " + ".join(values)), tuple(small), HALF)
    return Label((*wrapped(part.name), value_words(part)), tuple(small))


def driver_words(ladder: Ladder) -> Label:
    """The words at a driver."""
    small = ("polarity", "inverted") if ladder.swapped else ()
    return Label(tuple(wrapped(ladder.driver.name)), small)


def driver_width(ladder: Ladder) -> float:
    """Inches that a driver and its words take."""
    return TO_DRIVER + LOUDSPEAKER[0] + GAP + driver_words(ladder).width


def driver_height(ladder: Ladder) -> float:
    """Inches between the lines that a driver and its words take."""
    words = driver_words(ladder)
    return max(WITH_DRIVER, words.height + words.small_height + GAP)


def value_words(part: Part) -> str:
    """A part's value with the signs of its unit: "10 µF", "8.2 Ω"."""
    return part_value(part.kind, part.value).replace(" uF", " µF").replace(" ohm", " Ω")


def plain_ohm(resistance: float) -> str:
    """A resistance: "0.37 Ω"."""
    return f"{resistance:.4g} Ω"


def wrapped(name: str) -> list[str]:
    """A name in lines."""
    return textwrap.wrap(name, LETTERS)


def draw_driver_words(axes: Axes, ladder: Ladder, at: float, middle: float) -> None:
    """The signs of a driver's terminals, which are at x = `at` about the height `middle`; name."""
    marks = ("−", "+") if ladder.swapped else ("+", "−")
    for sign, y in zip(marks, (middle + 0.32, middle - 0.32), strict=True):
        say(axes, at - 0.14, y, sign, ha="center", va="center")
    words = driver_words(ladder)
    draw_label(axes, at + LOUDSPEAKER[0] - symbols.BACK + GAP, middle, words)


def draw_label_above(axes: Axes, x: float, y: float, label: Label) -> None:
    """Name and value above a sign in a level line, its wire's resistance below."""
    draw_lines(axes, x, y + HALF + CLEAR + label.height, label.lines, ha="center")
    draw_lines(axes, x, y - label.under - CLEAR, label.small, ha="center", small=True)


def draw_label(axes: Axes, x: float, y: float, label: Label) -> None:
    """All words to the right of a sign, about the height y."""
    top = y + (label.height + label.small_height) / 2
    draw_lines(axes, x, top, label.lines, ha="left")
    draw_lines(axes, x, top - label.height, label.small, ha="left", small=True)


def draw_lines(
    axes: Axes, x: float, top: float, lines: tuple[str, ...], *, ha: str, small: bool = False
) -> None:
    """Lines of words from `top` down, evenly spaced."""
    size, color = (SMALL, QUIET) if small else (SIZE, INK)
    step = SPACING * size / 72
    for number, line in enumerate(lines):
        y = top - (number + BASELINE) * step
        say(axes, x, y, line, ha=ha, va="baseline", fontsize=size, color=color)


def say(axes: Axes, x: float, y: float, text: str, **how: float | str) -> None:
    """A few words, placed as `how` says."""
    axes.text(x, y, text, **{"fontsize": SIZE, "color": INK, **WORDS, **how})
