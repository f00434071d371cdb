"""How a drawing at its true size is spread over sheets of paper; millimetres."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from acoustics.conventions import RoundoverError

PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}
"""Width and height of upright sheets (ISO 216)."""

MARGIN = 10.0
"""Left white on every side: what office printers cannot reach is less (common practice)."""

HEAD = 9.0
"""At the top of a sheet, for words."""

OVERLAP = 12.0
"""What two neighbours both show."""

PAD = 3.0
"""Round the outline, so that its line is not at the very end of a sheet."""


@dataclass(frozen=True)
class Tile:
    """One sheet: its row from the top and column from the left, counted from 0.

    `left` and `bottom` are where its window begins, in the drawing.
    """

    row: int
    column: int
    left: float
    bottom: float


@dataclass(frozen=True)
class Tiling:
    """Sheets that together cover a rectangle; `paper` is (width, height) as it is turned.

    `window` is what one sheet shows of the drawing; it begins `MARGIN` from the left and bottom of
    the paper.
    """

    paper: tuple[float, float]
    window: tuple[float, float]
    columns: int
    rows: int
    left: float
    top: float

    @property
    def count(self) -> int:
        """How many sheets there are."""
        return self.columns * self.rows

    @property
    def step(self) -> tuple[float, float]:
        """From one sheet to the next, to the right and downward."""
        return self.window[0] - OVERLAP, self.window[1] - OVERLAP

    def tiles(self) -> Iterator[Tile]:
        """Row by row from the top, each from the left."""
        for row in range(self.rows):
            for column in range(self.columns):
                left = self.left + column * self.step[0]
                yield Tile(row, column, left, self.top - row * self.step[1] - self.window[1])


def paper_size(paper: str) -> tuple[float, float]:
    """Width and height of a sheet of this name, mm.

    Raises:
        RoundoverError: there is no such paper here.
    """
    if paper not in PAPERS:
        raise RoundoverError(f"paper {paper!r}: expected {' or '.join(PAPERS)}")
    return PAPERS[paper]


def tiling_of(size: tuple[float, float], paper: str) -> Tiling:
    """The fewest sheets that cover a rectangle whose lower left corner is (0, 0), mm.

    The paper is upright unless it takes fewer when it is turned.

    Raises:
        RoundoverError: as `paper_size`.
    """
    upright = paper_size(paper)
    ways = [_tiling(size, way) for way in (upright, upright[::-1])]
    return min(ways, key=lambda tiling: tiling.count)


def _tiling(size: tuple[float, float], paper: tuple[float, float]) -> Tiling:
    window = paper[0] - 2 * MARGIN, paper[1] - 2 * MARGIN - HEAD
    columns, rows = (
        max(1, math.ceil((length + 2 * PAD - OVERLAP) / (reach - OVERLAP) - 1e-9))
        for length, reach in zip(size, window, strict=True)
    )
    return Tiling(paper, window, columns, rows, -PAD, size[1] + PAD)
