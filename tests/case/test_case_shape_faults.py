"""What is wrong with a cabinet's shape and with drivers on its faces, key by key."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from bench_text import GOOD, replaced
from shape_text import BOX, HOUSE, OUTLINED, PLATE, PYRAMID, SLOPED, cut, with_cabinet

from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

WITHOUT = "leave the key out or write shape ="
PL = f'a box has no outline; {WITHOUT} "plate"'

# The cabinet's lines, the key and the words the fault must have.
CABINET_FAULTS = [
    (f'shape = "ball"\n{BOX}', "cabinet.shape", "use box, sloped front, pyramid, plate or corners"),
    (f'{BOX}lean = "8 deg"\n', "cabinet.lean", f'a box has no lean; {WITHOUT} "sloped front"'),
    (f'{BOX}hinge = "middle"\n', "cabinet.hinge", f'a box has no hinge; {WITHOUT} "sloped front"'),
    (f'{BOX}front_width = "1 m"\n', "cabinet.front_width", f'{WITHOUT} "pyramid"'),
    (f'{BOX}front_height = "1 m"\n', "cabinet.front_height", f'{WITHOUT} "pyramid"'),
    (f'{BOX}shift = ["0 mm", "0 mm"]\n', "cabinet.shift", f"a box has no shift; {WITHOUT}"),
    (f'{BOX}thickness = "18 mm"\n', "cabinet.thickness", f'{WITHOUT} "plate"'),
    (
        f'{PLATE}rounds = [{{ radius = "9 mm" }}]\n',
        "cabinet.rounds",
        "a plate without thickness has no edges to cut or to round; give it a thickness",
    ),
    (OUTLINED + cut("front left", 'setback = "9 mm"'), "cabinet.chamfers", "without thickness"),
    (f'{BOX}outline = [["0 m", "0 m"], ["1 m", "0 m"], ["0 m", "1 m"]]\n', "cabinet.outline", PL),
    (f'{PLATE}depth = "9 cm"\n', "cabinet.depth", "leave the key out: write thickness instead"),
    (f'{HOUSE}width = "9 cm"\n', "cabinet.width", "no width; leave the key out: the corners say"),
    (
        PYRAMID.replace('front_width = "200 mm"\n', ""),
        "cabinet.front_width",
        'the key is missing; add it, for example front_width = "160 mm"',
    ),
    (
        BOX.replace('width = "220 mm"\n', ""),
        "cabinet.width",
        'add it, for example width = "220 mm"',
    ),
    (f'shape = "sloped front"\n{BOX}', "cabinet.lean", 'for example lean = "8 deg"'),
    (
        'shape = "corners"\n',
        "cabinet.corners",
        "the key is missing; add it, for example corners = [[",
    ),
    (f'{PLATE}thickness = "300 mm"\n', "cabinet.thickness", "write a value from 0 mm to 0.2 m"),
    # sloped front
    (SLOPED.replace("8 deg", "60 deg"), "cabinet.lean", "write a value from -44 deg to 44 deg"),
    (SLOPED.replace("8 deg", "40 deg"), "cabinet.lean", "leaves a depth of -18.86 mm at the top"),
    # edges
    (
        BOX + cut("front lft", 'setback = "9 mm"'),
        "cabinet.chamfers.1.edges.1",
        "did you mean 'front left'?",
    ),
    (
        BOX + cut("front left", 'setback = "9 mm", radius = "9 mm"'),
        "cabinet.chamfers.1.radius",
        "unknown key 'radius'",
    ),
    (
        BOX + cut("front left", 'setback = "0 mm"'),
        "cabinet.chamfers.1.setback",
        "write a value from 0.1 mm",
    ),
    (
        f'{BOX}chamfers = [{{ edges = ["front left"] }}]\n',
        "cabinet.chamfers.1.setbacks",
        "a chamfer has a setback; add it",
    ),
    (
        BOX + cut("front left", 'setback = "9 mm", setbacks = ["9 mm", "8 mm"]'),
        "cabinet.chamfers.1.setbacks",
        "keep one of the two",
    ),
    (
        BOX + cut("front left", 'setbacks = ["0 mm", "8 mm"]'),
        "cabinet.chamfers.1.setbacks",
        "cut nothing off",
    ),
    (
        BOX + cut("front left", 'setback = "400 mm"'),
        "cabinet.chamfers.1.setback",
        "the cut on front left leaves nothing of",
    ),
    (
        BOX + cut("front left", 'setback = "9 mm", far_setbacks = ["5 mm", "6 mm"]'),
        "cabinet.chamfers.1.far_setbacks",
        "the cut would be twisted",
    ),
    (f'{BOX}chamfers = {{ setback = "9 mm" }}\n', "cabinet.chamfers", "write [[cabinet.chamfers]]"),
    (
        BOX + cut('front left", "front left', 'setback = "9 mm"'),
        "cabinet.chamfers.1.edges.2",
        "name each edge once",
    ),
    (
        BOX + cut("front left", 'setback = "9 mm"') + 'rounds = [{ radius = "9 mm" }]\n',
        "cabinet.rounds.1.edges.1",
        "the edge 'front left' is cut or rounded already",
    ),
    (
        f'{BOX}rounds = [{{ edges = [], radius = "9 mm" }}]\n',
        "cabinet.rounds.1.edges",
        "has the wrong length, not 1 to 20",
    ),
    (
        f'{BOX}rounds = [{{ edges = ["left top"], radius = "9 mm" }}]\n',
        "cabinet.rounds.1.edges.1",
        "back bottom, top left",
    ),
    (f'{BOX}rounds = [{{ radius = "120 mm" }}]\n', "cabinet.rounds.1.radius", "leave nothing of"),
    (
        f'{BOX}rounds = [{{ edges = ["top left", "top right"] }}]\n',
        "cabinet.rounds.1.radius",
        "the key is missing",
    ),
    (
        f'{BOX}rounds = [{{ edges = ["back left"], radius = "120 mm" }}, '
        '{ edges = ["back right"], radius = "120 mm" }]\n',
        "cabinet.rounds",
        "leave nothing of",
    ),
    # corners
    (HOUSE.replace('"-0.3 m"', '"-0.15 m"'), "cabinet.corners.9", "the face is hollow there"),
    (HOUSE.replace('["1 m", "2 m", "0 m"], ', '["1 m", "2 m"], '), "cabinet.corners.1", "not 3"),
    ('shape = "corners"\ncorners = [["0 m", "0 m", "0 m"]]\n', "cabinet.corners", "not 4 to 64"),
    (
        HOUSE.replace('"-0.3 m"', '"0 m"').replace('"-0.2 m"', '"0 m"'),
        "cabinet.corners.5",
        "corners 1 and 5 of 10 are both at",
    ),
    # edges of other shapes than a box
    (
        SLOPED + cut("front top", 'setback = "400 mm"'),
        "cabinet.chamfers.1.setback",
        "the cut on front top leaves nothing of",
    ),
    (
        f'{PYRAMID}rounds = [{{ radius = "150 mm" }}]\n',
        "cabinet.rounds.1.radius",
        "leave nothing of",
    ),
    (
        HOUSE + cut('front left", "back top', 'setback = "9 mm"'),
        "cabinet.chamfers.1.edges.2",
        "edges of this body are called 'back top'",
    ),
    # outlines
    (f'{OUTLINED}width = "9 cm"\n', "cabinet.width", "which says its width; keep one of the two"),
    (
        OUTLINED.replace('"0 mm", "300 mm"', '"0 mm", "0 mm"'),
        "cabinet.outline.4",
        "is hollow there",
    ),
    (OUTLINED.replace('"0 mm", "300 mm"', '"160 mm", "200 mm"'), "cabinet.outline.4", "both at"),
    (
        OUTLINED.replace('"0 mm", "300 mm"', '"0 mm", "200 mm"') + 'thickness = "18 mm"\n',
        "cabinet.outline.4",
        "lies on a straight side; leave it out",
    ),
    (OUTLINED.replace('["0 mm", "300 mm"], ', '["0 mm"], '), "cabinet.outline.4", "not 2"),
    (PLATE.replace('width = "320 mm"\n', ""), "cabinet.width", 'for example width = "220 mm"'),
]


@pytest.mark.parametrize(("cabinet", "key", "words"), CABINET_FAULTS)
def test_one_fault_of_the_cabinet(faults_of: FaultsOf, cabinet: str, key: str, words: str) -> None:
    (fault,) = faults_of(with_cabinet(cabinet))
    assert fault.key == key
    assert words in fault.message, fault.message
    assert fault.line is not None


TWEETER_AT = 'position = ["0 mm", "125 mm"]'
WOOFER_AT = 'position = ["0 mm", "-20 mm"]'
TOP = 'face = "top"\nposition = ["{} mm", "{} mm"]'
ROUNDED = f'{BOX}rounds = [{{ radius = "20 mm" }}]\n'

# The cabinet, a driver's place and what stands there instead, the key and words of the fault.
DRIVER_FAULTS = [
    (BOX, WOOFER_AT, f'{WOOFER_AT}\nface = "frnt"', "drivers.woofer.face", "did you mean 'front'?"),
    (
        BOX,
        WOOFER_AT,
        f"{WOOFER_AT}\nboth_sides = 1",
        "drivers.woofer.both_sides",
        "1 is neither true nor false",
    ),
    (
        BOX,
        WOOFER_AT,
        f"{WOOFER_AT}\nboth_sides = true",
        "drivers.woofer.both_sides",
        "of a plate only",
    ),
    (
        PLATE,
        WOOFER_AT,
        f'{WOOFER_AT}\nboth_sides = true\nface = "back"',
        "drivers.woofer.face",
        "leave face out",
    ),
    (
        BOX,
        WOOFER_AT,
        TOP.format(0, 160),
        "drivers.woofer.position",
        "the driver is off the top face: its centre (0 mm, 160 mm) must lie within 110 mm",
    ),
    (
        BOX,
        WOOFER_AT,
        TOP.format(50, 0),
        "drivers.woofer.position",
        "crosses the right edge of the top face; move the driver more than 22.5 mm",
    ),
    (
        BOX,
        WOOFER_AT,
        'face = "left"\nposition = ["80 mm", "0 mm"]',
        "drivers.woofer.position",
        "crosses the right edge of the left face; move the driver more than 12.5 mm",
    ),
    (
        PLATE,
        WOOFER_AT,
        f'{WOOFER_AT}\nface = "left"',
        "drivers.woofer.face",
        "has no left face; use front or back",
    ),
    (
        ROUNDED,
        TWEETER_AT,
        'position = ["0 mm", "121 mm"]',
        "drivers.tweeter.position",
        "the frame (100 mm) crosses the cut edge 'front top'; move the driver more than 1 mm",
    ),
    (
        ROUNDED,
        TWEETER_AT,
        'position = ["95 mm", "140 mm"]',
        "drivers.tweeter.position",
        "off the flat part of the front face: its centre (95 mm, 140 mm) lies 5 mm beyond the cut "
        "edge 'front right'",
    ),
    (
        SLOPED,
        TWEETER_AT,
        'position = ["0 mm", "145 mm"]',
        "drivers.tweeter.position",
        "crosses the edge of the front face at the top face",
    ),
    (
        HOUSE,
        TWEETER_AT,
        'position = ["0 mm", "151 mm"]',
        "drivers.tweeter.position",
        "crosses the edge of the front face at the top face; move the driver more than 1 mm",
    ),
    (
        HOUSE,
        WOOFER_AT,
        f'{WOOFER_AT}\nface = "back"',
        "drivers.woofer.face",
        "2 faces look to the back equally",
    ),
    # in each other's way
    (
        BOX,
        WOOFER_AT,
        'position = ["0 mm", "0 mm"]',
        "drivers.woofer.position",
        "the frame overlaps that of 'tweeter': the centres are 125 mm apart and must be more than",
    ),
    (
        PLATE,
        WOOFER_AT,
        'position = ["0 mm", "100 mm"]\nface = "front"',
        "drivers.woofer.position",
        "the frame overlaps that of 'tweeter': the centres are 25 mm",
    ),
    # profiles
    (
        BOX,
        TWEETER_AT,
        f'{TWEETER_AT}\ndome_height = "13 mm"',
        "drivers.tweeter.dome_height",
        "horns and waveguides are not solved; measure such a driver",
    ),
    (
        BOX,
        WOOFER_AT,
        f'{WOOFER_AT}\ncone_depth = "61 mm"',
        "drivers.woofer.cone_depth",
        "use its measured response",
    ),
    (
        BOX,
        WOOFER_AT,
        f'{WOOFER_AT}\ncone_depth = "20 mm"\ncap_diameter = "120 mm"',
        "drivers.woofer.cap_diameter",
        "a cone's cap has a radius from 0 to under 0.06 m",
    ),
    (
        BOX,
        WOOFER_AT,
        f'{WOOFER_AT}\ncap_diameter = "20 mm"',
        "drivers.woofer.cap_diameter",
        "only a cone has a cap",
    ),
    (
        BOX,
        WOOFER_AT,
        f'{WOOFER_AT}\ncone_depth = "20 mm"\ndome_height = "20 mm"',
        "drivers.woofer.cone_depth",
        "keep dome_height or cone_depth",
    ),
    (
        BOX,
        WOOFER_AT,
        f'{WOOFER_AT}\ncone_depth = "20 mm"\nring_inner_diameter = "20 mm"',
        "drivers.woofer.ring_inner_diameter",
        "keep cone_depth or ring_inner_diameter",
    ),
    (
        BOX,
        TWEETER_AT,
        f'{TWEETER_AT}\nring_inner_diameter = "25 mm"',
        "drivers.tweeter.ring_inner_diameter",
        "0.0125",
    ),
    # the reference axis
    (
        BOX,
        TWEETER_AT,
        f'{TWEETER_AT}\nface = "back"',
        "reference.driver",
        "'tweeter' is on the back face, and the reference axis starts on the front face",
    ),
]


@pytest.mark.parametrize(("cabinet", "old", "new", "key", "words"), DRIVER_FAULTS)
def test_one_fault_of_a_driver(
    faults_of: FaultsOf, cabinet: str, old: str, new: str, key: str, words: str
) -> None:
    (fault,) = faults_of(replaced(with_cabinet(cabinet), old, new))
    assert fault.key == key
    assert words in fault.message, fault.message


def test_both_sides_of_a_plate_need_room(faults_of: FaultsOf) -> None:
    text = with_cabinet(PLATE).replace("[drivers.woofer]", "[drivers.woofer]\nboth_sides = true")
    # Seen from behind, right is left: 50 mm to the right there is 50 mm to the left in front.
    text = replaced(text, WOOFER_AT, 'position = ["-50 mm", "-20 mm"]')
    behind = 'position = ["50 mm", "-10 mm"]\nface = "back"'
    text = replaced(text, TWEETER_AT, behind)
    faults = faults_of(replaced(text, 'driver = "tweeter"\n', ""))
    (fault,) = faults
    assert fault.key == "drivers.woofer.position"
    assert "on the other side of the plate ('woofer' radiates from both sides)" in fault.message
    assert "the centres are 10 mm apart" in fault.message


def test_a_place_on_another_face_is_free(faults_of: FaultsOf) -> None:
    text = replaced(GOOD, TWEETER_AT, f'{WOOFER_AT}\nface = "back"')
    (fault,) = faults_of(
        replaced(text, 'title = "Two-way on a test bench"', 'title = ""').replace(
            'driver = "tweeter"\n', ""
        )
    )
    assert fault.key == "title"


def test_no_driver_on_the_front_and_no_point(faults_of: FaultsOf) -> None:
    text = replaced(GOOD, TWEETER_AT, f'{TWEETER_AT}\nface = "back"')
    text = replaced(text, WOOFER_AT, f'{WOOFER_AT}\nface = "back"')
    (fault,) = faults_of(replaced(text, 'driver = "tweeter"\n', ""))
    assert fault.key == "reference.point"
    assert "no driver is on the front face" in fault.message


@pytest.mark.parametrize(
    ("cabinet", "point", "key", "words"),
    [
        (SLOPED, '["0 mm", "195 mm"]', "reference.point", "beyond the edge of the front face at"),
        (HOUSE, '["160 mm", "0 mm"]', "reference.point", "10 mm beyond the edge of the front face"),
        (PLATE, '["0 mm", "260 mm"]', "reference.point.2", "the way up may be -250 mm to 250 mm"),
    ],
)
def test_a_reference_point_off_the_front(
    faults_of: FaultsOf, cabinet: str, point: str, key: str, words: str
) -> None:
    (fault,) = faults_of(replaced(with_cabinet(cabinet), 'driver = "tweeter"', f"point = {point}"))
    assert fault.key == key
    assert words in fault.message


def test_arcs_clear_the_corners_of_any_body(faults_of: FaultsOf) -> None:
    # The pyramid's lower back corner is 0.18 + 0.125 m below the tweeter, the back 0.25 m behind.
    text = replaced(with_cabinet(PYRAMID), 'distance = "2 m"', 'distance = "0.4 m"')
    (fault,) = faults_of(text)
    assert fault.key == "reference.distance"
    assert 'whose corner is 0.394 m away; write "0.45 m" or more' in fault.message


FLOOR = "reflection = 0.9"
MIRROR = "mirrors_cabinet = true"
ON_FLOOR = replaced(BOX, 'base_height = "600 mm"\n', "")
FLOOR_FAULTS = [
    (ON_FLOOR, f"{FLOOR}\n{MIRROR}", "write reflection = 1 or take mirrors_cabinet out"),
    (
        ON_FLOOR,
        f'{MIRROR}\nabsorber = {{ thickness = "5 cm", flow_resistivity = "10 kPa s/m2" }}',
        "only a hard floor mirrors the cabinet, and this one has an absorber",
    ),
    (BOX, MIRROR, "the base of the cabinet is 600 mm above the floor"),
    (
        f'{ON_FLOOR}rounds = [{{ radius = "8 mm" }}]\n',
        MIRROR,
        "hollow; leave this edge sharp (name only others under edges), or",
    ),
    (
        ON_FLOOR + cut("front bottom", 'setback = "9 mm"'),
        MIRROR,
        "looks downward by 45",
    ),
    (PLATE.replace("600 mm", "0 mm"), MIRROR, "a plate without thickness has no base"),
]


@pytest.mark.parametrize(("cabinet", "floor", "words"), FLOOR_FAULTS)
def test_a_floor_that_cannot_mirror_the_cabinet(
    faults_of: FaultsOf, cabinet: str, floor: str, words: str
) -> None:
    (fault,) = faults_of(replaced(with_cabinet(cabinet), FLOOR, floor))
    assert fault.key == "floor.mirrors_cabinet"
    assert words in fault.message, fault.message


def test_a_driver_in_the_base_of_a_mirrored_cabinet(faults_of: FaultsOf) -> None:
    text = replaced(with_cabinet(ON_FLOOR), FLOOR, MIRROR)
    (fault,) = faults_of(replaced(text, WOOFER_AT, f'{WOOFER_AT}\nface = "bottom"'))
    assert fault.key == "drivers.woofer.face"
    assert "nowhere to radiate" in fault.message


def test_a_body_that_is_not_symmetric_stands_clear_of_walls(faults_of: FaultsOf) -> None:
    # The pyramid's back is 0.25 m behind its front and reaches 0.16 m to the left of its centre.
    text = with_cabinet(PYRAMID) + '[front_wall]\ndistance = "0.24 m"\n'
    text += '[left_wall]\ndistance = "0.16 m"\n[right_wall]\ndistance = "0.141 m"\n'
    faults = faults_of(text)
    assert [fault.key for fault in faults] == ["front_wall.distance", "left_wall.distance"]
    assert "goes 10 mm through the front wall" in faults[0].message
    assert "touches the left wall" in faults[1].message


def test_all_faults_at_once(faults_of: FaultsOf) -> None:
    text = with_cabinet(f'{BOX}lean = "8 deg"\nrounds = [{{ radius = "120 mm" }}]\n')
    text = replaced(text, WOOFER_AT, 'position = ["80 mm", "-20 mm"]')
    keys = {fault.key for fault in faults_of(text)}
    assert {"cabinet.lean", "cabinet.rounds.1.radius", "drivers.woofer.position"} <= keys
