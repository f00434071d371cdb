"""Boards laid out on sheets, on as few as many ways of doing it find."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

import numpy as np

from acoustics.case.design.structure_model import Sheet
from acoustics.case.text.units import in_unit
from acoustics.conventions import RoundoverError
from acoustics.structure.board_model import Board
from acoustics.structure.guillotine import CHOICES, FITS, SPLITS, Layout, laid_out, sides_of
from acoustics.structure.nest_model import Piece, SheetPlan

ORDERS: Mapping[str, Callable[[Piece], tuple[float, ...]]] = {
    "area": lambda piece: (piece.length * piece.width, piece.length),
    "longer side": lambda piece: (max(piece.length, piece.width), piece.length * piece.width),
    "length": lambda piece: (piece.length, piece.width),
    "width": lambda piece: (piece.width, piece.length),
    "perimeter": lambda piece: (piece.length + piece.width, piece.length),
    "shorter side": lambda piece: (min(piece.length, piece.width), piece.length),
}
"""In which order pieces are laid, from the largest of these figures down."""

SHUFFLES = 30
"""orders that are drawn besides, always the same ones, of few pieces"""

WORK = 8000
"""drawn orders times the square of the pieces: of many pieces fewer orders are drawn"""


class SheetError(RoundoverError):
    """A board that no sheet holds."""


def nest(boards: Iterable[Board], sheet: Sheet) -> tuple[SheetPlan, ...]:
    """Lay boards out on sheets, every cut running through from side to side.

    Each count of a board is a piece; one with bevels or corners that are not square is laid as the
    rectangle round it. Boards of one material and thickness share sheets. The best of many ways is
    taken: the fewest sheets, then the largest rectangle that is left in one piece, then the fewest
    cuts; of equals the first, so that the answer is always the same. Better ones may be there.

    Args:
        boards: to be cut.
        sheet: what they are cut from, of every material and thickness.

    Returns:
        The sheets, by material and then from the thickest down.

    Raises:
        SheetError: a board that is larger than a sheet.
    """
    groups: dict[tuple[str, float], list[Piece]] = {}
    for piece in pieces_of(boards):
        _refuse_large(piece, sheet)
        groups.setdefault((piece.material, piece.thickness), []).append(piece)
    return tuple(
        SheetPlan(material, thickness, sheet, layout.placed, layout.cuts, layout.left)
        for (material, thickness), pieces in sorted(
            groups.items(), key=lambda group: (group[0][0], -group[0][1])
        )
        for layout in _best(pieces, sheet)
    )


def pieces_of(boards: Iterable[Board]) -> Iterator[Piece]:
    """The pieces of some boards, each as often as it is needed."""
    for board in boards:
        piece = Piece(board.name, board.length, board.width, board.material, board.thickness)
        yield from itertools.repeat(piece, board.count)


def _best(pieces: Sequence[Piece], sheet: Sheet) -> list[Layout]:
    found = (
        laid_out(order, sheet, choice, split)
        for order in _orders(pieces)
        for choice in CHOICES
        for split in SPLITS
    )
    return min(found, key=_worth)


def _orders(pieces: Sequence[Piece]) -> Iterator[list[Piece]]:
    """Orders in which to lay pieces, none twice."""
    orders = [
        sorted(pieces, key=lambda piece: (key(piece), piece.name), reverse=True)
        for key in ORDERS.values()
    ]
    draw = np.random.default_rng(0)
    orders += [
        [pieces[index] for index in draw.permutation(len(pieces))]
        for _ in range(min(SHUFFLES, WORK // len(pieces) ** 2))
    ]
    yield from {tuple(map(_sides, order)): order for order in orders}.values()


def _sides(piece: Piece) -> tuple[float, float]:
    return round(piece.length, FINE), round(piece.width, FINE)


def _worth(layouts: Sequence[Layout]) -> tuple[int, float, int]:
    left = max((rest.area for layout in layouts for rest in layout.left), default=0.0)
    return len(layouts), -round(left, FINE), sum(len(layout.cuts) for layout in layouts)


FINE = 9
"""decimals of a metre, or a square metre, to which pieces and rests are compared"""


def _refuse_large(piece: Piece, sheet: Sheet) -> None:
    length, width = sheet.length - 2 * sheet.trim, sheet.width - 2 * sheet.trim
    for turned in (False, True) if sheet.turn else (False,):
        along, across = sides_of(piece, turned)
        if along <= length + FITS and across <= width + FITS:
            return
    raise SheetError(
        f"the board '{piece.name}' takes {_by(piece.length, piece.width)}, and a sheet has "
        f"{_by(length, width)}; take a larger sheet, or glue the board up with a joint"
    )


def _by(length: float, width: float) -> str:
    return f"{in_unit(length, 'mm', digits=4)} x {in_unit(width, 'mm', digits=4)}"
