"""A sheet with the boards laid out on it, to scale: names, sizes, grain, cuts in their order."""

from __future__ import annotations

import itertools
import string
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import FancyArrowPatch, Rectangle

from acoustics.figures.front_face import MM
from acoustics.figures.style import INK, PAPER, QUIET, SERIES, WIDTH, WORDS, text_width
from acoustics.structure.nest_model import Cut, Placed, SheetPlan
from acoustics.studies.wording import tenths

BOARD, REST = "#e6ecf7", "#f6f3ec"
"""of boards, and of what is left of a sheet"""

CUT = SERIES[1]

GRAIN = "grain, if it has one"

LETTERS = (11.0, 9.0, 7.5)
"""points: sizes in which a board's words are tried"""

COMMA = 0.64
"""width of a comma and a blank, in sizes of letters"""

LINE = 1.25
"""height of a line over its letters'"""

DRAWN = 72.0 * (WIDTH - 0.35)
"""points: width of a sheet as it is drawn"""

NUMBER = 7.0
"""points: letters of a cut's number"""

NEAR, STEP = 6.5, 12.0
"""points: from where a cut starts to its number"""

ASIDE = 14.0
"""points: from the right end of a board to the letter on it"""

BESIDE = 80
"""letters of what is told below a sheet"""

UPRIGHT = 90.0
"""degrees: words that run up a board"""


@dataclass(frozen=True)
class Words:
    """What stands on a board: size in points, turn in degrees, and shift along it in points.

    A `letter` stands in place of the name.
    """

    text: str
    points: float
    turn: float = 0.0
    shift: float = 0.0
    letter: bool = False


def draw_cut_plan(axes: Axes, plan: SheetPlan, words_of_boards: Sequence[Words]) -> Axes:
    """Draw a sheet, its grain from left to right.

    Args:
        axes: where to draw, in millimetres from the sheet's lower left corner.
        plan: the sheet.
        words_of_boards: what stands on each board, from `board_words`.

    Returns:
        The axes. Boards too small for their names bear letters, which `letters_told` explains.
    """
    length, width = MM * plan.sheet.length, MM * plan.sheet.width
    axes.add_patch(Rectangle((0, 0), length, width, facecolor=REST, edgecolor=INK, linewidth=1.4))
    if plan.sheet.trim > 0:
        trim = MM * plan.sheet.trim
        inner = (trim, trim), length - 2 * trim, width - 2 * trim
        axes.add_patch(Rectangle(*inner, fill=False, edgecolor=QUIET, linestyle=":"))
    for placed, words in zip(plan.placed, words_of_boards, strict=True):
        _draw_board(axes, placed, words)
    for number, cut in enumerate(plan.cuts, start=1):
        _draw_cut(axes, cut, number)
    away = 0.02 * length
    tip: dict[str, Any] = {"arrowstyle": "<->", "mutation_scale": 11, "color": QUIET}
    axes.add_patch(
        FancyArrowPatch((0.0, -2 * away), (0.2 * length, -2 * away), **tip, clip_on=False)
    )
    axes.text(0.21 * length, -2 * away, GRAIN, va="center", fontsize=9, color=QUIET, **WORDS)
    sizes = f"{tenths(plan.sheet.length)} × {tenths(plan.sheet.width)} mm"
    axes.text(length, -2 * away, sizes, va="center", ha="right", fontsize=9, color=QUIET, **WORDS)
    axes.set_xlim(-0.5 * away, length + 0.5 * away)
    axes.set_ylim(-3.2 * away, width + 0.5 * away)
    axes.set_aspect("equal", adjustable="box", anchor="NW")
    axes.set_axis_off()
    return axes


def letters_told(plan: SheetPlan, words_of_boards: Sequence[Words]) -> list[str]:
    """Lines that say which boards the letters on a sheet stand for."""
    named = [
        f"{words.text}: {placed.piece.name}, {_size(placed)}"
        for placed, words in zip(plan.placed, words_of_boards, strict=True)
        if words.letter
    ]
    return textwrap.wrap("; ".join(named), BESIDE) if named else []


