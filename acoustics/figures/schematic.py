"""The schematic of a passive crossover: a ladder for every driver, all on one amplifier."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from acoustics.case.model import Case
from acoustics.crossover.connections import ladders_of
from acoustics.figures import symbols
from acoustics.figures.schematic_plan import (
    CLEAR,
    GAP,
    LEAD,
    LEFT,
    SIZE,
    SMALL,
    SPACING,
    Label,
    Line,
    Strip,
    driver_width,
    driver_words,
    lines_of,
)
from acoustics.figures.style import INK, PAPER, QUIET, WIDTH, WORDS, head, head_height
from acoustics.figures.symbols import HALF, LOUDSPEAKER, hop, joint, open_end, wire

BETWEEN = 0.3
"""inches: between a line's return and what is above the next"""
TERMINALS, BACK, OUT, IN = 0.12, 0.42, 0.7, 1.05
"""inches: x of the amplifier's terminals, of the line that leads back to it, of that out, and of
where a ladder goes on"""
MARGIN = 0.12
"""inches: round the drawing"""

BASELINE = 0.77
"""of a line of words, in its height from the top"""

Levels = tuple[float, float]
"""y of the upper and of the lower line"""


def schematic_sheet(case: Case) -> Figure | None:
    """How the parts of the passive crossover are joined; None where there is none."""
    lines = lines_of(ladders_of(case))
    if not lines:
        return None
    question = "How are the parts of the crossover joined?"
    small = any(label.small for line in lines for strip in line.strips for label in strip.labels)
    more = "small: resistance of the coil's wire" if small else ""
    if len(lines) > 1:
        leap = "lines that leap over each other are not joined"
        more = f"{more}; {leap}" if more else leap
    across, down = schematic_size(lines)
    top = head_height(question, case.title, more)
    width, height = max(WIDTH, across + 2 * MARGIN), down + top + 2 * MARGIN
    figure = Figure(figsize=(width, height), facecolor=PAPER)
    FigureCanvasAgg(figure)
    # One unit is one inch, so that what the plan keeps apart stays apart.
    axes = figure.add_axes((0.0, 0.0, 1.0, (down + 2 * MARGIN) / height))
    axes.set_xlim(-MARGIN, width - MARGIN)
    axes.set_ylim(-down - MARGIN, MARGIN)
    draw_schematic(axes, lines)
    head(figure, question, case.title, more, y=1 - MARGIN / height)
    return figure


def schematic_size(lines: list[Line]) -> tuple[float, float]:
    """Width and height of a schematic, inches."""
    ends = [
        LEFT + line.width + (driver_width(line.ladder) if line.last else 3 * GAP + 0.15)
        for line in lines
    ]
    down = sum(line.above + line.below for line in lines) + BETWEEN * (len(lines) - 1)
    return max(ends), down + GAP


def draw_schematic(axes: Axes, lines: list[Line]) -> Axes:
    """Draw a schematic, its upper left corner at (0, 0), a unit an inch.

    Args:
        axes: where to draw; frame and ticks are taken away.
        lines: from `lines_of`.

    Returns:
        The axes.
    """
    axes.set_axis_off()
    levels, top = list[Levels](), 0.0
    for line in lines:
        levels.append((top - line.above, top - line.above - line.below))
        top = levels[-1][1] - BETWEEN
    outs = [upper for line, (upper, _) in zip(lines, levels, strict=True) if line.first]
    _amplifier(axes, levels[0], outs)
    letter = 0
    backs = []
    for line, (upper, lower) in zip(lines, levels, strict=True):
        if line.first:
            wire(axes, (OUT, upper), (LEFT, upper))
        else:
            _goes_on(axes, (IN, upper), _letters(letter), left=True)
            wire(axes, (IN, upper), (LEFT, upper))
            letter += 1
        x = LEFT
        ends = []
        for strip in line.strips:
            ends += _draw_strip(axes, strip, x, upper, lower)
            x += strip.width
        if line.last:
            ends.append(_driver(axes, line, x, upper, lower))
        else:
            wire(axes, (x, upper), (x + GAP, upper))
            _goes_on(axes, (x + GAP, upper), _letters(letter), left=False)
        if ends:
            backs.append(lower)
            _return(axes, lower, max(ends), leaps=outs[-1] < lower)
    wire(axes, (TERMINALS, levels[0][1]), (BACK, levels[0][1]))
    wire(axes, (BACK, levels[0][1]), (BACK, backs[-1]))
    for lower in {levels[0][1], *backs} - {backs[-1]}:
        joint(axes, (BACK, lower))
    return axes


def _amplifier(axes: Axes, levels: Levels, outs: list[float]) -> None:
    """Its terminals, and the line that leads from its plus down to every ladder."""
    upper, lower = levels
    wire(axes, (TERMINALS, upper), (OUT, upper))
    wire(axes, (OUT, upper), (OUT, outs[-1]))
    for y in outs[:-1]:
        joint(axes, (OUT, y))
    for y, sign, inward in ((upper, "+", -1), (lower, "−", 1)):
        open_end(axes, (TERMINALS, y))
        _say(axes, TERMINALS, y + 0.18 * inward, sign, ha="center", va="center")
    middle = (upper + lower) / 2
    _say(axes, TERMINALS, middle, "amplifier", ha="center", va="center", rotation=90)


