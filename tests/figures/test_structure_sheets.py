"""The figures of a structure show what was found, and nothing where nothing is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.patches import Circle, Polygon, Rectangle

from acoustics.case.design.structure_model import Sheet
from acoustics.figures.cut_board import board_notes, draw_board, draw_board_notes
from acoustics.figures.cut_plan import CUT, board_words, draw_cut_plan, letters_told
from acoustics.figures.lining import draw_qualities
from acoustics.figures.standing_waves import draw_standing_waves
from acoustics.figures.structure_sheets import structure_sheets
from acoustics.figures.style import new_figure
from acoustics.figures.wall_loudness import AFTER, draw_wall_loudness
from acoustics.figures.wall_shape import BRACE, draw_wall
from acoustics.structure.board_model import Board
from acoustics.structure.cutting import cut_rows
from acoustics.structure.nesting import nest
from support.structure_found import hand_made, small_case


@pytest.fixture(scope="module")
def case(tmp_path_factory):
    return small_case(tmp_path_factory.mktemp("drawn"), title="Costs $5 and $6 <b>")


@pytest.fixture(scope="module")
def found(case):
    return hand_made(case)


def words_of(axes):
    return [text.get_text() for text in axes.texts]


def test_every_sheet_is_drawn(case, found):
    drawn = {name: sheet(found) for name, sheet in structure_sheets(case).items()}
    assert list(drawn) == ["walls", "wall-loudness", "standing-waves", "lining", "boards",
                           "cut-plan"]  # fmt: skip
    for figure in drawn.values():
        assert "Costs $5 and $6 <b>" in figure.get_suptitle()
        figure.draw_without_rendering()  # a $ of the title is no formula


def test_no_sheet_where_nothing_is_known(case, found):
    empty = replace(
        found,
        walls=(),
        sound=None,
        air=None,
        air_response=None,
        air_bare=None,
        linings=None,
        cut_list=None,
        sheets=(),
        structure=replace(found.structure, linings=()),
    )
    assert all(sheet(empty) is None for sheet in structure_sheets(case).values())


def test_a_wall_shows_cut_outs_braces_and_outline_to_scale(axes, found):
    modes = found.walls[0]
    draw_wall(axes, modes, 0, [((-0.08, -0.025), (0.08, -0.025)), ((0.01, 0.02), (0.01, 0.02))])
    (circle,) = [patch for patch in axes.patches if isinstance(patch, Circle)]
    assert circle.center == pytest.approx((0.0, 40.0))  # mm from the middle
    assert circle.radius == pytest.approx(35.0)
    bar, strut = [line for line in axes.lines if line.get_color() == BRACE]
    np.testing.assert_allclose(bar.get_xydata(), [[-80.0, -25.0], [80.0, -25.0]])
    assert strut.get_marker() == "s"
    (outline,) = [patch for patch in axes.patches if isinstance(patch, Polygon)]
    np.testing.assert_allclose(outline.get_xy()[:-1], 1e3 * modes.wall.corners)


def test_walls_are_drawn_beside_the_proposal(axes, curve, found):
    sound, after = found.sound, found.sound_after
    draw_wall_loudness(
        axes, sound, sound.axis_level, closest=found.closest[-1], after=after.axis_level[-1]
    )
    frequency, together = curve(axes, "all walls")
    np.testing.assert_array_equal(frequency, sound.frequency)
    np.testing.assert_array_equal(together, sound.axis_level[-1])
    np.testing.assert_allclose(curve(axes, AFTER)[1], together - 8.0)
    for wall in sound.walls:
        curve(axes, wall)
    assert {"practice: heard above", "practice: quiet below"} <= set(words_of(axes))


def test_standing_waves_and_corners_are_marked(axes, curve, found):
    frequency = found.air_response.frequency
    level = found.air_response.level[0, 0]
    draw_standing_waves(axes, frequency, level, None, found.air.frequency, (0.0, 900.0))
    at = curve(axes, "standing wave of the bare box")[0]
    assert at[0] == pytest.approx(found.air.frequency[0])
    assert curve(axes, "corner of the crossover")[0][0] == 900.0
    assert "with lining and fill as planned" not in [line.get_label() for line in axes.lines]


def test_qualities_stand_in_their_cells(axes, found):
    table = found.linings
    draw_qualities(axes, table)
    cells = [patch for patch in axes.patches if isinstance(patch, Rectangle)]
    assert len(cells) == len(table.frequency) * (1 + len(table.treatments))
    told = words_of(axes)
    assert told.count("–") == int(table.strong.sum())
    first = table.quality[table.treatments.index("linings as planned"), 0]
    assert f"{first:.1f}" in told


def board(name, long, wide, count=1):
    outline = ((0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide))
    return Board(name, (long, wide), 0.018, "MDF", outline, 1e-3, 1.0, count=count)


def test_boards_lie_on_the_sheet_where_the_plan_has_them(axes):
    (plan,) = nest([board("side", 0.5, 0.3, 2), board("stay", 0.05, 0.02)], Sheet(1.2, 0.6))
    words = board_words(plan)
    draw_cut_plan(axes, plan, words)
    drawn = {patch.get_bbox().bounds for patch in axes.patches if isinstance(patch, Rectangle)}
    for placed in plan.placed:
        place = placed.place
        bounds = [1e3 * each for each in (place.x, place.y, place.length, place.width)]
        assert any(np.allclose(bounds, there) for there in drawn)
    cuts = [line for line in axes.lines if line.get_color() == CUT]
    assert len(cuts) == len(plan.cuts)
    numbers = [word for word in words_of(axes) if word.isdigit()]
    assert numbers == [str(number) for number in range(1, len(plan.cuts) + 1)]
    # Two sides have room for their names; the stay bears a letter.
    assert [each.letter for each in words].count(True) == 1
    assert letters_told(plan, words) == ["a: stay, 50 × 20"]


def test_a_board_tells_sizes_and_holes(axes, found):
    (row,) = [row for row in found.cut_list.rows if row.name == "front"]
    (front,) = [each for each in found.cut_list.boards if each.name == "front"]
    draw_board(axes, front, row)
    assert {"160", "260"} <= set(words_of(axes))
    (circle,) = [patch for patch in axes.patches if isinstance(patch, Circle)]
    assert circle.center == pytest.approx((80.0, 170.0))
    assert " ".join(board_notes(front, row)) == "a wide: round 70, 80 from left, 170 up"
    (ring,) = [each for each in found.cut_list.boards if each.name == "ring"]
    (ring_row,) = cut_rows([ring])
    # Half of 130 × 170 mm is left open: sides √½ as long, 91.9 × 120.2.
    told = " ".join(" ".join(board_notes(ring, ring_row)).split())
    assert "a opening 91.9 × 120.2 in the middle" in told
    assert "19 left at the sides, 24.9 front and back" in told


def test_an_outline_that_is_no_rectangle_shows_its_corners(axes):
    corners = ((0.0, 0.0), (0.2, 0.0), (0.15, 0.3), (0.05, 0.3))
    slanted = replace(board("side", 0.2, 0.3), outline=corners)
    (row,) = cut_rows([slanted])
    draw_board_notes(axes, slanted, row)
    assert "corners (right, up): 0, 0; 200, 0; 150, 300; 50, 300" in " ".join(
        " ".join(words_of(axes)).split()
    )


def test_figures_of_many_boards_stay_readable():
    boards = [board(f"board {n}", 0.2 + 0.01 * n, 0.1) for n in range(25)]
    plans = nest(boards, Sheet())
    panel = new_figure(4.0)[1][0, 0]
    draw_cut_plan(panel, plans[0], board_words(plans[0]))
    sizes = {text.get_fontsize() for text in panel.texts}
    assert min(sizes) >= 7.0  # points
