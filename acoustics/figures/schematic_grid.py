"""A network that is no ladder in a schematic: its nodes as columns, its parts as rows between."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from matplotlib.axes import Axes

from acoustics.case.design.network_nodes import AMPLIFIER, DRIVER, DRIVER_RETURN, RESERVED, RETURN
from acoustics.case.design.network_parts import Part
from acoustics.crossover.connections import Ladder
from acoustics.figures.schematic_places import Drawn, Place, draw_along, draw_driver
from acoustics.figures.schematic_words import (
    CLEAR,
    GAP,
    LEAD,
    Label,
    draw_lines,
    driver_height,
    driver_width,
    label_of,
    wrapped,
)
from acoustics.figures.symbols import HALF, LENGTH, hop, joint, wire


@dataclass(frozen=True)
class Row:
    """Parts in a line between two columns of a grid, one after the other, `down` below its top."""

    left: int
    right: int
    parts: tuple[Part, ...]
    labels: tuple[Label, ...]
    pitch: float
    down: float


@dataclass(frozen=True)
class Grid:
    """A network that is no ladder: its nodes as columns, its parts as rows between them.

    `columns` say how far right the nodes stand, the amplifier's first, the return last; `heads` are
    their names. The driver hangs right of them on the two of `driver`, in rows of its own,
    `drops` below the top. Lengths as `Line` has them.
    """

    ladder: Ladder
    columns: tuple[float, ...]
    heads: tuple[Label, ...]
    rows: tuple[Row, ...]
    driver: tuple[int, int]
    drops: tuple[float, float]
    width: float
    above: float
    below: float
    first: bool = True
    last: bool = True

    @property
    def labels(self) -> tuple[Label, ...]:
        """The words at all its parts."""
        return tuple(label for row in self.rows for label in row.labels)


def grid_of(ladder: Ladder) -> Grid:
    """A network's columns as far apart as what stands between them takes, rows below each other."""
    middle = [node for rung in ladder.rungs for node in rung.ends] + list(ladder.wiring.driver)
    ends = [node for node in (DRIVER, DRIVER_RETURN) if node in middle]
    free = [node for node in dict.fromkeys(middle) if node not in RESERVED]
    names = [AMPLIFIER, *free, *ends, RETURN]
    heads = [Label(tuple(wrapped(name)), ()) for name in names]
    gaps = [(one.width + two.width) / 2 + GAP for one, two in itertools.pairwise(heads)]
    rows, down = list[Row](), GAP
    for rung in ladder.rungs:
        left, right = sorted(names.index(node) for node in rung.ends)
        # What is joined the other way round is drawn so: its first part stands on the right.
        turned = names.index(rung.ends[0]) > left
        groups = [(part,) for part in rung.parts] if rung.side_by_side else [rung.parts]
        for group in groups:
            parts = tuple(reversed(group)) if turned else group
            labels = tuple(label_of(part) for part in parts)
            pitch = max(LENGTH + 2 * LEAD, max(label.width for label in labels) + 2 * GAP)
            gaps[left] = max(gaps[left], len(parts) * pitch + 2 * LEAD)
            down += HALF + CLEAR + max(label.height for label in labels)
            rows.append(Row(left, right, parts, labels, pitch, down))
            down += HALF + GAP + max(label.small_height for label in labels)
    high = driver_height(ladder)
    places = itertools.accumulate(gaps, initial=GAP)
    return Grid(
        ladder,
        tuple(places),
        tuple(heads),
        tuple(rows),
        (names.index(ladder.wiring.driver[0]), names.index(ladder.wiring.driver[1])),
        (down + GAP, down + GAP + high),
        sum(gaps) + 2 * GAP + driver_width(ladder),
        max(label.height for label in heads) + GAP,
        down + high + 3 * GAP,
    )


def draw_grid(axes: Axes, grid: Grid, x: float, upper: float, lower: float) -> Drawn:
    """Draw a network's grid from x on, and its driver."""
    columns = [x + column for column in grid.columns]
    wire(axes, (x, upper), (columns[0], upper))
    bottoms = [upper - down for down in _depths(grid)]
    bottoms[-1] = lower
    for column, label, bottom in zip(columns, grid.heads, bottoms, strict=True):
        wire(axes, (column, upper), (column, bottom))
        draw_lines(axes, column, upper + label.height + CLEAR, label.lines, ha="center")
    places = list[Place]()
    for row in grid.rows:
        places += _draw_row(axes, row, columns, bottoms, upper - row.down)
    end = columns[-1] + GAP
    levels = [upper - drop for drop in grid.drops]
    for column, y in zip(grid.driver, levels, strict=True):
        joint(axes, (columns[column], y))
        over = _passed(columns, bottoms, column + 1, len(columns), y)
        hop(axes, (columns[column], y), over, (end, y))
    drawn = draw_driver(axes, grid.ladder, end, *levels)
    return Drawn((columns[-1],), (*places, *drawn.places))


def _draw_row(
    axes: Axes, row: Row, columns: list[float], bottoms: list[float], y: float
) -> list[Place]:
    """Its parts in the middle between its left column and the next, a line from there on."""
    left, beside, right = columns[row.left], columns[row.left + 1], columns[row.right]
    for end in (left, right):
        joint(axes, (end, y))
    at = (left + beside - len(row.parts) * row.pitch) / 2
    wire(axes, (left, y), (at, y))
    places = []
    for part, label in zip(row.parts, row.labels, strict=True):
        places.append(draw_along(axes, part, label, (at, y), (at + row.pitch, y)))
        at += row.pitch
    over = _passed(columns, bottoms, row.left + 1, row.right, y)
    hop(axes, (at, y), over, (right, y))
    return places


def _passed(
    columns: list[float], bottoms: list[float], first: int, end: int, y: float
) -> list[float]:
    """Columns from `first` up to but for `end` that still go on at the height y."""
    return [columns[i] for i in range(first, end) if bottoms[i] < y]


def _depths(grid: Grid) -> list[float]:
    """How far down each column has something to join."""
    deep = [0.0] * len(grid.columns)
    for row in grid.rows:
        for column in (row.left, row.right):
            deep[column] = max(deep[column], row.down)
    for column, drop in zip(grid.driver, grid.drops, strict=True):
        deep[column] = max(deep[column], drop)
    return deep
