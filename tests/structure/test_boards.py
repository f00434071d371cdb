"""Boards against their shell: together they are what the walls fill, whatever the joint.

Volumes of outside and inside come from convex hulls of the whole shell (scipy, qhull) or from
products of sides; sizes of butt, mitred and rebated boards of a box are counted by hand.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from acoustics.cabinet import inner_volume, outer_volume
from acoustics.case import Case, read_case
from acoustics.case.geometry.brace_solids import spans_of
from acoustics.case.geometry.shell import shell_in
from acoustics.conventions import RoundoverError
from acoustics.structure.board_model import Board
from acoustics.structure.boards import boards_of
from acoustics.structure.cutting import cut_list

FRAME = """
title = "Boards"
[cabinet]
{cabinet}
base_height = "600 mm"
wall_thickness = "18 mm"
[drivers.tweeter]
piston_diameter = "25 mm"
frame_diameter = "60 mm"
position = ["10 mm", "50 mm"]
sensitivity = 90.0
cutout_diameter = "50 mm"
[seat]
distance = "2.5 m"
ear_heights = ["0.9 m"]
[structure]
material = "MDF"
{structure}
"""
BOX = 'width = "220 mm"\nheight = "380 mm"\ndepth = "300 mm"'
SHAPES = {
    "box": BOX,
    "sloped": f'shape = "sloped front"\n{BOX}\nlean = "8 deg"',
    "pyramid": 'shape = "pyramid"\nwidth = "300 mm"\nheight = "400 mm"\ndepth = "250 mm"\n'
    'front_width = "200 mm"\nfront_height = "360 mm"\nshift = ["10 mm", "-20 mm"]',
    "chamfered": BOX + '\nchamfers = [{ edges = ["front left"], setback = "60 mm" }]',
}
UNEVEN = '[structure.walls.front]\nthickness = "25 mm"\n[structure.walls.left]\nthickness = "12 mm"'


def case_of(folder: Path, structure: str = "", cabinet: str = BOX) -> Case:
    (folder / "case.toml").write_text(FRAME.format(cabinet=cabinet, structure=structure))
    return read_case(folder)


def named(case: Case) -> dict[str, Board]:
    return {board.name: board for board in boards_of(case)}


@pytest.mark.parametrize("joint", ["butt", "mitre", "rebate"])
@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("walls", ["", UNEVEN])
def test_boards_are_the_outside_less_the_inside(
    tmp_path: Path, shape: str, joint: str, walls: str
) -> None:
    case = case_of(tmp_path, f'joint = "{joint}"\n{walls}', SHAPES[shape])
    shell = shell_in(case)
    expected = outer_volume(shell.body) - inner_volume(shell.body, shell.thicknesses)
    assert sum(board.volume for board in boards_of(case)) == pytest.approx(expected, rel=1e-9)


def test_a_box_of_butt_joints(tmp_path: Path) -> None:
    boards = named(case_of(tmp_path))
    assert boards["front"].size == pytest.approx((0.220, 0.380), rel=1e-12)
    assert boards["left"].size == pytest.approx((0.264, 0.380), rel=1e-12)
    assert boards["top"].size == pytest.approx((0.184, 0.264), rel=1e-12)
    assert all(edge.plain for board in boards.values() for edge in board.edges)
    assert all(len(board.edges) == 4 for board in boards.values())


def test_walls_named_first_run_past_the_others(tmp_path: Path) -> None:
    boards = named(case_of(tmp_path, 'outer = ["top", "bottom", "left"]'))
    assert boards["top"].size == pytest.approx((0.220, 0.300), rel=1e-12)
    assert boards["left"].size == pytest.approx((0.300, 0.344), rel=1e-12)
    assert boards["front"].size == pytest.approx((0.220 - 0.018, 0.344), rel=1e-12)
    assert boards["right"].size == pytest.approx((0.264, 0.344), rel=1e-12)


def test_mitred_boards_have_the_outer_size_and_half_the_angle(tmp_path: Path) -> None:
    boards = named(case_of(tmp_path, 'joint = "mitre"'))
    assert boards["front"].size == pytest.approx((0.220, 0.380), rel=1e-12)
    assert boards["top"].size == pytest.approx((0.220, 0.300), rel=1e-12)
    for board in boards.values():
        assert [edge.bevel for edge in board.edges] == pytest.approx([45.0] * 4, abs=1e-9)
    # All four sides lean by 45°: a prismatoid, by its two faces and the section between them.
    faces = 0.220 * 0.380 + 0.184 * 0.344 + 4 * 0.202 * 0.362
    assert boards["front"].volume == pytest.approx(0.018 / 6 * faces, rel=1e-9)


def test_a_mitre_of_unequal_walls_goes_from_edge_to_edge(tmp_path: Path) -> None:
    boards = named(case_of(tmp_path, f'joint = "mitre"\n{UNEVEN}'))
    (edge,) = (edge for edge in boards["front"].edges if edge.at == "left")
    assert edge.bevel == pytest.approx(math.degrees(math.atan(12 / 25)), rel=1e-9)
    (back,) = (edge for edge in boards["left"].edges if edge.at == "front")
    assert back.bevel + edge.bevel == pytest.approx(90.0, rel=1e-12)


def test_rebated_ends_sit_half_in_the_other_board(tmp_path: Path) -> None:
    boards = named(case_of(tmp_path, 'joint = "rebate"'))
    assert boards["front"].size == pytest.approx((0.220, 0.380), rel=1e-12)
    assert boards["left"].size == pytest.approx((0.282, 0.380), rel=1e-12)
    assert boards["top"].size == pytest.approx((0.202, 0.282), rel=1e-12)
    rebates = [(e.at, e.rebate_depth, e.rebate_width) for e in boards["left"].edges if not e.plain]
    assert sorted(rebates) == [("bottom", 0.009, 0.018), ("top", 0.009, 0.018)]
    # A frame of 18 mm, 9 mm deep, round the inner side of the front.
    cut = (0.220 * 0.380 - 0.184 * 0.344) * 0.009
    assert boards["front"].volume == pytest.approx(0.220 * 0.380 * 0.018 - cut, rel=1e-9)


def test_a_sloped_front_bevels_what_meets_it(tmp_path: Path) -> None:
    boards = named(case_of(tmp_path, cabinet=SHAPES["sloped"]))
    (top,) = (edge for edge in boards["top"].edges if edge.at == "front")
    (bottom,) = (edge for edge in boards["bottom"].edges if edge.at == "front")
    assert (abs(top.bevel), abs(bottom.bevel)) == pytest.approx((8.0, 8.0), rel=1e-9)
    # The top is longer below, where the front stands farther out; the bottom likewise inside out.
    assert top.bevel < 0 < bottom.bevel
    assert len(boards["left"].outline) == 4
    assert not all(edge.bevel for edge in boards["left"].edges)


def test_a_hole_is_told_from_the_corner_of_its_board(tmp_path: Path) -> None:
    front = named(case_of(tmp_path))["front"]
    (hole,) = front.holes
    assert (hole.kind, hole.size) == ("round", (0.050,))
    assert hole.centre == pytest.approx((0.110 + 0.010, 0.190 + 0.050), rel=1e-12)
    cut = math.pi / 4 * 0.050**2 * 0.018
    assert front.mass == pytest.approx(750.0 * (0.220 * 0.380 * 0.018 - cut), rel=1e-9)


def test_a_front_between_the_sides_counts_its_holes_from_its_own_edge(tmp_path: Path) -> None:
    front = named(case_of(tmp_path, 'outer = ["left", "right"]'))["front"]
    assert front.size == pytest.approx((0.184, 0.380), rel=1e-12)
    assert front.holes[0].centre == pytest.approx((0.092 + 0.010, 0.240), rel=1e-12)


BRACES = """
[[structure.braces]]
kind = "bar"
name = "rib"
walls = ["back"]
run = "lengthwise"
width = "18 mm"
height = "40 mm"
[[structure.braces]]
kind = "strut"
name = "stay"
walls = ["left", "right"]
position = ["40 mm", "0 mm"]
width = "20 mm"
height = "30 mm"
material = "solid beech"
[[structure.braces]]
kind = "shelf"
name = "ring"
at = "-100 mm"
thickness = "15 mm"
open = 0.49
"""


def test_braces_are_boards_too(tmp_path: Path) -> None:
    boards = named(case_of(tmp_path, BRACES))
    rib, stay, ring = (boards[name] for name in ("rib", "stay", "ring"))
    assert (rib.length, rib.width, rib.thickness) == pytest.approx((0.344, 0.040, 0.018))
    assert (stay.length, stay.width, stay.thickness) == pytest.approx((0.184, 0.030, 0.020))
    assert stay.mass == pytest.approx(720.0 * 0.184 * 0.030 * 0.020, rel=1e-9)
    assert ring.size == pytest.approx((0.184, 0.264))
    (opening,) = ring.holes
    # 0.7² = 0.49.
    assert opening.size == pytest.approx((0.7 * 0.184, 0.7 * 0.264), rel=1e-9)
    assert opening.centre == pytest.approx((0.092, 0.132), rel=1e-9)
    assert ring.mass == pytest.approx(750.0 * 0.51 * 0.184 * 0.264 * 0.015, rel=1e-9)


def test_a_pair_takes_twice_as_many_and_one_of_them_mirrored(tmp_path: Path) -> None:
    pair = '[placement]\ncabinets = "mirrored pair"\nspacing = "2 m"\n'
    boards = named(case_of(tmp_path, pair))
    assert {board.count for board in boards.values()} == {2}
    assert [name for name, board in boards.items() if board.mirrored] == ["front"]


def test_the_cut_list_puts_together_what_is_cut_alike(tmp_path: Path) -> None:
    listed = cut_list(case_of(tmp_path, UNEVEN))
    assert [(row.name, row.count, round(row.thickness, 6)) for row in listed.rows] == [
        ("front", 1, 0.025),
        ("right", 1, 0.018),
        ("back", 1, 0.018),
        ("top, bottom", 2, 0.018),
        ("left", 1, 0.012),
    ]
    assert listed.empty == pytest.approx(sum(board.mass for board in listed.boards), rel=1e-12)
    assert (listed.loaded, listed.unweighed) == (None, ("tweeter",))


def test_small_chamfers_are_cut_after_gluing(tmp_path: Path) -> None:
    cuts = '\nchamfers = [{ edges = ["front left"], setback = "10 mm" }]'
    rounds = '\nrounds = [{ edges = ["front right"], radius = "12 mm" }]'
    case = case_of(tmp_path, cabinet=BOX + cuts + rounds)
    plain = case_of(tmp_path)
    assert [board.volume for board in boards_of(case)] == pytest.approx(
        [board.volume for board in boards_of(plain)], rel=1e-9
    )
    assert cut_list(case).notes == (
        "after gluing: front left chamfer",
        "after gluing: front right rounding",
    )


def test_a_large_chamfer_is_a_board(tmp_path: Path) -> None:
    boards = named(case_of(tmp_path, cabinet=SHAPES["chamfered"]))
    wide = boards["front left chamfer"]
    assert len(boards) == 7
    assert {round(abs(edge.bevel), 6) for edge in wide.edges} == {0.0, 45.0}


def test_a_round_larger_than_the_wall_is_told_as_flat_and_said_so(tmp_path: Path) -> None:
    rounds = '\nrounds = [{ edges = ["front left"], radius = "60 mm" }]'
    boards = named(case_of(tmp_path, cabinet=BOX + rounds))
    assert [name for name, board in boards.items() if board.notes] == ["front left rounding"]


def test_a_case_without_a_structure_says_what_to_add(tmp_path: Path) -> None:
    text = FRAME.format(cabinet=BOX, structure="").replace('[structure]\nmaterial = "MDF"\n', "")
    (tmp_path / "case.toml").write_text(text)
    with pytest.raises(RoundoverError, match=r"add a table \[structure\]"):
        boards_of(read_case(tmp_path))


def test_a_shelf_counts_from_the_middle_of_the_inside(tmp_path: Path) -> None:
    thick = '[structure.walls.bottom]\nthickness = "28 mm"\n'
    shelf = '[[structure.braces]]\nkind = "shelf"\nat = "-100 mm"\n'
    case = case_of(tmp_path, thick + shelf)
    assert case.structure is not None
    ((_, _, low, high),) = spans_of(shell_in(case), case.structure.braces[0])
    # The inside goes from 28 mm above the bottom to 18 mm below the top: its middle is 5 mm up.
    assert (low + high) / 2 == pytest.approx(-0.095, abs=1e-9)


def test_mirror_images_are_cut_alike_if_they_may_be_turned_over(tmp_path: Path) -> None:
    # The sides of a sloped front are trapezia: square edges let one be turned over, mitred do not.
    for joint, rows in (("butt", [("right", "left")]), ("mitre", [("right",), ("left",)])):
        case = case_of(tmp_path, f'joint = "{joint}"', SHAPES["sloped"])
        sides = [row.names for row in cut_list(case).rows if {"left", "right"} & {*row.names}]
        assert sides == rows


def test_braces_that_meet_are_told_to_be_notched(tmp_path: Path) -> None:
    bar = '[[structure.braces]]\nkind = "bar"\nwalls = ["back"]\nrun = "lengthwise"\n'
    bar += 'name = "spine"\nwidth = "18 mm"\nheight = "40 mm"\n'
    shelf = '[[structure.braces]]\nkind = "shelf"\nname = "ring"\nopen = 0.6\n'
    meeting = [note for note in cut_list(case_of(tmp_path, bar + shelf)).notes if "meet" in note]
    assert len(meeting) == 1
    assert meeting[0].startswith("spine and ring meet: notch")
    assert not any("meet" in note for note in cut_list(case_of(tmp_path, bar)).notes)


@pytest.mark.parametrize(("setback", "pointed"), [(25, True), (60, False)])
def test_a_strip_whose_bevels_meet_is_three_cornered(
    tmp_path: Path, setback: int, pointed: bool
) -> None:
    # By hand: behind front and side, 18 mm thick, a chamfer's inner plane cuts a right-angled
    # corner, (setback − 18(2 − √2))√2 mm wide: 20.4 mm, less than the 36 mm that two bevels of 45°
    # take of 18 mm, or 69.9 mm.
    chamfer = f'chamfers = [{{ edges = ["front left"], setback = "{setback} mm" }}]'
    rows = cut_list(case_of(tmp_path, cabinet=f"{BOX}\n{chamfer}")).rows
    (row,) = (row for row in rows if "front left chamfer" in row.names)
    assert any("three-cornered" in note for note in row.notes) == pointed
