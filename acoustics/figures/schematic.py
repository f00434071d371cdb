"""The schematic of a passive crossover: a network for every driver, all on one amplifier."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from acoustics.case.design.model import Case
from acoustics.crossover.connections import Ladder, ladders_of
from acoustics.figures.schematic_grid import Grid, draw_grid, grid_of
from acoustics.figures.schematic_ladder import Line, draw_line, lines_of
from acoustics.figures.schematic_places import Place
from acoustics.figures.schematic_words import GAP, say
from acoustics.figures.style import PAPER, WIDTH, head, head_height
from acoustics.figures.symbols import hop, joint, open_end, wire

BETWEEN = 0.3
"""inches: between a line's return and what is above the next"""
TERMINALS, BACK, OUT, IN = 0.12, 0.42, 0.7, 1.05
"""inches: x of the amplifier's terminals, of the line that leads back to it, of that out, and of
where a ladder goes on"""
LEFT = 1.25
"""inches: where parts begin, right of the amplifier"""
WITH_AMPLIFIER = 1.4
"""inches: between its terminals"""
MARGIN = 0.12
"""inches: round the drawing"""

Levels = tuple[float, float]
"""y of the upper and of the lower line"""


class Schematic(NamedTuple):
    """A schematic, and what stands where in its axes."""

    figure: Figure
    places: tuple[Place, ...]


def schematic_sheet(case: Case) -> Figure | None:
    """How the parts of the passive crossover are joined; None where there is none."""
    found = schematic_of(case)
    return None if found is None else found.figure


def schematic_of(case: Case) -> Schematic | None:
    """The same, with the place of each part and driver."""
    lines = schematic_lines(ladders_of(case))
    if not lines:
        return None
    question = "How are the parts of the crossover joined?"
    notes = []
    if any(words.endswith("Ω") for line in lines for each in line.labels for words in each.small):
        notes.append("small: resistance of the coil's wire")
    if len(lines) > 1 or any(isinstance(line, Grid) for line in lines):
        notes.append("lines that leap over each other are not joined")
    more = "; ".join(notes)
    across = LEFT + max(line.width + GAP + 0.1 for line in lines)
    down = sum(line.above + line.below + BETWEEN for line in lines)
    top = head_height(question, case.title, more)
    width, height = max(WIDTH, across + 2 * MARGIN), down + top + MARGIN
    figure = Figure(figsize=(width, height), facecolor=PAPER)
    FigureCanvasAgg(figure)
    # One unit is one inch, so that what the plan keeps apart stays apart.
    axes = figure.add_axes((0.0, 0.0, 1.0, (down + MARGIN) / height))
    axes.set_xlim(-MARGIN, width - MARGIN)
    axes.set_ylim(-down, MARGIN)
    places = draw_schematic(axes, lines)
    head(figure, question, case.title, more, y=1 - MARGIN / height)
    return Schematic(figure, places)


def schematic_lines(ladders: Sequence[Ladder]) -> list[Line | Grid]:
    """The lines of a schematic from top to bottom, every driver's network beginning a new one."""
    lines = list[Line | Grid]()
    for ladder in ladders:
        lines += [grid_of(ladder)] if ladder.free else lines_of(ladder)
    if lines:
        lines[0] = replace(lines[0], below=max(lines[0].below, WITH_AMPLIFIER))
    return lines


def draw_schematic(axes: Axes, lines: Sequence[Line | Grid]) -> tuple[Place, ...]:
    """Draw a schematic, its upper left corner at (0, 0), a unit an inch.

    Args:
        axes: where to draw; frame and ticks are taken away.
        lines: from `schematic_lines`.

    Returns:
        What stands where.
    """
    axes.set_axis_off()
    levels, top = list[Levels](), 0.0
    for line in lines:
        levels.append((top - line.above, top - line.above - line.below))
        top = levels[-1][1] - BETWEEN
    outs = [upper for line, (upper, _) in zip(lines, levels, strict=True) if line.first]
    minus = levels[0][0] - WITH_AMPLIFIER
    _amplifier(axes, minus, outs)
    backs, goes_on, places = [minus], 0, list[Place]()
    for line, (upper, lower) in zip(lines, levels, strict=True):
        wire(axes, (OUT if line.first else IN, upper), (LEFT, upper))
        if not line.first:
            _goes_on(axes, (IN, upper), _letters(goes_on), left=True)
            goes_on += 1
        if isinstance(line, Grid):
            drawn = draw_grid(axes, line, LEFT, upper, lower)
        else:
            drawn = draw_line(axes, line, LEFT, upper, lower)
        ends, places = drawn.ends, [*places, *drawn.places]
        if not line.last:
            right = LEFT + line.width
            wire(axes, (right, upper), (right + GAP, upper))
            _goes_on(axes, (right + GAP, upper), _letters(goes_on), left=False)
        if ends:
            # The line out is leapt over where it still leads to a network below.
            hop(axes, (BACK, lower), [OUT] if outs[-1] < lower else [], (max(ends), lower))
            backs.append(lower)
    wire(axes, (BACK, minus), (BACK, backs[-1]))
    for level in backs[1:-1]:
        joint(axes, (BACK, level))
    return tuple(places)


def _amplifier(axes: Axes, minus: float, outs: Sequence[float]) -> None:
    """Its terminals, and the line that leads from its plus down to every network."""
    upper = outs[0]
    wire(axes, (TERMINALS, upper), (OUT, upper))
    wire(axes, (TERMINALS, minus), (BACK, minus))
    wire(axes, (OUT, upper), (OUT, outs[-1]))
    for y in outs[:-1]:
        joint(axes, (OUT, y))
    for y, sign, inward in ((upper, "+", -1), (minus, "−", 1)):
        open_end(axes, (TERMINALS, y))
        say(axes, TERMINALS, y + 0.18 * inward, sign, ha="center", va="center")
    middle = (upper + minus) / 2
    say(axes, TERMINALS, middle, "amplifier", ha="center", va="center", rotation=90)


def _goes_on(axes: Axes, at: tuple[float, float], letter: str, *, left: bool) -> None:
    """The end of a line that goes on elsewhere under the same letter."""
    open_end(axes, at)
    aside = -GAP if left else GAP
    say(axes, at[0] + aside, at[1], letter, ha="right" if left else "left", va="center")


def _letters(number: int) -> str:
    """Of all lines that go on elsewhere: a, b, and so on to z, then aa, ab, and so on."""
    name = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        name = chr(ord("a") + rest) + name
    return name
