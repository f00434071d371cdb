"""Faces, boards and braces as plain data, against what is worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.case.design.model import Chamfer, Placement, Rounding
from acoustics.structure.cutting import cut_list
from acoustics.studies.drawings import (
    board_drawings,
    brace_drawings,
    face_drawings,
    safe_name,
    safe_names,
)
from support.cases import make_case, make_driver
from support.drawn import NASTY, box, cabinet
from support.structure_found import PYRAMID, small_case

MM = 1e3


def front_of(shape, **driver):
    return face_drawings(make_case((make_driver("one", **driver),), cabinet=shape))[0]


def mm(points):
    return MM * np.array(points)


def area(points):
    x, y = np.array(points).T
    return abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2


def test_every_hole_and_circle_of_a_face_has_its_place():
    front, back = face_drawings(box())
    cuts = {cut.what: cut for cut in front.cuts}
    assert mm(cuts["tweeter"].centre) == pytest.approx((140, 315))
    assert mm(cuts["tweeter"].size) == pytest.approx([74])
    assert mm(cuts["port slot"].outline) == pytest.approx(
        np.array([[30, 20], [190, 20], [190, 40], [30, 40]])
    )
    assert [cut.stated for cut in front.cuts] == [True, False, True]
    rings = {ring.what: (*mm(ring.centre), MM * ring.radius) for ring in front.rings}
    assert rings["frame of woofer"] == pytest.approx((110, 140, 82.5))
    assert rings["cone of tweeter"] == pytest.approx((140, 315, 12.5))
    assert mm(front.across) == pytest.approx([110, 140])
    assert mm(front.upward) == pytest.approx([30, 140, 315])
    assert mm(front.middle) == pytest.approx((110, 190))
    assert [cut.what for cut in back.cuts] == ["port rear", "passive radiator weight"]
    assert mm([cut.centre for cut in back.cuts]) == pytest.approx(
        np.array([[110, 280], [110, 120]])
    )


def test_notes_say_what_is_not_known_and_never_guess_screws():
    front, back = face_drawings(box())
    words = "\n".join(front.notes)
    assert "a  tweeter: round 74; centre 140 from left, 315 from bottom" in words
    assert "from the middle: 30 right and 125 up" in words
    assert "cut-out not stated: key drivers.woofer.cutout_diameter" in words
    assert "Screw holes are not known" in words
    assert "front top and front bottom: rounded, radius 20" in words
    assert "inner size" in words
    assert "passive radiator weight: cut-out not stated; dashed" in "\n".join(back.notes)
    assert not any("Screw" in note for note in back.notes)


def test_of_a_pair_what_is_off_the_middle_is_mirrored():
    said = [
        [note for note in face.notes if "mirror image" in note]
        for face in face_drawings(box(placement=Placement(pair=True, spacing=2.0)))
    ]
    assert [len(each) for each in said] == [1, 0]


def test_rounded_and_chamfered_edges_leave_a_smaller_flat_part():
    (line,) = face_drawings(box())[0].lines
    assert mm(line.points).min(axis=0) == pytest.approx((20, 20))
    assert mm(line.points).max(axis=0) == pytest.approx((200, 360))
    cut = front_of(cabinet(chamfers=(Chamfer("front left", (0.025, 0.040)),)))
    assert mm(cut.outline).max(axis=0) == pytest.approx((220, 380))
    assert mm(cut.lines[0].points).min(axis=0) == pytest.approx((25, 0))
    assert front_of(cabinet()).lines == ()


def test_a_rounded_edge_that_meets_the_face_end_on_is_an_arc():
    face = front_of(cabinet(rounds=(Rounding("top left", 0.050),)))
    points = mm(face.lines[0].points)
    corner = points[(points[:, 0] < 50.001) & (points[:, 1] > 329.999)]
    away = np.hypot(corner[:, 0] - 50, corner[:, 1] - 330)
    assert away == pytest.approx(np.full(len(corner), 50), abs=0.01)
    # A square corner of side r less a quarter of the circle.
    assert area(points) == pytest.approx(220 * 380 - (1 - np.pi / 4) * 50**2, abs=1.0)


def test_on_a_sloped_front_that_arc_is_a_part_of_an_ellipse():
    shape = cabinet(shape="sloped front", lean=10.0, rounds=(Rounding("top left", 0.050),))
    face = front_of(shape)
    high = 380 / np.cos(np.radians(10))
    assert mm(face.size) == pytest.approx((220, high))
    points = mm(face.lines[0].points)
    tall = 50 / np.cos(np.radians(10))
    corner = points[(points[:, 0] < 50.001) & (points[:, 1] > high - tall - 0.001)]
    assert len(corner) > 50
    on = ((corner[:, 0] - 50) / 50) ** 2 + ((corner[:, 1] - high + tall) / tall) ** 2
    assert on == pytest.approx(np.ones(len(corner)), abs=1e-6)


def test_pyramid_plate_and_corners():
    pyramid = front_of(cabinet(shape="pyramid", front=(0.150, 0.260)))
    assert mm(pyramid.size) == pytest.approx((150, 260))
    outline = ((-0.1, -0.2), (0.1, -0.2), (0.15, 0.1), (0.0, 0.2), (-0.15, 0.1))
    plate = front_of(cabinet(shape="plate", depth=0.0, outline=outline), position=(0.02, 0.05))
    expected = 1e3 * np.array(outline) + [150, 200]
    assert {tuple(each) for each in mm(plate.outline).round(6)} == {tuple(e) for e in expected}
    assert mm(plate.cuts[0].centre) == pytest.approx((170, 250))
    assert any("rectangle round the outline" in note for note in plate.notes)
    wedge = tuple(
        (x * (1 - 0.2 * (z < 0)), y, z)
        for z in (0.0, -0.25)
        for y in (-0.15, 0.15)
        for x in (-0.1, 0.1)
    )
    body = front_of(cabinet(shape="corners", corners=wedge))
    assert mm(body.size) == pytest.approx((200, 300))


def test_boards_are_those_of_the_cut_list(tmp_path):
    case = small_case(tmp_path, cabinet=PYRAMID)
    cut = cut_list(case)
    drawn = {each.name: each for each in board_drawings(case, cut)}
    assert len(drawn) == len(cut.rows)
    front = drawn["board front"]
    board = next(board for board in cut.boards if board.name == "front")
    assert front.outline == board.outline
    assert any("from square" in note for note in front.notes)  # bevels of a pyramid


def test_an_unknown_hole_of_a_board_is_dashed(tmp_path):
    case = small_case(tmp_path)
    driver = replace(case.drivers[0], cutout_diameter=None)
    case = replace(case, drivers=(driver,))
    drawn = board_drawings(case, cut_list(case))
    (hole,) = [cut for each in drawn for cut in each.cuts if cut.what == "wide"]
    assert not hole.stated


def test_braces_are_seen_from_inside(tmp_path):
    # Walls of 15 mm in a box of 160 × 260 × 200: the inside is 130 × 230 × 170.
    drawn = {each.name: each for each in brace_drawings(small_case(tmp_path))}
    left = drawn["braces left"]
    assert mm(left.size) == pytest.approx((170, 230))
    bar = next(line for line in left.lines if line.what == "side bar left")
    # Crosswise 70 below the middle of the wall, 15 wide: 115 - 70 ± 7.5 from the bottom.
    assert mm(bar.points).min(axis=0) == pytest.approx((0, 37.5))
    assert mm(bar.points).max(axis=0) == pytest.approx((170, 52.5))
    front = drawn["braces front"]
    bar = next(line for line in front.lines if line.what == "side bar left")
    # 30 high on the left wall: from inside, looking to the front, that is on the right.
    assert mm(bar.points).min(axis=0) == pytest.approx((100, 37.5))
    assert any("goes on by 15 left, 15 right, 15 below, 15 above" in n for n in front.notes)
    # The hole at 40 above the middle: 115 + 40.
    assert (*mm(front.rings[0].centre), MM * front.rings[0].radius) == pytest.approx((65, 155, 35))
    assert brace_drawings(make_case()) == ()


def test_names_of_files_are_harmless():
    assert safe_name(NASTY) == "x-script-alert-1-script-d-j"
    assert safe_name("Größe/..\\β") == "größe-β"
    assert safe_name("…") == "drawing"
    assert safe_name("CON") != "con"  # a device of one system (Naming Files; from memory)
    assert list(safe_names(["a b", "a-b", "A B"])) == ["a-b", "a-b-2", "a-b-3"]


def test_a_slot_is_kept_clear_of_braces_too(tmp_path):
    case = small_case(tmp_path)
    slot = Port("slot", (0.060, 0.020), 0.1, (0.030, -0.060))
    box = Enclosure("main", "vented", ("wide",), 0.003, ports=(slot,))
    drawn = {each.name: each for each in brace_drawings(replace(case, enclosures=(box,)))}
    (line,) = [line for line in drawn["braces front"].lines if line.what == "port slot"]
    # 30 right of the middle from outside is 30 left of it from inside: 65 - 30 ± 30, 115 - 60 ± 10.
    assert mm(line.points).min(axis=0) == pytest.approx((5, 45))
    assert mm(line.points).max(axis=0) == pytest.approx((65, 65))


@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("Высокий 25", "высокий-25"),
        ("高音", "高音"),
        ("हिन्दी", "हिन्दी"),  # with marks that are no letters by themselves
        ("cafe\u0301", "caf\u00e9"),  # put together, as NFC has it (Unicode, annex 15)
        ("مكبر", "مكبر"),
    ],
)
def test_names_keep_the_letters_of_every_script(name, kept):
    assert safe_name(name) == kept


@pytest.mark.parametrize(
    "name",
    [
        "../../高",
        "/高",
        "高/../音",
        "高\\音",
        "高\x00音",
        "\u202e高",
        "高:音",
        " 高. ",
        "~高",
        "高\u2215音",
        "高\uff0f音",
    ],
)
def test_names_of_any_script_are_no_paths(name):
    """No separator, no dot, no letter that steers or turns the text round."""
    safe = safe_name(name)
    assert set(safe) <= {"高", "音", "-"}
    assert not safe.startswith("-")


def test_long_names_fit_a_file_system():
    """255 bytes for a name in most file systems (POSIX.1 NAME_MAX; from memory)."""
    names = list(safe_names(["高" * 300, "高" * 300, "x" * 300]))
    assert len(set(names)) == 3
    assert all(len(f".{name}.svg.4194304.part".encode()) <= 255 for name in names)
