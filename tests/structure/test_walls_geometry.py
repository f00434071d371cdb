"""Walls of cabinets: which there are, their outlines, boards, cut-outs and braces."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.cabinet import inner_volume
from acoustics.case.design.model import Cabinet, Chamfer, Rounding
from acoustics.case.design.structure_model import Brace, Lining, Structure
from acoustics.case.geometry.brace_solids import axes_of
from acoustics.case.geometry.shape import body_of
from acoustics.case.geometry.shell import own_walls, shell_of
from acoustics.conventions import GeometryError
from acoustics.structure.wall_braces import cutouts_met, ribs_of, strut_of, walls_held
from acoustics.structure.wall_groups import holes_of
from acoustics.structure.walls import wall_named, walls_of
from support.plates import MDF

BOX = Cabinet(width=0.22, height=0.38, depth=0.30, base_height=0.6, wall_thickness=0.018)
PLY = replace(MDF, name="ply", along=9e9, across=6e9)
BOARDS = Structure("mdf", (MDF, PLY))


@pytest.fixture
def boxed(make_case, make_driver):
    woofer = make_driver(
        "woofer",
        -0.05,
        piston_diameter=0.13,
        frame_diameter=0.166,
        cutout_diameter=0.145,
        mass=1.5,
    )

    def make(**changes):
        drivers = (woofer, make_driver("tweeter", 0.12))
        return make_case(drivers, cabinet=replace(BOX, **changes))

    return make


def test_walls_of_a_box_end_at_their_neighbours(boxed):
    walls = walls_of(boxed(), BOARDS)
    sizes = {wall.name: wall.size for wall in walls}
    # 0.22 × 0.38 × 0.30 m less two walls each way
    assert sizes == {
        "front": pytest.approx((0.184, 0.344)),
        "back": pytest.approx((0.184, 0.344)),
        "right": pytest.approx((0.264, 0.344)),
        "left": pytest.approx((0.264, 0.344)),
        "top": pytest.approx((0.184, 0.264)),
        "bottom": pytest.approx((0.184, 0.264)),
    }


def test_a_thicker_wall_takes_from_its_neighbours(boxed):
    thick = replace(BOARDS, wall_materials=(("front", "ply", 0.025),))
    walls = walls_of(boxed(), thick)
    front, left = wall_named(walls, "front"), wall_named(walls, "left")
    assert (front.thickness, front.material) == (0.025, PLY)
    assert left.size == pytest.approx((0.300 - 0.018 - 0.025, 0.344))
    # Right on the left wall, seen from outside, is toward the front: the thicker board is there.
    assert left.corners[:, 0].max() == pytest.approx(0.15 - 0.025)
    assert left.corners[:, 0].min() == pytest.approx(-0.15 + 0.018)


def test_side_walls_of_a_sloped_front_are_trapezia(boxed):
    lean = math.radians(8.0)
    case = boxed(shape="sloped front", lean=8.0)
    walls = walls_of(case, BOARDS)
    left, right = wall_named(walls, "left"), wall_named(walls, "right")
    for side in (left, right):
        (x, y) = side.corners.T
        area = abs((x * np.roll(y, -1) - y * np.roll(x, -1)).sum()) / 2
        # The inside is a prism across the width.
        inside = inner_volume(body_of(case.cabinet), 0.018)
        assert area * 0.184 == pytest.approx(inside, rel=1e-9)
    assert wall_named(walls, "front").size == pytest.approx((0.184, 0.344 / math.cos(lean)))


def test_chamfers_are_walls_if_they_leave_a_plate(boxed):
    names = [wall.name for wall in walls_of(boxed(), BOARDS)]
    for setback, there in ((0.01, False), (0.08, True)):
        case = boxed(chamfers=(Chamfer("front left", (setback, setback)),))
        found = [wall.name for wall in walls_of(case, BOARDS)]
        assert found == ([*names, "front left chamfer"] if there else names)
    rounds = boxed(rounds=(Rounding("front left", 0.03),))
    assert [wall.name for wall in walls_of(rounds, BOARDS)] == names


def test_a_cabinet_without_an_inside_has_no_walls(boxed):
    assert walls_of(boxed(wall_thickness=0.12), BOARDS) == ()
    assert walls_of(boxed(shape="plate", depth=0.0), BOARDS) == ()


def test_drivers_are_cut_out_and_weigh(boxed, make_case):
    front = wall_named(walls_of(boxed(), BOARDS), "front")
    woofer, tweeter = front.cutouts
    assert (woofer.radius, woofer.mass, woofer.centre) == (0.0725, 1.5, (0.0, -0.05))
    assert woofer.rim == pytest.approx((0.145 + 0.166) / 4)
    # Not stated: as wide as its piston, and weightless.
    assert (tweeter.radius, tweeter.mass) == (0.0125, 0.0)


def test_a_cut_out_wider_than_its_wall_counts_as_far_as_a_circle_fits(boxed):
    front = wall_named(walls_of(boxed(width=0.17), BOARDS), "front")
    assert holes_of(front)[0].radius == pytest.approx(0.999 * 0.067)


def test_lining_weighs_on_its_walls(boxed):
    felt = Lining(("left", "back"), 0.02, 8000.0, 50.0)
    walls = walls_of(boxed(), replace(BOARDS, linings=(felt, replace(felt, walls=("left",)))))
    assert {wall.name: wall.lining for wall in walls if wall.lining} == {"left": 2.0, "back": 1.0}


@pytest.mark.parametrize(
    ("name", "run", "ends"),
    [
        ("left", "lengthwise", ((0.05, -0.172), (0.05, 0.172))),
        ("left", "crosswise", ((-0.132, 0.05), (0.132, 0.05))),
        # Up on the top is to the back: its longer side.
        ("top", "lengthwise", ((0.05, -0.132), (0.05, 0.132))),
    ],
)
def test_a_bar_runs_from_edge_to_edge(boxed, name, run, ends):
    walls = walls_of(boxed(), BOARDS)
    bar = Brace("a", "bar", (name,), width=0.02, height=0.05, run=run, at=0.05)
    (rib,) = ribs_of(walls, BOARDS, bar)[name]
    np.testing.assert_allclose((rib.start, rib.end), ends, atol=1e-12)
    assert walls_held(walls, BOARDS, bar) == (name,)


def test_bars_run_as_their_solids_do_and_grain_as_on_the_boards(boxed):
    # 300 mm deep and 320 mm high outside: taller than wide. Between thick boards the free part of
    # the side is 276 mm wide and 240 mm high, and the board of it 276 × 320 mm.
    thick = (("top", "ply", 0.04), ("bottom", "ply", 0.04))
    thin = (("front", "ply", 0.012), ("back", "ply", 0.012))
    structure = replace(BOARDS, material="ply", wall_materials=(*thick, *thin))
    case = boxed(height=0.32)
    walls = walls_of(case, structure)
    left = wall_named(walls, "left")
    assert left.size == pytest.approx((0.276, 0.24))
    assert left.upright
    assert left.grain_up
    bar = Brace("a", "bar", ("left",), width=0.018, height=0.02, at=0.06)
    (rib,) = ribs_of(walls, structure, bar)["left"]
    np.testing.assert_allclose((rib.start, rib.end), ((-0.138, 0.06), (0.138, 0.06)), atol=1e-12)
    along, _ = axes_of(shell_of(case.cabinet, own_walls(structure.wall_materials)), bar)
    np.testing.assert_allclose(np.abs(along), (0.0, 0.0, 1.0), atol=1e-12)
    # With top and bottom run past it the board is 276 × 240 mm: its grain runs level.
    capped = replace(structure, outer=("top", "bottom", "front", "back", "left", "right"))
    lying = wall_named(walls_of(case, capped), "left")
    assert lying.upright
    assert not lying.grain_up


def test_a_bar_knows_which_way_the_grain_runs(boxed):
    # EA of the strip that it stretches, 0.363 of its length wide (see test_plate_supports).
    walls = walls_of(boxed(), replace(BOARDS, material="ply"))
    width, height = 0.02, 0.05
    for run, modulus, span in (("lengthwise", 9e9, 0.344), ("crosswise", 6e9, 0.264)):
        bar = Brace("a", "bar", ("left",), width=width, height=height, run=run, material="mdf")
        (rib,) = ribs_of(walls, BOARDS, bar)["left"]
        inverse = 1 / (3e9 * width * height) + 1 / (modulus * 0.018 * 0.363 * span)
        expected = 3e9 * width * height**3 / 12 + 0.034**2 / inverse
        assert rib.bending == pytest.approx(expected, rel=1e-3)


def test_a_strut_meets_the_opposite_wall(boxed):
    walls = walls_of(boxed(), BOARDS)
    brace = Brace("s", "strut", ("left",), width=0.02, height=0.04, position=(0.03, 0.1))
    strut = strut_of(walls, BOARDS, brace)
    assert strut.walls == ("left", "right")
    # Right on the left wall is to the front, on the right wall to the back.
    np.testing.assert_allclose(strut.ends, ((0.03, 0.1), (-0.03, 0.1)), atol=1e-12)
    assert strut.cosine == pytest.approx(1.0)
    assert strut.stiffness == pytest.approx(3e9 * 0.02 * 0.04 / 0.184)
    assert strut.mass == pytest.approx(750 * 0.02 * 0.04 * 0.184)


def test_a_strut_meets_a_leaning_wall_askew(boxed):
    walls = walls_of(boxed(shape="sloped front", lean=8.0), BOARDS)
    brace = Brace("s", "strut", ("back",), width=0.02, height=0.04, position=(0.05, 0.13))
    strut = strut_of(walls, BOARDS, brace)
    assert strut.walls == ("back", "front")
    assert strut.cosine == pytest.approx(math.cos(math.radians(8.0)))


def test_a_shelf_holds_every_wall_round_it(boxed):
    walls = walls_of(boxed(), BOARDS)
    shelf = Brace("s", "shelf", (), width=0.0, height=0.018, at=0.06, open=0.25)
    ribs = ribs_of(walls, BOARDS, shelf)
    assert set(ribs) == {"front", "back", "left", "right"}
    (rib,) = ribs["left"]
    np.testing.assert_allclose((rib.start, rib.end), ((-0.132, 0.06), (0.132, 0.06)), atol=1e-12)
    # Half of the inside between left and right, a quarter of the board cut out.
    assert rib.hold == pytest.approx(3e9 * 0.018 * 0.75 / (0.184 / 2))
    assert (rib.bending, rib.torsion, rib.mass) == (0.0, 0.0, 0.0)


def test_what_is_cut_out_where_a_brace_stands(boxed):
    walls = walls_of(boxed(), BOARDS)
    bar = Brace("b", "bar", ("front",), width=0.02, height=0.04, run="lengthwise")
    assert cutouts_met(walls, BOARDS, bar) == ("woofer", "tweeter")
    assert cutouts_met(walls, BOARDS, replace(bar, run="crosswise", at=0.07)) == ()
    behind = Brace("s", "strut", ("back",), width=0.02, height=0.04, position=(0.0, -0.05))
    assert cutouts_met(walls, BOARDS, behind) == ("woofer",)
    with pytest.raises(GeometryError, match=r"front wall.*cut-out of 'woofer'"):
        strut_of(walls, BOARDS, behind)


@pytest.mark.parametrize(
    ("brace", "words"),
    [
        (
            Brace("b", "bar", ("roof",), 0.02, 0.04),
            "no roof wall, or it is too narrow to bend; walls that bend are",
        ),
        (Brace("b", "bar", ("left",), 0.02, 0.04, at=0.2), "200 mm from the middle of the left"),
        (Brace("s", "shelf", (), 0.0, 0.018, at=0.3), "above or below"),
        (Brace("s", "strut", ("left",), 0.02, 0.04, position=(0.2, 0.0)), "no strut stands"),
        (Brace("s", "strut", ("left", "top"), 0.02, 0.04), "it meets the right wall, not the top"),
        (Brace("b", "bar", ("left",), 0.02, 0.04, material="oak"), "no material is called 'oak'"),
    ],
)
def test_braces_that_hold_nothing_are_refused(boxed, brace, words):
    walls = walls_of(boxed(), BOARDS)
    with pytest.raises(GeometryError, match=words):
        strut_of(walls, BOARDS, brace) if brace.kind == "strut" else ribs_of(walls, BOARDS, brace)


def test_boards_that_are_not_there_are_refused(boxed):
    with pytest.raises(GeometryError, match=r"cabinet\.wall_thickness"):
        walls_of(boxed(wall_thickness=None), BOARDS)
    with pytest.raises(GeometryError, match="no wall is called 'roof'"):
        walls_of(boxed(), replace(BOARDS, wall_materials=(("roof", "ply", 0.018),)))
    with pytest.raises(GeometryError, match="no material is called 'oak'; there are 'mdf', 'ply'"):
        walls_of(boxed(), replace(BOARDS, material="oak"))
