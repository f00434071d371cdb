"""A drawing as plain data: what is cut, what is only shown, and what is measured. Metres."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]
"""to the right and upward from the lower left corner of the rectangle round the outline"""

CutKind = Literal["round", "polygon"]


@dataclass(frozen=True)
class Cut:
    """A hole through a board.

    `size` is (diameter,) of a round one, (width, height) otherwise; `outline` the corners of one
    that is not round. `stated` is False where the size of the hole is not known and something else
    stands for it.
    """

    letter: str
    what: str
    kind: CutKind
    centre: Point
    size: tuple[float, ...]
    outline: tuple[Point, ...] = ()
    stated: bool = True


@dataclass(frozen=True)
class Ring:
    """A circle that is shown and not cut: a cone, or the frame of a driver."""

    what: str
    centre: Point
    radius: float


@dataclass(frozen=True)
class Line:
    """A closed line that is shown and not cut, `letter` beside it where it is explained."""

    what: str
    points: tuple[Point, ...]
    letter: str = ""


@dataclass(frozen=True)
class Drawing:
    """A flat thing to scale.

    `name` may be part of a file's name. `size` is that of the rectangle round the outline, and
    `middle` is what positions in a case are counted from. `across` and `upward` are the places
    whose distance from the left and from the bottom is written beside the drawing. `notes` say what
    the lines do not.
    """

    name: str
    title: str
    subject: str
    size: Point
    middle: Point
    outline: tuple[Point, ...]
    cuts: tuple[Cut, ...] = ()
    rings: tuple[Ring, ...] = ()
    lines: tuple[Line, ...] = ()
    across: tuple[float, ...] = ()
    upward: tuple[float, ...] = ()
    notes: tuple[str, ...] = ()
