"""Rectangles laid out on a sheet so that every cut runs through: one way of doing it.

A piece goes into the lower left corner of a free rectangle, which two cuts part: one from side to
side, then one across what the piece lies in. Which free rectangle, and which cut first, are rules
of thumb (J. Jylänki, A thousand ways to pack the bin, 2010, from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from acoustics.case.design.structure_model import Sheet
from acoustics.structure.nest_model import Cut, Piece, Placed, Rectangle

FITS = 1e-6
"""m: a piece larger by less than this fits"""

CHOICES: Mapping[str, Callable[[Rectangle, float, float], tuple[float, float]]] = {
    "short side": lambda free, a, b: (
        min(free.length - a, free.width - b),
        max(free.length - a, free.width - b),
    ),
    "long side": lambda free, a, b: (
        max(free.length - a, free.width - b),
        min(free.length - a, free.width - b),
    ),
    "area": lambda free, a, b: (free.area - a * b, min(free.length - a, free.width - b)),
    "first": lambda free, a, b: (free.x, free.y),
}
"""Which free rectangle a piece goes into: that with the least pair of figures."""

SPLITS: Mapping[str, Callable[[Rectangle, float, float], bool]] = {
    "lengthwise": lambda free, a, b: True,
    "crosswise": lambda free, a, b: False,
    "shorter rest": lambda free, a, b: free.length - a <= free.width - b,
    "longer rest": lambda free, a, b: free.length - a > free.width - b,
    "one large rest": lambda free, a, b: a * (free.width - b) >= b * (free.length - a),
    "even rests": lambda free, a, b: a * (free.width - b) < b * (free.length - a),
}
"""Whether the first cut beside a piece runs lengthwise."""


@dataclass
class _Part:
    """A part of a sheet: free, or with a piece in its corner and two parts beside that."""

    free: Rectangle
    placed: Placed | None = None
    cuts: list[Cut] = field(default_factory=list)
    parts: list[_Part] = field(default_factory=list)

    def leaves(self) -> Iterator[_Part]:
        """The parts that are free, in the order in which the cuts part them."""
        if self.placed is None:
            yield self
        for part in self.parts:
            yield from part.leaves()

    def all_cuts(self) -> Iterator[Cut]:
        """Every cut, each before those of the parts that it parts."""
        yield from self.cuts
        for part in self.parts:
            yield from part.all_cuts()

    def all_placed(self) -> Iterator[Placed]:
        """Every piece."""
        if self.placed is not None:
            yield self.placed
        for part in self.parts:
            yield from part.all_placed()


_Free = tuple[int, _Part]
"""A free part, and the number of its sheet."""


@dataclass(frozen=True)
class Layout:
    """One sheet laid out: pieces, cuts in their order, what is left."""

    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    left: tuple[Rectangle, ...]


def laid_out(pieces: Sequence[Piece], sheet: Sheet, choice: str, split: str) -> list[Layout]:
    """Pieces on as few sheets as these rules make of them, one after the other.

    Args:
        pieces: each of which fits on a sheet.
        sheet: what they are cut from.
        choice: of `CHOICES`.
        split: of `SPLITS`.
    """
    usable = Rectangle(
        sheet.trim, sheet.trim, sheet.length - 2 * sheet.trim, sheet.width - 2 * sheet.trim
    )
    sheets: list[_Part] = []
    free: list[_Free] = []
    for piece in pieces:
        place = _best(free, piece, sheet.turn, choice)
        if place is None:
            sheets.append(_Part(usable))
            free.append((len(sheets), sheets[-1]))
            place = _best(free[-1:], piece, sheet.turn, choice)
            assert place is not None
        (number, part), turned = place
        _put(part, piece, turned, sheet.kerf, SPLITS[split])
        free = [other for other in free if other[1] is not part]
        free += [(number, rest) for rest in part.parts]
    return [
        Layout(
            placed=tuple(part.all_placed()),
            cuts=(*_trimming(sheet), *part.all_cuts()),
            left=tuple(leaf.free for leaf in part.leaves()),
        )
        for part in sheets
    ]


def sides_of(piece: Piece, turned: bool) -> tuple[float, float]:
    """How far a piece reaches along a sheet and across it."""
    return (piece.width, piece.length) if turned else (piece.length, piece.width)


def _best(
    free: Sequence[_Free], piece: Piece, may_turn: bool, choice: str
) -> tuple[_Free, bool] | None:
    """The free part that a piece goes into, and whether it lies turned there."""
    score_of = CHOICES[choice]
    best, found = None, None
    for turned in (False, True) if may_turn else (False,):
        along, across = sides_of(piece, turned)
        for number, part in free:
            if along > part.free.length + FITS or across > part.free.width + FITS:
                continue
            score = (*score_of(part.free, along, across), number, turned)
            if best is None or score < best:
                best, found = score, ((number, part), turned)
    return found


def _put(
    part: _Part,
    piece: Piece,
    turned: bool,
    kerf: float,
    lengthwise_first: Callable[[Rectangle, float, float], bool],
) -> None:
    free = part.free
    along, across = sides_of(piece, turned)
    part.placed = Placed(piece, Rectangle(free.x, free.y, along, across), turned)
    right, top = free.x + free.length, free.y + free.width
    # A rest thinner than the kerf is sawdust.
    beside = max(free.length - along - kerf, 0.0)
    beyond = max(free.width - across - kerf, 0.0)
    first = lengthwise_first(free, along, across)
    over = Cut("lengthwise", free.y + across, free.x, right if first else free.x + along)
    down = Cut("crosswise", free.x + along, free.y, free.y + across if first else top)
    cut_over, cut_down = free.width - across > FITS, free.length - along > FITS
    chosen = ((over, cut_over), (down, cut_down))
    part.cuts = [cut for cut, needed in (chosen if first else chosen[::-1]) if needed]
    above = Rectangle(free.x, top - beyond, free.length if first else along, beyond)
    aside = Rectangle(right - beside, free.y, beside, across if first else free.width)
    part.parts = [_Part(rest) for rest in (above, aside) if min(rest.length, rest.width) > FITS]


def _trimming(sheet: Sheet) -> list[Cut]:
    """The cuts by which every edge is trimmed; the kerf is within what is cut off."""
    if sheet.trim == 0:
        return []
    low, high = sheet.trim, sheet.width - sheet.trim
    return [
        Cut("lengthwise", sheet.trim - min(sheet.kerf, sheet.trim), 0.0, sheet.length),
        Cut("lengthwise", high, 0.0, sheet.length),
        Cut("crosswise", sheet.trim - min(sheet.kerf, sheet.trim), low, high),
        Cut("crosswise", sheet.length - sheet.trim, low, high),
    ]
