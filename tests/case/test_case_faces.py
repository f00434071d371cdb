"""Drivers on faces that no plain name reaches: chamfers, and bodies given by their corners."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from bench_text import GOOD, replaced
from shape_text import BOX, HOUSE, OUTLINED, PYRAMID, SLOPED, cut, with_cabinet

from acoustics.cabinet import face_of
from acoustics.case import Case, read_case
from acoustics.case.geometry.shape import faces_of, pistons_of
from acoustics.conventions import Fault, GeometryError
from acoustics.report.case_words import description

FaultsOf = Callable[[str], tuple[Fault, ...]]
CaseOf = Callable[[str], Case]

SMALL = 'frame_diameter = "100 mm"\nposition = ["0 mm", "125 mm"]'
AHEAD = '["0 mm", "70 mm"]'
WOOFER_AT = 'position = ["0 mm", "-20 mm"]'
CUT = BOX + cut("front left", 'setback = "40 mm"')


def tweeter_on(cabinet: str, face: str, place: str = '["5 mm", "50 mm"]', frame: int = 44) -> str:
    """A tweeter on a face as the file tells it; the reference axis starts at a small woofer."""
    text = replaced(
        with_cabinet(cabinet),
        SMALL,
        f'frame_diameter = "{frame} mm"\nposition = {place}\nface = {face}',
    )
    text = replaced(text, 'piston_diameter = "120 mm"', 'piston_diameter = "40 mm"')
    text = replaced(text, 'frame_diameter = "165 mm"', 'frame_diameter = "50 mm"')
    return replaced(text, 'driver = "tweeter"', 'driver = "woofer"')


@pytest.fixture
def read(tmp_path: Path) -> CaseOf:
    def case_of(text: str) -> Case:
        (tmp_path / "case.toml").write_text(text, encoding="utf-8")
        return read_case(tmp_path)

    return case_of


def test_on_a_chamfer_by_hand(read: CaseOf) -> None:
    """The cut runs from 70 mm to the left on the front to 40 mm behind it on the left side."""
    case = read(tweeter_on(CUT, "[-1, 0, 1]"))
    frame = faces_of(case.cabinet).frame("front left chamfer")
    slant = math.sqrt(0.5)
    assert frame.centre == pytest.approx([-0.090, 0.0, -0.020])
    assert frame.outward == pytest.approx([-slant, 0.0, slant])
    # To the right on it is to the right and forward.
    tweeter = pistons_of(case)[0]
    assert tweeter.centre == pytest.approx((-0.090 + 0.005 * slant, 0.05, -0.020 + 0.005 * slant))
    assert face_of(faces_of(case.cabinet).flat, tweeter) == 6
    assert case.drivers[0].face == "front left chamfer"
    (line,) = (line for line in description(case) if "tweeter" in line)
    assert "25 mm piston, 5 mm right and 50 mm up on the front left chamfer;" in line


def test_askew_and_tapering_cuts(read: CaseOf) -> None:
    """Setbacks of 20 and 60 mm: the cut looks atan 3 = 71.6° to the left."""
    askew = BOX + cut("front left", 'setbacks = ["20 mm", "60 mm"]')
    case = read(tweeter_on(askew, "[-3, 0, 1]"))
    normal = faces_of(case.cabinet).frame(case.drivers[0].face).outward
    assert math.degrees(math.atan2(-normal[0], normal[2])) == pytest.approx(
        math.degrees(math.atan(3))
    )
    tapering = BOX + cut("front left", 'setback = "80 mm", far_setbacks = ["40 mm", "40 mm"]')
    case = read(tweeter_on(tapering, "[-1, 0, 1]", '["0 mm", "-50 mm"]'))
    # It reaches 40 mm less far at the top, 380 mm higher; at half height 60 mm.
    frame = faces_of(case.cabinet).frame(case.drivers[0].face)
    assert frame.outward / frame.outward[2] == pytest.approx([-1.0, -40 / 380, 1.0])
    assert frame.centre == pytest.approx([-0.08, 0.0, -0.03])
    assert face_of(faces_of(case.cabinet).flat, pistons_of(case)[0]) == 6


def test_a_rounding_takes_from_a_chamfer_but_does_not_move_its_centre(read: CaseOf) -> None:
    rounds = 'rounds = [{ edges = ["front top"], radius = "30 mm" }]\n'
    whole, rounded = (read(tweeter_on(cabinet, "[-1, 0, 1]")) for cabinet in (CUT, CUT + rounds))
    assert pistons_of(rounded)[0].centre == pytest.approx(pistons_of(whole)[0].centre)


@pytest.mark.parametrize(
    "cabinet",
    [CUT, HOUSE, PYRAMID, SLOPED, OUTLINED + 'thickness = "20 mm"\n',
     BOX + cut('front left", "front right", "front top', 'setback = "40 mm"')],
)  # fmt: skip
def test_every_flat_face_is_reached_by_where_it_looks(read: CaseOf, cabinet: str) -> None:
    faces = faces_of(read(tweeter_on(cabinet, '"front"', AHEAD)).cabinet)
    names = [faces.name(tuple(normal)) for normal in faces.cut.normals]
    assert len(set(names)) == len(names)
    assert [faces.index(name) for name in names] == list(range(len(names)))
    for name, normal in zip(names, faces.cut.normals, strict=True):
        np.testing.assert_allclose(faces.frame(name).outward, normal, atol=1e-12)


def test_faces_without_names_are_called_by_where_they_look(read: CaseOf) -> None:
    """The roof falls by 100 mm over 150 mm: it looks 90° + atan 1.5 = 146.3° to each side."""
    case = read(tweeter_on(HOUSE, "[0.5, 0, -0.8]"))
    assert case.drivers[0].face == "face 146.3° right"
    assert "on the face 146.3° right" in "".join(description(case))
    # From outside, right on that roof is toward the ridge, left toward the wall.
    middle = faces_of(case.cabinet).frame("face 146.3° right").centre
    assert middle == pytest.approx([0.075, 0.0, -0.25])


def test_a_named_face_may_be_given_by_where_it_looks(read: CaseOf) -> None:
    named, looking = (read(tweeter_on(BOX, face)) for face in ('"top"', "[0.1, 2, 0]"))
    assert looking.drivers == named.drivers
    assert looking.digest == named.digest
    front = replaced(GOOD, WOOFER_AT, f"{WOOFER_AT}\nface = [0, 0, 1]")
    assert read(front).digest == read(GOOD).digest


CHAMFER_FAULTS = [
    # off it, over its edges
    (
        CUT, "[-1, 0, 1]", '["30 mm", "0 mm"]', 44, "position",
        "off the flat part of the front left chamfer: its centre (30 mm, 0 mm) lies 1.71573 mm "
        "beyond the edge of the front left chamfer at the front face",
    ),
    (
        CUT, "[-1, 0, 1]", '["5 mm", "0 mm"]', 50, "position",
        "the frame (50 mm) crosses the edge of the front left chamfer at the front face; move",
    ),
    (
        BOX + cut('front left", "front top', 'setback = "40 mm"'),
        "[-1, 0, 1]", '["0 mm", "185 mm"]', 44, "position", "beyond the cut edge 'front top'",
    ),
    # no such face
    (
        BOX, "[-1, 0, 1]", '["0 mm", "0 mm"]', 44, "face",
        "no face looks within 20° of [-1, 0, 1]; give the nearest, [0, 0, 1] for the front face "
        "(45°) or [-1, 0, 0] for the left face (45°), or another",
    ),
    (
        BOX + 'rounds = [{ radius = "30 mm" }]\n', "[-1, 0, 1]", '["0 mm", "0 mm"]', 44, "face",
        "the edge 'front left', which looks that way, is rounded and has no flat face; chamfer it, "
        "or measure such a driver",
    ),
    (
        HOUSE, '"back"', '["0 mm", "0 mm"]', 44, "face",
        "2 faces look to the back equally, so none of them is the back face; name a face that "
        "stands alone, or give where it looks: face = [",
    ),
    # no direction
    (BOX, "[0, 0, 0]", '["0 mm", "0 mm"]', 44, "face", "[0, 0, 0] has no direction; write"),
    (BOX, "[0, 1]", '["0 mm", "0 mm"]', 44, "face", "[0, 1] is no direction; write three numbers"),
    (BOX, '[0, "1 m", 0]', '["0 mm", "0 mm"]', 44, "face", "'1 m' is text; write a number"),
    (BOX, "[0, nan, 0]", '["0 mm", "0 mm"]', 44, "face", "nan is not a finite number"),
    (
        BOX, '"front left"', '["0 mm", "0 mm"]', 44, "face",
        "give the direction in which it looks [right, up, toward the listener], such as "
        "[-1, 0, 1] for a chamfer of the front left edge, or use front, back,",
    ),
    (BOX, "7", '["0 mm", "0 mm"]', 44, "face", "7 is no face; give the direction in"),
]  # fmt: skip


@pytest.mark.parametrize(("cabinet", "face", "place", "frame", "key", "words"), CHAMFER_FAULTS)
def test_one_fault_of_a_face(
    faults_of: FaultsOf, cabinet: str, face: str, place: str, frame: int, key: str, words: str
) -> None:
    (fault,) = faults_of(tweeter_on(cabinet, face, place, frame))
    assert fault.key == f"drivers.tweeter.{key}"
    assert words in fault.message, fault.message
    assert fault.line is not None


def test_drivers_on_one_chamfer_keep_apart(faults_of: FaultsOf) -> None:
    text = tweeter_on(CUT, "[-1, 0, 1]", '["0 mm", "0 mm"]')
    text = replaced(text, 'driver = "woofer"', 'point = ["0 mm", "0 mm"]')
    (fault,) = faults_of(replaced(text, WOOFER_AT, f"{WOOFER_AT}\nface = [-1, 0.1, 1]"))
    assert "the frame overlaps that of 'tweeter': the centres are 20 mm apart" in fault.message


def test_the_reference_axis_starts_on_the_front(faults_of: FaultsOf) -> None:
    text = replaced(tweeter_on(CUT, "[-1, 0, 1]"), 'driver = "woofer"', 'driver = "tweeter"')
    (fault,) = faults_of(text)
    assert "'tweeter' is on the front left chamfer, and the reference axis starts" in fault.message


def test_a_fault_of_the_cuts_is_not_one_of_the_face(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(tweeter_on(CUT.replace("40 mm", "400 mm"), "[-1, 0, 1]"))
    assert fault.key.startswith("cabinet.chamfers")


def test_a_name_of_no_face_is_refused(read: CaseOf) -> None:
    with pytest.raises(GeometryError, match="no face is called 'front top chamfer'; faces are"):
        faces_of(read(tweeter_on(CUT, '"front"', AHEAD)).cabinet).index("front top chamfer")