def _return(axes: Axes, lower: float, end: float, *, leaps: bool) -> None:
    """The lower line; it leaps over the line out, where that still leads to a ladder below."""
    if leaps:
        hop(axes, (BACK, lower), OUT, (end, lower))
    else:
        wire(axes, (BACK, lower), (end, lower))


def _driver(axes: Axes, line: Line, x: float, upper: float, lower: float) -> float:
    """The driver with its terminals as they are wired; returns the x of these."""
    at = x + 0.3
    wire(axes, (x, upper), (at, upper))
    symbols.loudspeaker(axes, (at, upper), (at, lower))
    middle = (upper + lower) / 2
    marks = ("−", "+") if line.ladder.swapped else ("+", "−")
    for sign, y in zip(marks, (middle + 0.32, middle - 0.32), strict=True):
        _say(axes, at - 0.14, y, sign, ha="center", va="center")
    words = driver_words(line.ladder)
    _label(axes, at + LOUDSPEAKER[0] - symbols.BACK + GAP, middle, words)
    return at


def _goes_on(axes: Axes, at: tuple[float, float], letter: str, *, left: bool) -> None:
    """The end of a line that goes on elsewhere under the same letter."""
    open_end(axes, at)
    aside = -GAP if left else GAP
    _say(axes, at[0] + aside, at[1], letter, ha="right" if left else "left", va="center")


def _letters(number: int) -> str:
    """Of all lines that go on elsewhere: a, b, and so on to z, then aa, ab, and so on."""
    name = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        name = chr(ord("a") + rest) + name
    return name


def _draw_strip(axes: Axes, strip: Strip, x: float, upper: float, lower: float) -> list[float]:
    """One rung; returns the x of where it meets the lower line, if it does."""
    series = strip.rung.element.place == "series"
    if series and strip.rung.side_by_side:
        _beside_in_the_way(axes, strip, x, upper)
        return []
    if series:
        for part, label in zip(strip.rung.parts, strip.labels, strict=True):
            symbols.part(axes, part.kind, (x, upper), (x + strip.pitch, upper))
            _label_above(axes, x + strip.pitch / 2, upper, label)
            x += strip.pitch
        return []
    wire(axes, (x, upper), (x + strip.width, upper))
    if strip.rung.side_by_side:
        return [_beside_across(axes, strip, x, upper, lower)]
    return [_one_across(axes, strip, x, upper, lower)]


def _beside_in_the_way(axes: Axes, strip: Strip, x: float, upper: float) -> None:
    left, right = x + LEAD, x + strip.width - LEAD
    wire(axes, (x, upper), (left, upper))
    wire(axes, (right, upper), (x + strip.width, upper))
    for number, (part, label) in enumerate(zip(strip.rung.parts, strip.labels, strict=True)):
        y = upper + number * strip.pitch
        symbols.part(axes, part.kind, (left, y), (right, y))
        _label_above(axes, (left + right) / 2, y, label)
        if number + 1 < len(strip.labels):
            for side in (left, right):
                wire(axes, (side, y), (side, y + strip.pitch))
                joint(axes, (side, y))


def _one_across(axes: Axes, strip: Strip, x: float, upper: float, lower: float) -> float:
    x += HALF + GAP / 2
    joint(axes, (x, upper))
    joint(axes, (x, lower))
    step = (upper - lower) / len(strip.labels)
    for number, (part, label) in enumerate(zip(strip.rung.parts, strip.labels, strict=True)):
        y = upper - number * step
        symbols.part(axes, part.kind, (x, y), (x, y - step))
        _label(axes, x + HALF + GAP, y - step / 2, label)
    return x


def _beside_across(axes: Axes, strip: Strip, x: float, upper: float, lower: float) -> float:
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
    for column, part, label in zip(columns, strip.rung.parts, strip.labels, strict=True):
        symbols.part(axes, part.kind, (column, high), (column, low))
        _label(axes, column + HALF + GAP, (upper + lower) / 2, label)
    return middle


def _label_above(axes: Axes, x: float, y: float, label: Label) -> None:
    """Name and value above a sign in a level line, its wire's resistance below."""
    _lines(axes, x, y + HALF + CLEAR + label.height, label.lines, ha="center")
    _lines(axes, x, y - CLEAR, label.small, ha="center", small=True)


def _label(axes: Axes, x: float, y: float, label: Label) -> None:
    """All words to the right of a sign, about the height y."""
    top = y + (label.height + label.small_height) / 2
    _lines(axes, x, top, label.lines, ha="left")
    _lines(axes, x, top - label.height, label.small, ha="left", small=True)


def _lines(
    axes: Axes, x: float, top: float, lines: tuple[str, ...], *, ha: str, small: bool = False
) -> None:
    """Lines of words from `top` down, evenly spaced."""
    size, color = (SMALL, QUIET) if small else (SIZE, INK)
    step = SPACING * size / 72
    for number, line in enumerate(lines):
        y = top - (number + BASELINE) * step
        _say(axes, x, y, line, ha=ha, va="baseline", fontsize=size, color=color)


def _say(axes: Axes, x: float, y: float, text: str, **how: float | str) -> None:
    axes.text(x, y, text, **{"fontsize": SIZE, "color": INK, **WORDS, **how})