def board_words(plan: SheetPlan) -> list[Words]:
    """The words on each board: its name and size if there is room, else a letter."""
    letters = _alphabet()
    scale = DRAWN / plan.sheet.length
    texts = {text for placed in plan.placed for text in (placed.piece.name, _size(placed))}
    # Measuring takes longest; a font's letters are as wide at any size as they are large.
    widths = {text: text_width(text, 1.0) for text in sorted(texts)}
    return [
        _fitting(placed, scale, widths) or _letter(next(letters), scale * placed.place.length)
        for placed in plan.placed
    ]


def _letter(letter: str, room: float) -> Words:
    """A letter, clear of the number at the left end of a board if that is long enough, points."""
    aside = max(room / 2 - ASIDE, 0.0) if room > 4 * ASIDE else 0.0
    return Words(letter, LETTERS[-1], shift=aside, letter=True)


def _alphabet() -> Iterator[str]:
    """One letter after the other, then two: a to z, aa, ab."""
    for size in itertools.count(1):
        yield from map("".join, itertools.product(string.ascii_lowercase, repeat=size))


def _size(placed: Placed) -> str:
    """Of a board, along its grain first."""
    return f"{tenths(placed.piece.length)} × {tenths(placed.piece.width)}"


def _fitting(placed: Placed, scale: float, widths: Mapping[str, float]) -> Words | None:
    """The largest words that fit on a board drawn at `scale` points a metre; None: none do.

    `widths` are those of names and sizes, in sizes of letters.
    """
    room = scale * placed.place.length, scale * placed.place.width
    name, size = placed.piece.name, _size(placed)
    # In two lines, or in one beside the number of a cut.
    forms = (
        (f"{name}\n{size}", 2, 0.0, max(widths[name], widths[size])),
        (f"{name}, {size}", 1, NEAR + STEP, widths[name] + COMMA + widths[size]),
    )
    for points in LETTERS:
        for text, lines, shift, width in forms:
            long, high = points * width + 2 * (NUMBER + shift), (lines + 0.4) * LINE * points
            for turn, (along, across) in ((0.0, room), (UPRIGHT, room[::-1])):
                if long <= along and high <= across:
                    return Words(text, points, turn, shift / 2)
    return None


def _draw_board(axes: Axes, placed: Placed, words: Words) -> None:
    place = placed.place
    corner = MM * place.x, MM * place.y
    long, wide = MM * place.length, MM * place.width
    axes.add_patch(Rectangle(corner, long, wide, facecolor=BOARD, edgecolor=INK, linewidth=1.0))
    axes.annotate(
        words.text,
        (corner[0] + long / 2, corner[1] + wide / 2),
        xytext=(0.0, words.shift) if words.turn else (words.shift, 0.0),
        textcoords="offset points",
        ha="center",
        va="center",
        rotation=words.turn,
        fontsize=words.points,
        color=INK,
        zorder=4,
        **WORDS,
    )


def _draw_cut(axes: Axes, cut: Cut, number: int) -> None:
    """A cut with its number near its start; of neighbours every other one a little farther on."""
    start, end, at = MM * cut.start, MM * cut.end, MM * cut.at
    ends = ((start, end), (at, at)) if cut.way == "lengthwise" else ((at, at), (start, end))
    axes.plot(*ends, color=CUT, linewidth=1.1, zorder=3, solid_capstyle="butt")
    (x, _), (y, _) = ends
    on = NEAR + STEP * (number % 2)
    axes.annotate(
        str(number),
        (x, y),
        xytext=(on, 0) if cut.way == "lengthwise" else (0, on),
        textcoords="offset points",
        ha="center",
        va="center",
        fontsize=NUMBER,
        color=CUT,
        zorder=5,
        bbox={"boxstyle": "circle,pad=0.15", "facecolor": PAPER, "edgecolor": CUT, "lw": 0.7},
        **WORDS,
    )
