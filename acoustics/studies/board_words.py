"""What is done to a board besides cutting it to size, in a few words; millimetres."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from acoustics.structure.board_model import Board, BoardEdge, Hole
from acoustics.structure.cutting import SHAPED, CutRow
from acoustics.studies.wording import listed, tenths


def hole_words(hole: Hole) -> str:
    """A hole: "tweeter: round 74, 110 from left, 930 up"; an opening by its size."""
    size = " × ".join(map(tenths, hole.size))
    if hole.kind == "opening":
        return f"opening {size} in the middle"
    right, up = map(tenths, hole.centre)
    shape = "round " if hole.kind == "round" else ""
    return f"{hole.what}: {shape}{size}, {right} from left, {up} up"


def edge_words(row: CutRow) -> list[str]:
    """Edges of a row that are not plain, those alike together.

    For example "edges toward right and left: 8.53° from square, outside longer".
    """
    return [
        *_alike(row.bevels, "edge", _bevel),
        *_alike(row.rebates, "rebate", _rebate),
    ]


def note_words(row: CutRow, board: Board) -> list[str]:
    """Notes of a row, of one of its boards with the corners where it is no rectangle."""
    whose = f" of {board.name}" if len(row.names) > 1 else ""
    return [corner_words(board, whose) if note == SHAPED else note for note in row.notes]


def corner_words(board: Board, whose: str = "") -> str:
    """Where the corners of a board are: "corners (right, up): 0, 0; 284, 0; 284, 400"."""
    places = [f"{tenths(right)}, {tenths(up)}" for right, up in board.outline]
    return f"corners{whose} (right, up): {'; '.join(places)}"


def _alike(edges: Iterable[BoardEdge], what: str, words: Callable[[BoardEdge], str]) -> list[str]:
    groups: dict[str, list[str]] = {}
    for edge in edges:
        groups.setdefault(words(edge), []).append(edge.at)
    return [
        f"{what}{'s' if len(walls) > 1 else ''} toward {listed(walls)}: {cut}"
        for cut, walls in groups.items()
    ]


def _bevel(edge: BoardEdge) -> str:
    return f"{abs(edge.bevel):.3g}° from square, {'outside' if edge.bevel > 0 else 'inside'} longer"


def _rebate(edge: BoardEdge) -> str:
    return f"{tenths(edge.rebate_width)} wide, {tenths(edge.rebate_depth)} deep"
