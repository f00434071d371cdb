"""Boards on sheets: worked examples of the saw's kerf, and what every plan must obey.

That every cut runs through is found out by a checker that knows nothing of how plans are made: it
looks for a line through all of a rectangle that meets no piece, and goes on in both halves.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np
import pytest

from acoustics.case.design.structure_model import Sheet
from acoustics.structure.board_model import Board
from acoustics.structure.nest_model import Cut, Rectangle, SheetPlan
from acoustics.structure.nesting import SheetError, nest

SLACK = 2e-6


def board(length: float, width: float, name: str = "board", count: int = 1) -> Board:
    """A board of some millimetres."""
    size = (length / 1000, width / 1000)
    return Board(name, size, 0.018, "MDF", (), size[0] * size[1] * 0.018, 1.0, count=count)


def sheet(length: float, width: float, kerf: float = 0.0, trim: float = 0.0) -> Sheet:
    return Sheet(length / 1000, width / 1000, kerf / 1000, trim / 1000, turn=False)


def parts_apart(places: Sequence[Rectangle], kerf: float) -> bool:
    """Whether a saw that only cuts right through can part these rectangles."""
    if len(places) < 2:
        return True
    for low, high in (
        (lambda p: p.x, lambda p: p.x + p.length),
        (lambda p: p.y, lambda p: p.y + p.width),
    ):
        for edge in sorted({high(place) for place in places}):
            first = [place for place in places if high(place) <= edge + SLACK]
            rest = [place for place in places if low(place) >= edge + kerf - SLACK]
            if rest and len(first) + len(rest) == len(places):
                return parts_apart(first, kerf) and parts_apart(rest, kerf)
    return False


def check(plans: Sequence[SheetPlan]) -> None:
    """What every plan obeys, whatever the boards."""
    for plan in plans:
        places = [each.place for each in plan.placed]
        trim = plan.sheet.trim
        for place in places:
            assert place.x >= trim - SLACK
            assert place.y >= trim - SLACK
            assert place.x + place.length <= plan.sheet.length - trim + SLACK
            assert place.y + place.width <= plan.sheet.width - trim + SLACK
        for one, other in itertools.combinations([*places, *plan.left], 2):
            apart = max(
                one.x - other.x - other.length,
                other.x - one.x - one.length,
                one.y - other.y - other.width,
                other.y - one.y - one.width,
            )
            assert apart >= plan.sheet.kerf - SLACK
        assert parts_apart(places, plan.sheet.kerf)
        for each in plan.placed:
            sides = (each.place.length, each.place.width)
            expected = (each.piece.length, each.piece.width)
            assert sides == pytest.approx(expected[::-1] if each.turned else expected, abs=1e-9)


def saw(whole: Rectangle, cuts: Sequence[Cut], kerf: float) -> list[Rectangle]:
    """The parts that a sheet falls into when it is cut so, one cut after the other."""
    parts = [whole]
    for cut in cuts:
        (sawn,) = (part for part in parts if _through(part, cut))
        parts.remove(sawn)
        parts += [half for half in _halves(sawn, cut, kerf) if min(half.length, half.width) > SLACK]
    return parts


def _through(part: Rectangle, cut: Cut) -> bool:
    """Whether a cut runs through a part from side to side."""
    along, across = (part.x, part.x + part.length), (part.y, part.y + part.width)
    span, reach = (across, along) if cut.way == "crosswise" else (along, across)
    ends = (cut.start, cut.end)
    return span == pytest.approx(ends, abs=SLACK) and reach[0] + SLACK < cut.at < reach[1] - SLACK


def _halves(part: Rectangle, cut: Cut, kerf: float) -> list[Rectangle]:
    x, y, length, width = part.x, part.y, part.length, part.width
    if cut.way == "crosswise":
        far = max(x + length - cut.at - kerf, 0.0)
        near = Rectangle(x, y, cut.at - x, width)
        return [near, Rectangle(x + length - far, y, far, width)]
    far = max(y + width - cut.at - kerf, 0.0)
    return [Rectangle(x, y, length, cut.at - y), Rectangle(x, y + width - far, length, far)]


def test_four_boards_and_three_kerfs_fill_a_sheet() -> None:
    # 4·247 + 3·4 = 1000.
    plans = nest([board(500, 247, count=4)], sheet(500, 1000, kerf=4))
    assert len(plans) == 1
    assert [cut.way for cut in plans[0].cuts] == ["lengthwise"] * 3
    assert sorted(round(1000 * cut.at) for cut in plans[0].cuts) == [247, 498, 749]
    assert plans[0].left == ()
    check(plans)


def test_a_kerf_too_much_takes_another_sheet() -> None:
    plans = nest([board(500, 247, count=4)], sheet(500, 999, kerf=4))
    assert [len(plan.placed) for plan in plans] == [3, 1]


def test_without_a_kerf_halves_fit_exactly() -> None:
    (plan,) = nest([board(500, 500, count=2)], sheet(1000, 500))
    assert plan.used == pytest.approx(1.0)
    assert len(plan.cuts) == 1


def test_a_rest_thinner_than_the_kerf_is_sawdust() -> None:
    # 500 + 498 leaves 2 mm of a saw that takes 3.
    (plan,) = nest([board(998, 500)], sheet(1000, 500, kerf=3))
    assert plan.left == ()
    assert len(plan.cuts) == 1


def test_a_trimmed_sheet_is_smaller() -> None:
    (plan,) = nest([board(980, 480)], sheet(1000, 500, kerf=3, trim=10))
    assert len(plan.cuts) == 4
    (placed,) = plan.placed
    assert (placed.place.x, placed.place.y) == (0.01, 0.01)
    with pytest.raises(SheetError, match="981 mm x 480 mm, and a sheet has 980 mm x 480 mm"):
        nest([board(981, 480)], sheet(1000, 500, kerf=3, trim=10))


def test_boards_lie_across_the_grain_only_where_they_may() -> None:
    boards = [board(600, 300, count=2)]
    along = Sheet(0.9, 0.6, 0.0, 0.0, turn=False)
    across = Sheet(0.6, 0.6, 0.0, 0.0, turn=False)
    assert len(nest(boards, along)) == 1
    assert not any(each.turned for plan in nest(boards, across) for each in plan.placed)
    with pytest.raises(SheetError, match="'board' takes 600 mm x 300 mm"):
        nest(boards, Sheet(0.3, 0.6, 0.0, 0.0, turn=False))
    (plan,) = nest([board(600, 300)], Sheet(0.3, 0.6, 0.0, 0.0, turn=True))
    assert plan.placed[0].turned


def test_each_material_and_thickness_has_its_own_sheets() -> None:
    thin = Board("thin", (0.3, 0.2), 0.012, "MDF", (), 1.0, 1.0)
    other = Board("other", (0.3, 0.2), 0.018, "birch plywood", (), 1.0, 1.0)
    plans = nest([thin, board(300, 200), other], sheet(1000, 500))
    assert [(plan.material, plan.thickness) for plan in plans] == [
        ("MDF", 0.018),
        ("MDF", 0.012),
        ("birch plywood", 0.018),
    ]


def drawn(seed: int, count: int, longest: int) -> list[Board]:
    draw = np.random.default_rng(seed)
    sides = draw.integers(60, longest, size=(count, 2))
    return [board(float(max(pair)), float(min(pair)), f"b{i}") for i, pair in enumerate(sides)]


@pytest.mark.parametrize("turn", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_any_boards_lie_within_their_sheets_and_can_be_sawn(seed: int, turn: bool) -> None:
    boards = drawn(seed, 12, 700)
    cut_from = Sheet(1.25, 0.8, 0.0032, 0.008, turn)
    plans = nest(boards, cut_from)
    check(plans)
    names = sorted(each.piece.name for plan in plans for each in plan.placed)
    assert names == sorted(each.name for each in boards)
    area = sum(each.length * each.width for each in boards)
    assert len(plans) >= math.ceil(area / (cut_from.length * cut_from.width))


@pytest.mark.parametrize("seed", range(3))
def test_the_cuts_in_their_order_part_the_boards(seed: int) -> None:
    cut_from = Sheet(1.25, 0.8, 0.0032, 0.0, turn=True)
    for plan in nest(drawn(seed, 9, 600), cut_from):
        parts = saw(Rectangle(0.0, 0.0, 1.25, 0.8), plan.cuts, 0.0032)
        for each in plan.placed:
            assert any(
                part.x == pytest.approx(each.place.x, abs=SLACK)
                and part.y == pytest.approx(each.place.y, abs=SLACK)
                and part.length == pytest.approx(each.place.length, abs=SLACK)
                and part.width == pytest.approx(each.place.width, abs=SLACK)
                for part in parts
            )


def fits_one(sizes: tuple[tuple[float, float], ...], length: float, width: float) -> bool:
    """Whether a guillotine can cut these from one rectangle, by trying every way (no kerf)."""
    if not sizes:
        return True
    if len(sizes) == 1:
        (one,) = sizes
        return one[0] <= length + SLACK and one[1] <= width + SLACK
    if sum(a * b for a, b in sizes) > length * width + SLACK:
        return False
    # Some cut parts the pieces in two groups; each group needs a sum of sides to decide where.
    for count in range(1, len(sizes) // 2 + 1):
        for chosen in itertools.combinations(range(len(sizes)), count):
            one = tuple(sizes[i] for i in chosen)
            other = tuple(sizes[i] for i in range(len(sizes)) if i not in chosen)
            for a, b in ((one, other), (other, one)):
                for at in sums(side for side, _ in a):
                    if at < length and fits_one(a, at, width) and fits_one(b, length - at, width):
                        return True
                for at in sums(side for _, side in a):
                    if at < width and fits_one(a, length, at) and fits_one(b, length, width - at):
                        return True
    return False


def sums(sides: Sequence[float]) -> set[float]:
    """All sums of some of these sides: a guillotine's cuts may be moved to one of them."""
    found = {0.0}
    for side in sides:
        found |= {round(each + side, 9) for each in found}
    return found - {0.0}


