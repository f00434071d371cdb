"""The cut list of a case."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from acoustics.cabinet.convex import common
from acoustics.case.design.model import Case
from acoustics.case.geometry.brace_solids import region_of
from acoustics.case.geometry.shell import shell_in
from acoustics.case.geometry.wall_boards import wall_names, walls_kept
from acoustics.structure.board_model import Board, BoardEdge, Hole
from acoustics.structure.boards import boards_of, structure_in

FINE = 5
"""decimals of a metre, and of a degree, within which boards are alike"""


SHAPED = "not a rectangle: the corners are in its outline"
"""a note"""


POINTED = "a three-cornered strip: its bevelled edges meet before they reach the other side"
"""a note"""


@dataclass(frozen=True)
class CutRow:
    """Boards that are cut alike; `length` is along the grain. Metres.

    `bevels` and `rebates` are the edges that are not plain; `names` of all of these boards.
    """

    names: tuple[str, ...]
    count: int
    length: float
    width: float
    thickness: float
    material: str
    bevels: tuple[BoardEdge, ...]
    rebates: tuple[BoardEdge, ...]
    holes: tuple[Hole, ...]
    notes: tuple[str, ...]

    @property
    def name(self) -> str:
        """All names in one."""
        return ", ".join(self.names)


@dataclass(frozen=True)
class CutList:
    """What to cut for a case, and what a cabinet of it weighs.

    `rows` are sorted by material, from the thickest board down, then from the longest. `empty` is
    the mass of the boards of one cabinet (kg), `loaded` that with its drivers; None where the mass
    of some (`unweighed`) is not stated. `notes` say which braces are notched and what is done after
    gluing.
    """

    rows: tuple[CutRow, ...]
    boards: tuple[Board, ...]
    empty: float
    loaded: float | None
    unweighed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def cut_list(case: Case) -> CutList:
    """The boards of a case as rows to cut, those of both cabinets of a pair together.

    Raises:
        RoundoverError: as `boards_of`.
    """
    structure_in(case)
    boards = boards_of(case)
    unweighed = tuple(driver.name for driver in case.drivers if driver.mass is None)
    empty = sum(board.mass for board in boards)
    drivers = sum(driver.mass or 0.0 for driver in case.drivers)
    return CutList(
        rows=cut_rows(boards),
        boards=boards,
        empty=empty,
        loaded=None if unweighed else empty + drivers,
        unweighed=unweighed,
        notes=(*_crossings(case), *_after_gluing(case)),
    )


def cut_rows(boards: Iterable[Board]) -> tuple[CutRow, ...]:
    """Boards as rows, those that are cut alike and have no holes in one.

    Bevels and rebates tell inside from outside: of boards that are no rectangles and have such
    edges, mirror images are two rows.
    """
    rows: dict[object, CutRow] = {}
    for board in boards:
        row = _row(board)
        alike = (_rounded(row), _shape(board))
        key = (alike, board.name) if board.holes else alike
        if key in rows:
            names = (*rows[key].names, board.name)
            row = replace(rows[key], names=names, count=rows[key].count + board.count)
        rows[key] = row
    return tuple(
        sorted(
            rows.values(),
            key=lambda row: (
                row.material,
                -round(row.thickness, FINE),
                -round(row.length, FINE),
                -round(row.width, FINE),
            ),
        )
    )


def _row(board: Board) -> CutRow:
    mirrored = ("one of the two is the mirror image",) if board.mirrored else ()
    shaped = () if rectangular(board) else (SHAPED,)
    pointed = (POINTED,) if _pointed(board) else ()
    return CutRow(
        names=(board.name,),
        count=board.count,
        length=board.length,
        width=board.width,
        thickness=board.thickness,
        material=board.material,
        bevels=tuple(edge for edge in board.edges if edge.bevel),
        rebates=tuple(edge for edge in board.edges if edge.rebate_depth),
        holes=board.holes,
        notes=(*shaped, *pointed, *board.notes, *mirrored),
    )


def _pointed(board: Board) -> bool:
    """Whether the bevels of both long edges meet before they reach the other side."""
    long, narrow = max(board.size), min(board.size)
    bevels = [edge.bevel for edge in board.edges if edge.length > long - 10**-FINE and edge.bevel]
    if len(bevels) != 2 or bevels[0] * bevels[1] < 0 or not rectangular(board):
        return False
    return board.thickness * sum(np.tan(np.radians(np.abs(bevels)))) > narrow


def rectangular(board: Board) -> bool:
    """Whether a board's outline is the rectangle round it."""
    across, up = zip(*board.outline, strict=True)
    return len(board.outline) == 4 and all(
        min(value, size - value) < 10**-FINE
        for values, size in ((across, board.size[0]), (up, board.size[1]))
        for value in values
    )


def _rounded(row: CutRow) -> object:
    """What makes two rows alike: sizes, and what is done to edges, whichever wall they meet."""
    edges = sorted(
        (round(edge.length, FINE), round(edge.bevel, FINE), round(edge.rebate_depth, FINE))
        for edge in (*row.bevels, *row.rebates)
    )
    sizes = (round(row.length, FINE), round(row.width, FINE), round(row.thickness, FINE))
    return (*sizes, row.material, tuple(edges), row.notes)


def _shape(board: Board) -> object:
    """An outline however it is turned, and turned over where no edge tells inside from outside."""
    corners = np.array(board.outline)
    flips = (1, -1) if all(edge.plain for edge in board.edges) else (1,)
    ways = []
    for flip in flips:
        turned = corners * [flip, 1]
        for _ in range(4):
            turned = np.stack([-turned[:, 1], turned[:, 0]], axis=1)
            places = np.round((turned - turned.min(axis=0)) * 10**FINE).astype(int)
            ways.append(sorted(map(tuple, places.tolist())))
    return tuple(min(ways))


def _crossings(case: Case) -> Iterator[str]:
    """Braces that meet each other, and so must be notched."""
    shell = shell_in(case)
    for one, other in combinations(structure_in(case).braces, 2):
        if common(region_of(shell, one), region_of(shell, other)).solid() is not None:
            yield (
                f"{one.name} and {other.name} meet: notch one round the other, or each halfway; "
                "both are told whole, in sizes and volume"
            )


def _after_gluing(case: Case) -> Sequence[str]:
    """Edges that are cut or rounded once the cabinet is glued."""
    shell = shell_in(case)
    kept = {wall_names(shell)[face] for face in walls_kept(shell)}
    cuts = [f"{item.edge} chamfer" for item in case.cabinet.chamfers]
    rounds = [f"{item.edge} rounding" for item in case.cabinet.rounds]
    names = [name for name in (*cuts, *rounds) if name not in kept]
    return [f"after gluing: {name}" for name in names]
