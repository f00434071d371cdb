"""Boards to cut, and what is cut into them; SI units, angles in degrees."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

HoleKind = Literal["round", "rectangle", "opening"]


@dataclass(frozen=True)
class Hole:
    """A hole through a board; metres.

    `centre` counts from the board's own corner, lower left as one sees it from outside. `size` is
    (diameter,) of a round one, (width, height) otherwise; an `opening` has the board's own shape,
    its sides parallel to the board's. `area` in m².
    """

    what: str
    kind: HoleKind
    centre: tuple[float, float]
    size: tuple[float, ...]
    area: float


@dataclass(frozen=True)
class BoardEdge:
    """What is done to an edge of a board; metres and degrees.

    `at` is the wall it meets, `bevel` how far the saw is tilted from a square cut: positive where
    the outer side stays longer. A rebate is `rebate_depth` deep and `rebate_width` wide.
    """

    at: str
    length: float
    bevel: float = 0.0
    rebate_depth: float = 0.0
    rebate_width: float = 0.0

    @property
    def plain(self) -> bool:
        """Whether it is a square cut, without a rebate."""
        return self.bevel == 0 and self.rebate_depth == 0


@dataclass(frozen=True)
class Board:
    """A board; metres, m³ and kg.

    `outline` are the corners of its larger outside, counter-clockwise, from its own corner: the
    lower left of the rectangle `size` (to the right, up) round it, as one sees it from outside. The
    grain runs along the longer side of that. `volume` is that of the board with rebates and bevels
    cut, without its holes; `mass` is that with holes. `mirrored` says that the second cabinet of a
    pair takes its mirror image.
    """

    name: str
    size: tuple[float, float]
    thickness: float
    material: str
    outline: tuple[tuple[float, float], ...]
    volume: float
    mass: float
    edges: tuple[BoardEdge, ...] = ()
    holes: tuple[Hole, ...] = ()
    notes: tuple[str, ...] = ()
    count: int = 1
    mirrored: bool = False

    @property
    def length(self) -> float:
        """Of the rectangle round it, along the grain."""
        return max(self.size)

    @property
    def width(self) -> float:
        """Of the rectangle round it, across the grain."""
        return min(self.size)
