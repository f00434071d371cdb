"""One sheet of paper: what is drawn on it becomes operators of PDF at once.

Lengths are printer's points (1/72 inch); (0, 0) is the lower left corner. The plotting library's
own sheets take some hundred times as long, most of all for words.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import groupby

import numpy as np

from acoustics.figures.paper.letters import Face, width

Point = tuple[float, float]

ARCS = 8
"""in which a circle is drawn: each is off by 4e-6 of the radius"""

BLOCK = 256
"""letters that one font of a file has"""


@dataclass(frozen=True)
class Ink:
    """How something is drawn; colours are "#rrggbb", lengths points.

    Args:
        stroke: of lines; "" for none.
        fill: of what they enclose; "" for none.
        width: of lines.
        dashes: drawn and left out, in turn.
        opacity: 0 to 1.
        round_joins: whether lines are round where they meet.
    """

    stroke: str = ""
    fill: str = ""
    width: float = 1.0
    dashes: tuple[float, ...] = ()
    opacity: float = 1.0
    round_joins: bool = False


@dataclass(frozen=True)
class Image:
    """A picture of dots: colours (row, column, 3) and opacity (row, column), 0 to 255 each."""

    colours: np.ndarray
    opacity: np.ndarray


@dataclass
class Sheet:
    """A sheet that is being drawn on.

    Args:
        width: points.
        height: likewise.
    """

    width: float
    height: float
    operators: list[str] = field(default_factory=list)
    """of PDF, one a line"""
    words: list[str] = field(default_factory=list)
    """every line of text on it, in the order in which they were written"""
    letters: set[tuple[Face, int]] = field(default_factory=set)
    opacities: set[int] = field(default_factory=set)
    """per cent"""
    images: list[Image] = field(default_factory=list)

    def path(self, operators: Sequence[str], ink: Ink) -> None:
        """Draw along path operators, such as "10 20 m"."""
        if not operators or not (ink.stroke or ink.fill):
            return
        how = []
        if ink.stroke:
            how.append(f"{_colour(ink.stroke)} RG")
            how.append(f"{number(ink.width)} w [{' '.join(map(number, ink.dashes))}] 0 d")
            how.append("1 j" if ink.round_joins else "0 j")
        if ink.fill:
            how.append(f"{_colour(ink.fill)} rg")
        end = "B" if ink.stroke and ink.fill else "S" if ink.stroke else "f"
        with self._faint(ink.opacity):
            self.operators += [*how, *operators, end]

    def line(self, points: Iterable[Point], ink: Ink, *, closed: bool = False) -> None:
        """Draw a line through points."""
        drawn = [f"{number(x)} {number(y)} {'l' if i else 'm'}" for i, (x, y) in enumerate(points)]
        self.path([*drawn, *(["h"] if closed else [])], ink)

    def rectangle(self, at: Point, size: Point, ink: Ink) -> None:
        """Draw a rectangle from its lower left corner."""
        (x, y), (wide, high) = at, size
        self.line(((x, y), (x + wide, y), (x + wide, y + high), (x, y + high)), ink, closed=True)

    def circle(self, centre: Point, radius: float, ink: Ink) -> None:
        """Draw a circle."""
        self.path(circle(centre, radius), ink)

    def text(
        self,
        words: str,
        at: Point,
        size: float,
        colour: str,
        *,
        face: Face = "regular",
        anchor: str = "start",
        turned: bool = False,
    ) -> None:
        """Write a line of text, its base line at `at`.

        Args:
            words: without line ends.
            at: where it begins, has its middle or ends, as `anchor` says.
            size: of the type.
            colour: of the letters.
            face: of the type.
            anchor: "start", "middle" or "end".
            turned: whether it runs upward.
        """
        if not words.strip():
            return
        before = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width(words, size, face)
        x, y = (at[0], at[1] - before) if turned else (at[0] - before, at[1])
        turn = "0 1 -1 0" if turned else "1 0 0 1"
        self.operators += ["BT", f"{_colour(colour)} rg", f"{turn} {number(x)} {number(y)} Tm"]
        for block, run in groupby(map(ord, words), lambda code: code // BLOCK):
            codes = list(run)
            self.letters |= {(face, code) for code in codes}
            shown = "".join(f"{code % BLOCK:02X}" for code in codes)
            self.operators += [f"/{font_name(face, block)} {number(size)} Tf", f"<{shown}> Tj"]
        self.operators.append("ET")
        self.words.append(words)

    def image(self, image: Image) -> None:
        """Put a picture of dots where the unit square is."""
        self.operators.append(f"/I{len(self.images)} Do")
        self.images.append(image)

    @contextmanager
    def moved(self, matrix: Sequence[float] = ()) -> Iterator[None]:
        """Draw in other coordinates for a while: (a, b, c, d, e, f) as PDF and SVG have them."""
        self.operators.append("q")
        if matrix:
            self.operators.append(f"{' '.join(_number(value, 7) for value in matrix)} cm")
        yield
        self.operators.append("Q")

    def clip(self, at: Point, size: Point) -> None:
        """Show only what is in this rectangle, until the end of the `moved` round it."""
        numbers = " ".join(map(number, (*at, *size)))
        self.operators.append(f"{numbers} re W n")

    @contextmanager
    def _faint(self, opacity: float) -> Iterator[None]:
        percent = round(100 * opacity)
        if percent >= 100:
            yield
            return
        self.opacities.add(percent)
        self.operators += ["q", f"/A{percent} gs"]
        yield
        self.operators.append("Q")


def circle(centre: Point, radius: float) -> list[str]:
    """Path operators of a circle, drawn as cubic curves."""
    step = 2 * math.pi / ARCS
    pull = 4 / 3 * math.tan(step / 4) * radius
    angles = [step * i for i in range(ARCS + 1)]
    on = [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]
    along = [(-pull * math.sin(a), pull * math.cos(a)) for a in angles]
    drawn = [f"{number(on[0][0])} {number(on[0][1])} m"]
    for i in range(ARCS):
        first = on[i][0] + along[i][0], on[i][1] + along[i][1]
        second = on[i + 1][0] - along[i + 1][0], on[i + 1][1] - along[i + 1][1]
        drawn.append(" ".join(map(number, (*first, *second, *on[i + 1]))) + " c")
    return [*drawn, "h"]


def font_name(face: Face, block: int) -> str:
    """What the font of a block of letters is called in a file."""
    return f"{face}{block:X}"


def number(value: float) -> str:
    """A length, to a thousandth of a point or less than a micrometre."""
    return _number(value, 3)


def _number(value: float, digits: int) -> str:
    """So many digits after the point; PDF knows no exponents."""
    return f"{round(value, digits) + 0.0:.{digits}f}".rstrip("0").rstrip(".")


def _colour(name: str) -> str:
    return " ".join(number(int(name[i : i + 2], 16) / 255) for i in (1, 3, 5))
