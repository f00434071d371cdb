"""Cabinets of every shape, from their text to the body that is solved."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from bench_text import GOOD, replaced
from shape_text import BOX, HOUSE, OUTLINED, PLATE, PYRAMID, SLOPED, cut, with_cabinet

from acoustics.cabinet import (
    BOX_EDGES,
    Body,
    RoundedBody,
    annulus,
    cone,
    dome,
    face_of,
    mirrored_in_floor,
    outer_volume,
)
from acoustics.cabinet.names import HEIGHTS
from acoustics.case import Cabinet, Case, Chamfer, Rounding, Surface, read_case
from acoustics.case.geometry.shape import body_of, faces_of, pistons_of
from acoustics.case.tables.cabinet_table import Edge
from acoustics.conventions import GeometryError

Read = Callable[[str], Case]
DEPTHS = ("front", "back")


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def case_of(text: str) -> Case:
        (tmp_path / "case.toml").write_text(text, encoding="utf-8")
        return read_case(tmp_path)

    return case_of


def solid(case: Case) -> Body:
    body = body_of(case.cabinet)
    assert isinstance(body, Body)
    return body


def on_their_faces(case: Case) -> list[int]:
    """Index of the face of each driver; every one fits on it."""
    return [face_of(faces_of(case.cabinet).flat, piston) for piston in pistons_of(case)]


def test_edges_have_the_names_of_the_geometry() -> None:
    # An edge that runs across may have a namesake above or below it.
    twins = [f"{at} {edge}" for at in HEIGHTS for edge in BOX_EDGES if edge.split()[0] in DEPTHS]
    twins = [edge for edge in twins if edge.split()[-1] in ("left", "right")]
    assert set(get_args(Edge)) == {*BOX_EDGES, *twins}


def test_a_plain_box_is_what_it_was(read: Read) -> None:
    case = read(GOOD)
    assert case.cabinet == Cabinet(0.22, 0.38, 0.3, 0.6)
    assert solid(case) == Body.box(width=0.22, height=0.38, depth=0.3)
    assert [piston.centre for piston in pistons_of(case)] == [(0, 0.125, 0), (0, -0.02, 0)]
    assert all(piston.face is None and piston.profile.flat for piston in pistons_of(case))


def test_chamfers(read: Read) -> None:
    chamfers = (
        'chamfers = [{ edges = ["front left", "front right"], setback = "25 mm" },\n'
        '    { edges = ["back top"], setback = "30 mm" }]\n'
    )
    case = read(with_cabinet(BOX + chamfers))
    assert case.cabinet.chamfers == (
        Chamfer("front left", (0.025, 0.025)),
        Chamfer("front right", (0.025, 0.025)),
        Chamfer("back top", (0.03, 0.03)),
    )
    # By hand: a prism of half the setback squared is gone along each edge; no two cuts meet.
    left = 0.22 * 0.38 * 0.3 - 0.38 * 0.025**2 - 0.22 * 0.03**2 / 2
    assert outer_volume(solid(case)) == pytest.approx(left, rel=1e-12)
    assert on_their_faces(case) == [0, 0]


def test_a_chamfer_that_differs_and_tapers(read: Read) -> None:
    chamfers = (
        'chamfers = [{ edges = ["front top"], setbacks = ["12 mm", "18 mm"], '
        'far_setbacks = ["6 mm", "9 mm"] }]\n'
    )
    case = read(with_cabinet(BOX + chamfers))
    assert case.cabinet.chamfers == (Chamfer("front top", (0.012, 0.018), (0.006, 0.009)),)
    points = solid(case).points
    # 12 mm into the front at the left end, 18 mm into the top; 6 and 9 mm at the right end.
    left = ([-0.11, 0.178, 0], [-0.11, 0.19, -0.018])
    right = ([0.11, 0.184, 0], [0.11, 0.19, -0.009])
    for corner in (*left, *right):
        assert np.abs(points - corner).max(axis=1).min() < 1e-12


def test_rounds(read: Read) -> None:
    case = read(with_cabinet(f'{BOX}rounds = [{{ radius = "8 mm" }}]\n'))
    assert case.cabinet.rounds == tuple(Rounding(edge, 0.008) for edge in BOX_EDGES[:4])
    assert isinstance(body_of(case.cabinet), RoundedBody)
    assert on_their_faces(case) == [0, 0]
    sides = f'{BOX}rounds = [{{ edges = ["front left", "back right"], radius = "20 mm" }}]\n'
    rounds = read(with_cabinet(sides)).cabinet.rounds
    assert rounds == (Rounding("front left", 0.02), Rounding("back right", 0.02))


def test_chamfers_and_rounds_together(read: Read) -> None:
    both = (
        'chamfers = [{ edges = ["front left", "front right"], setback = "25 mm" }]\n'
        'rounds = [{ edges = ["back top"], radius = "20 mm" }]\n'
    )
    body = body_of(read(with_cabinet(BOX + both)).cabinet)
    assert isinstance(body, RoundedBody)
    assert len(body.base.faces) == 8


@pytest.mark.parametrize("hinge", ["bottom", "middle"])
def test_a_sloped_front(read: Read, hinge: str) -> None:
    case = read(with_cabinet(f'{SLOPED}hinge = "{hinge}"\n'))
    tangent = math.tan(math.radians(8))
    points = solid(case).points
    assert points[:, 2].max() == pytest.approx(0.19 * tangent)
    back = -0.3 + (0.19 * tangent if hinge == "bottom" else 0.0)
    assert points[:, 2].min() == pytest.approx(back)
    tweeter = pistons_of(case)[0].centre
    # 125 mm up in the face, which leans by 8 degrees.
    place = (0.0, 0.125 * math.cos(math.radians(8)), -0.125 * math.sin(math.radians(8)))
    assert tweeter == pytest.approx(place, abs=1e-12)
    assert case.reference.point == pytest.approx(place[:2])
    assert case.cabinet.floor_level == pytest.approx(-0.79)


def test_the_front_leans_about_its_lower_edge_unless_told(read: Read) -> None:
    assert read(with_cabinet(SLOPED)).cabinet.hinge == "bottom"


def test_a_pyramid(read: Read) -> None:
    case = read(with_cabinet(PYRAMID))
    points = solid(case).points
    front, back = points[points[:, 2] == 0], points[points[:, 2] == -0.25]
    np.testing.assert_allclose(np.ptp(front, axis=0)[:2], (0.2, 0.36))
    np.testing.assert_allclose(np.ptp(back, axis=0)[:2], (0.3, 0.4))
    # The front's centre, the origin, lies 10 mm to the right of and 20 mm below the back's.
    np.testing.assert_allclose(back.mean(axis=0), (-0.01, 0.02, -0.25), atol=1e-12)
    # The back reaches 200 mm down from 20 mm above the origin, the front 180 mm from it.
    assert case.cabinet.floor_level == pytest.approx(-0.18)
    assert on_their_faces(case) == [0, 0]


def test_a_plate_of_which_a_driver_uses_both_sides(read: Read) -> None:
    text = with_cabinet(PLATE)
    text = replaced(
        text, 'position = ["0 mm", "-20 mm"]', 'position = ["0 mm", "-20 mm"]\nboth_sides = true'
    )
    case = read(text)
    assert solid(case).thin
    assert [driver.both_sides for driver in case.drivers] == [False, True]
    thick = read(with_cabinet(f'{PLATE}thickness = "18 mm"\n'))
    assert solid(thick) == Body.box(width=0.32, height=0.5, depth=0.018)


def test_a_driver_on_the_back_of_a_plate_without_thickness(read: Read) -> None:
    text = with_cabinet(PLATE).replace("[drivers.woofer]", '[drivers.woofer]\nface = "back"')
    case = read(text)
    front, back = on_their_faces(case)
    assert (solid(case).normals[front][2], solid(case).normals[back][2]) == (1, -1)


def test_a_rounded_sloped_front(read: Read) -> None:
    case = read(with_cabinet(f'{SLOPED}rounds = [{{ radius = "8 mm" }}]\n'))
    body = body_of(case.cabinet)
    assert isinstance(body, RoundedBody)
    flat = faces_of(case.cabinet).flat
    front = flat.points[list(flat.faces[0].corners)]
    # An arc touches a face r tan(turn/2) from the edge: the front turns by 98 degrees at the
    # bottom, where it leans back, by 82 at the top, and is 0.38/cos(8°) long.
    lost = 0.008 * (math.tan(math.radians(41)) + math.tan(math.radians(49)))
    left = 0.38 / math.cos(math.radians(8)) - lost
    assert np.ptp(front[:, 1]) == pytest.approx(left * math.cos(math.radians(8)))
    assert np.ptp(front[:, 0]) == pytest.approx(0.22 - 2 * 0.008)
    assert on_their_faces(case) == [0, 0]


def test_a_chamfered_pyramid(read: Read) -> None:
    whole = read(with_cabinet(PYRAMID))
    case = read(with_cabinet(PYRAMID + cut('front left", "front right', 'setback = "15 mm"')))
    front = solid(case).points[np.abs(solid(case).points[:, 2]) < 1e-12]
    assert np.ptp(front[:, 0]) == pytest.approx(0.2 - 2 * 0.015)
    assert outer_volume(solid(case)) < outer_volume(solid(whole))
    assert case.cabinet.floor_level == whole.cabinet.floor_level
    assert on_their_faces(case) == [0, 0]


def test_the_base_is_what_a_cut_leaves_of_it(read: Read) -> None:
    # The back's lower edge, at -0.2, is the lowest; the front's is 20 mm above it.
    straight = replaced(PYRAMID, 'shift = ["10 mm", "-20 mm"]\n', "")
    assert read(with_cabinet(straight)).cabinet.floor_level == pytest.approx(-0.2)
    case = read(with_cabinet(straight + cut("back bottom", 'setback = "20 mm"')))
    lowest = float(solid(case).points[:, 1].min())
    assert -0.2 < lowest < -0.18
    assert case.cabinet.floor_level == lowest


def test_a_cabinet_of_corners_with_cut_edges(read: Read) -> None:
    case = read(with_cabinet(HOUSE + cut('front left", "front right', 'setback = "20 mm"')))
    by_hand = 0.4 * (0.3 * 0.2 + 0.3 * 0.1 / 2) - 2 * 0.4 * 0.02**2 / 2
    assert outer_volume(solid(case)) == pytest.approx(by_hand)


def test_a_thick_plate_with_rounded_edges(read: Read) -> None:
    case = read(with_cabinet(f'{PLATE}thickness = "18 mm"\nrounds = [{{ radius = "6 mm" }}]\n'))
    assert isinstance(body_of(case.cabinet), RoundedBody)


def test_edges_that_chamfers_rename_are_not_rounded() -> None:
    # The left face looks forward by more than 45 degrees, the cut on its back edge by less.
    steep = Cabinet(0.8, 0.8, 0.1, 0.0, "pyramid", front=(0.3, 0.3))
    cuts = (Chamfer("back left", (0.02, 0.02)),)
    rounds = (Rounding("front left", 0.02),)
    body_of(replace(steep, chamfers=cuts))
    with pytest.raises(GeometryError, match="edge front left: with the chamfers on"):
        body_of(replace(steep, chamfers=cuts, rounds=rounds))


def test_a_plate_of_any_outline(read: Read) -> None:
    case = read(with_cabinet(OUTLINED))
    cabinet = case.cabinet
    assert (cabinet.width, cabinet.height, cabinet.depth) == pytest.approx((0.32, 0.5, 0.0))
    # The extent's middle, the origin, is 250 mm above the lower edge.
    assert cabinet.floor_level == pytest.approx(-0.85)
    assert solid(case).thin
    np.testing.assert_allclose(solid(case).points[:, 1].max(), 0.25)
    assert on_their_faces(case) == [0, 0]
    prism = solid(read(with_cabinet(f'{OUTLINED}thickness = "18 mm"\n')))
    assert outer_volume(prism) == pytest.approx(0.018 * (0.32 * 0.4 + 0.32 * 0.1 / 2))


def test_an_outline_from_any_origin_and_either_way_round(read: Read) -> None:
    case = read(with_cabinet(OUTLINED))
    moved = OUTLINED.replace('"-200 mm"', '"1 m"').replace('"200 mm"', '"1.4 m"')
    moved = moved.replace('"300 mm"', '"1.5 m"').replace('"-160', '"x').replace('"160', '"-160')
    again = read(with_cabinet(moved.replace('"x', '"160')))
    np.testing.assert_allclose(
        np.array(sorted(again.cabinet.outline)), np.array(sorted(case.cabinet.outline)), atol=1e-12
    )


def test_corners_from_any_origin(read: Read) -> None:
    case = read(with_cabinet(HOUSE))
    cabinet = case.cabinet
    assert (cabinet.width, cabinet.height, cabinet.depth) == pytest.approx((0.3, 0.4, 0.3))
    assert cabinet.floor_level == pytest.approx(-0.8)
    body = solid(case)
    assert outer_volume(body) == pytest.approx(0.4 * (0.3 * 0.2 + 0.3 * 0.1 / 2))
    np.testing.assert_allclose(body.points[:, :2].mean(axis=0), 0, atol=1e-12)
    assert body.points[:, 2].max() == pytest.approx(0, abs=1e-12)
    assert on_their_faces(case) == [0, 0]


@pytest.mark.parametrize(
    ("face", "centre"),
    [
        # Right and up as one sees the face from outside; on the top up is to the back.
        ("back", (-0.02, 0.03, -0.3)),
        ("left", (-0.11, 0.03, -0.13)),
        ("right", (0.11, 0.03, -0.17)),
        ("top", (0.02, 0.19, -0.18)),
        ("bottom", (0.02, -0.19, -0.12)),
    ],
)
def test_drivers_on_any_face(read: Read, face: str, centre: tuple[float, float, float]) -> None:
    text = replaced(
        GOOD, 'position = ["0 mm", "-20 mm"]', f'face = "{face}"\nposition = ["20 mm", "30 mm"]'
    )
    case = read(text)
    assert pistons_of(case)[1].centre == pytest.approx(centre, abs=1e-12)
    on_their_faces(case)


def test_profiles(read: Read) -> None:
    text = GOOD.replace("[drivers.tweeter]", '[drivers.tweeter]\ndome_height = "6 mm"')
    cones = 'cone_depth = "25 mm"\ncap_diameter = "40 mm"'
    case = read(text.replace("[drivers.woofer]", f"[drivers.woofer]\n{cones}"))
    assert [driver.profile for driver in case.drivers] == [
        dome(0.006, 0.0125),
        cone(0.025, 0.06, 0.02),
    ]
    assert [piston.profile for piston in pistons_of(case)] == [
        driver.profile for driver in case.drivers
    ]
    ring = GOOD.replace("[drivers.tweeter]", '[drivers.tweeter]\nring_inner_diameter = "15 mm"')
    assert read(ring).drivers[0].profile == annulus(0.0075, 0.0125)


def test_the_reference_axis_starts_at_the_smallest_driver_on_the_front(read: Read) -> None:
    text = replaced(GOOD, 'driver = "tweeter"\n', "")
    assert read(text).reference.point == (0, 0.125)
    aside = text.replace("[drivers.tweeter]", '[drivers.tweeter]\nface = "back"')
    assert read(aside).reference.point == (0, -0.02)


def test_a_floor_that_mirrors_the_cabinet(read: Read) -> None:
    text = replaced(GOOD, 'base_height = "600 mm"\n', "")
    text = replaced(text, "reflection = 0.9", "mirrors_cabinet = true")
    assert read(text).floor == Surface("floor", 0.0, 1.0, None, True)
    assert read(GOOD).floor == Surface("floor", 0.0, 0.9)


def test_a_floor_that_mirrors_rounded_edges(read: Read) -> None:
    edges = 'edges = ["front left", "front right", "front top"]'
    rounds = f'rounds = [{{ radius = "9 mm", {edges} }}]\n'
    text = with_cabinet(replaced(BOX, 'base_height = "600 mm"\n', "") + rounds)
    case = read(replaced(text, "reflection = 0.9", "mirrors_cabinet = true"))
    assert case.floor == Surface("floor", 0.0, 1.0, None, True)
    assert [item.edge for item in case.cabinet.rounds] == ["front left", "front right", "front top"]


def test_a_floor_that_mirrors_a_rounded_sloped_front(read: Read) -> None:
    edges = 'edges = ["front left", "front right", "front top"]'
    text = replaced(SLOPED, 'base_height = "600 mm"\n', "")
    text = with_cabinet(f'{text}rounds = [{{ radius = "9 mm", {edges} }}]\n')
    case = read(replaced(text, "reflection = 0.9", "mirrors_cabinet = true"))
    both = mirrored_in_floor(body_of(case.cabinet), case.cabinet.floor_level)
    assert isinstance(both, RoundedBody)
    assert {item.edge for item in both.rounds} == {
        *("upper front left", "upper front right", "front top"),
        *("lower front left", "lower front right", "front bottom"),
    }


def test_the_digest_knows_the_shape(read: Read) -> None:
    cabinets = [BOX, SLOPED, PYRAMID, PLATE, OUTLINED, HOUSE]
    cabinets += [f'{BOX}rounds = [{{ radius = "8 mm" }}]\n']
    assert len({read(with_cabinet(cabinet)).digest for cabinet in cabinets}) == len(cabinets)


def test_whatever_the_checks_let_through_can_be_built(read: Read) -> None:
    # Drivers at the very limit of what the text's checks allow.
    case = read(GOOD.replace('["0 mm", "125 mm"]', '["0 mm", "139.99 mm"]'))
    on_their_faces(case)