@pytest.mark.parametrize("seed", range(8))
def test_few_boards_take_no_more_sheets_than_they_must(seed: int) -> None:
    draw = np.random.default_rng(100 + seed)
    sides = draw.integers(2, 8, size=(5, 2)) / 10
    boards = [board(1000 * a, 1000 * b) if a >= b else board(1000 * b, 1000 * a) for a, b in sides]
    sizes = tuple((each.length, each.width) for each in boards)
    cut_from = Sheet(1.0, 0.9, 0.0, 0.0, turn=False)
    plans = nest(boards, cut_from)
    check(plans)
    # Fewest sheets, over all ways to share five boards among that many.
    fewest = next(
        count
        for count in range(1, 6)
        if any(
            all(
                fits_one(tuple(s for s, at in zip(sizes, share, strict=True) if at == n), 1.0, 0.9)
                for n in range(count)
            )
            for share in itertools.product(range(count), repeat=5)
        )
    )
    assert len(plans) == fewest


def test_the_same_boards_give_the_same_plan() -> None:
    boards = drawn(7, 10, 500)
    assert nest(boards, sheet(1250, 800, kerf=3)) == nest(boards, sheet(1250, 800, kerf=3))


def test_a_layout_that_no_guillotine_can_cut_is_seen() -> None:
    # A pinwheel of four boards round a hole: the usual example (from memory).
    wheel = [
        Rectangle(0.0, 0.0, 2.0, 1.0),
        Rectangle(2.0, 0.0, 1.0, 2.0),
        Rectangle(1.0, 2.0, 2.0, 1.0),
        Rectangle(0.0, 1.0, 1.0, 2.0),
    ]
    assert not parts_apart(wheel, 0.0)
    assert parts_apart(wheel[:2], 0.0)
