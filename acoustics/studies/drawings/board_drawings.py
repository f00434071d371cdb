"""Drawings of the boards to cut, one for every row of the cut list."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import faces_of
from acoustics.structure.board_model import Board, Hole
from acoustics.structure.cutting import CutList, CutRow
from acoustics.structure.holes import wall_holes
from acoustics.studies.board_words import edge_words, hole_words, note_words
from acoustics.studies.drawings.face_drawings import as_points, letters, places
from acoustics.studies.drawings.model import Cut, Drawing, Point
from acoustics.studies.wording import listed, tenths

SEEN = "Walls are seen from outside, shelves from above with the front below."


def board_drawings(case: Case, cut: CutList) -> tuple[Drawing, ...]:
    """One board of every row of a cut list of the case; those that are alike are drawn once."""
    guessed = {hole.what for hole in wall_holes(case, faces_of(case.cabinet)) if hole.guessed}
    boards = {board.name: board for board in cut.boards}
    return tuple(_drawing(case.title, boards[row.names[0]], row, guessed) for row in cut.rows)


def _drawing(subject: str, board: Board, row: CutRow, guessed: set[str]) -> Drawing:
    cuts = [
        _cut(letter, hole, board, hole.what not in guessed)
        for letter, hole in zip(letters(len(board.holes)), board.holes, strict=True)
    ]
    count = f"{row.count} × " if row.count > 1 else ""
    return Drawing(
        name=f"board {board.name}",
        title=f"{count}board {_names(row.names)}, {tenths(row.thickness)} mm {row.material}",
        subject=subject,
        size=board.size,
        middle=(board.size[0] / 2, board.size[1] / 2),
        outline=board.outline,
        cuts=tuple(cuts),
        across=places(cut.centre[0] for cut in cuts),
        upward=places(cut.centre[1] for cut in cuts),
        notes=(
            *(
                f"{cut.letter}  {hole_words(hole)}"
                for cut, hole in zip(cuts, board.holes, strict=True)
            ),
            *(
                f"{cut.what}: dashed, not cut before it is measured"
                for cut in cuts
                if not cut.stated
            ),
            *edge_words(row),
            *note_words(row, board),
            SEEN,
        ),
    )


def _names(names: Sequence[str]) -> str:
    return listed(list(names)) if len(names) < 4 else f"{names[0]} and {len(names) - 1} more"


def _cut(letter: str, hole: Hole, board: Board, stated: bool) -> Cut:
    if hole.kind == "round":
        return Cut(letter, hole.what, "round", hole.centre, hole.size, stated=stated)
    corners = hole_corners(hole, board)
    return Cut(letter, hole.what, "polygon", hole.centre, hole.size, corners, stated)


def hole_corners(hole: Hole, board: Board) -> tuple[Point, ...]:
    """Corners of a hole that is not round; an opening has the board's own shape."""
    around = np.array(board.outline) if hole.kind == "opening" else _SQUARE
    low, reach = around.min(axis=0), np.ptp(around, axis=0)
    unit = (around - low) / reach - 0.5
    return as_points(np.array(hole.centre) + unit * np.array(hole.size))


_SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
