"""What a case file may say of the air behind its drivers, and what it hears where that cannot be.

GOOD is a box of 220 x 380 x 300 mm; with walls of 18 mm there are 184 x 344 x 264 mm = 16.7101 l
inside. Air at 20 °C: c = 343.2 m/s, ρ = 101325/(287.058·293.15) kg/m³.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import GOOD, line_with, replaced, unwrapped
from click.testing import CliRunner
from enclosure_text import AMPLIFIER, BRIEF, CLOSED, ENCLOSED, PASSIVE, VENTED, WALLS
from shape_text import BOX, HOUSE, PLATE, PYRAMID, SLOPED, cut

from acoustics.case import Case, read_case
from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.varied import varied_case
from acoustics.cli.main import main
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]
SPEED, DENSITY = 343.2, 101_325.0 / (287.058 * 293.15)
INSIDE = 0.184 * 0.344 * 0.264
PORT = math.pi / 4 * 0.05**2
ENDS = (0.82167 + 0.6127) * 0.025
"""m: a flush and a free end of a port 50 mm across (E-END: Nomura et al. 1960, Levine & Schwinger
1948)"""


WALL = 'wall_thickness = "18 mm"\n'


def case_of(folder: Path, text: str) -> Case:
    (folder / "case.toml").write_text(text, encoding="utf-8")
    return read_case(folder)


def enclosure_in(folder: Path, text: str) -> Enclosure:
    (only,) = case_of(folder, text).enclosures
    return only


def helmholtz(volume: float, area: float, length: float) -> float:
    """c/2π·√(S/(V·l)), Hz."""
    return SPEED / (2 * math.pi) * math.sqrt(area / (volume * length))


def test_a_case_without_enclosures_has_none(tmp_path: Path) -> None:
    case = case_of(tmp_path, GOOD)
    assert (case.enclosures, case.cabinet.wall_thickness) == ((), None)


def test_what_is_not_said_of_a_closed_box(tmp_path: Path) -> None:
    box = enclosure_in(tmp_path, GOOD + CLOSED)
    assert (box.name, box.kind, box.drivers) == ("bass", "closed", ("woofer",))
    assert (box.gross, box.volume, box.taken) == (0.012, 0.012, ())
    assert (box.ports, box.passive_radiators, box.fill) == ((), (), 0.0)
    assert (box.leakage_q, box.absorption_q, box.port_q) == (7.0, math.inf, math.inf)


def test_everything_comes_out_in_si_units(tmp_path: Path) -> None:
    text = VENTED.replace('tuning = "42 Hz"\n', "leakage_q = 10\nport_q = 80\n")
    text += 'length = "120 mm"\nouter_end = "free"\ninner_end = "flush"\n'
    text += '[enclosures.bass.ports.slot]\nwidth = "80 mm"\nheight = "20 mm"\nlength = "5 in"\n'
    text += 'position = ["0 mm", "-150 mm"]\n'
    box = enclosure_in(tmp_path, WALLS + text)
    rear, slot = box.ports
    assert (rear.size, rear.length, rear.face, rear.slot) == ((0.05,), 0.12, "back", False)
    assert (rear.position, rear.outer_end, rear.inner_end) == ((0.0, 0.1), "free", "flush")
    assert (slot.size, slot.length, slot.face, slot.slot) == ((0.08, 0.02), 0.127, "front", True)
    assert (box.leakage_q, box.absorption_q, box.port_q, box.fill) == (10.0, 50.0, 80.0, 0.2)
    assert box.volume == pytest.approx(0.014)
    # Behind the 18 mm wall: a pipe with 3 mm of wall, a slot with the cabinet's 18 mm.
    taken = dict(box.taken)
    assert taken["port rear"] == pytest.approx(math.pi / 4 * 0.056**2 * (0.12 - 0.018))
    assert taken["port slot"] == pytest.approx((0.08 + 0.036) * (0.02 + 0.036) * (0.127 - 0.018))
    assert taken["braces"] == 0.0004
    assert box.gross == pytest.approx(0.014 + sum(taken.values()))


def test_the_volume_is_what_is_left_of_the_cabinets_inside(tmp_path: Path) -> None:
    text = CLOSED.replace('volume = "12 l"', 'braces = "0.5 l"')
    box = enclosure_in(tmp_path, WALLS + text)
    assert box.gross == pytest.approx(INSIDE, rel=1e-12)
    assert box.taken == (("braces", 0.0005),)
    assert box.volume == pytest.approx(INSIDE - 0.0005, rel=1e-12)
    half = enclosure_in(tmp_path, WALLS + text.replace("braces", "share = 0.5\nbraces"))
    assert half.gross == pytest.approx(INSIDE / 2, rel=1e-12)


def test_what_a_driver_takes_is_no_air(tmp_path: Path) -> None:
    text = WALLS.replace("sensitivity = 88.0", 'sensitivity = 88.0\ndisplaced_volume = "0.6 l"')
    box = enclosure_in(tmp_path, text + CLOSED.replace('volume = "12 l"', ""))
    assert box.taken == (("woofer", 0.0006),)
    assert box.volume == pytest.approx(INSIDE - 0.0006, rel=1e-12)
    lines = CliRunner().invoke(main, ["check", str(tmp_path)]).stdout.splitlines()
    assert "  enclosure  bass: closed, woofer in 16.1 l: 16.7 l less woofer 0.6 l" in lines


def test_two_enclosures_share_the_inside(tmp_path: Path) -> None:
    upper = CLOSED.replace("bass", "top").replace('"woofer"', '"tweeter"')
    text = (CLOSED + upper).replace('volume = "12 l"', "share = 0.5")
    one, other = case_of(tmp_path, WALLS + text).enclosures
    assert (one.name, other.name) == ("bass", "top")
    assert one.gross + other.gross == pytest.approx(INSIDE, rel=1e-12)


def test_a_length_follows_from_a_tuning(tmp_path: Path) -> None:
    (port,) = enclosure_in(tmp_path, GOOD + VENTED).ports
    # Loose fill of 0.2 of the box acts like a volume of 1.05 times as much (common practice).
    assert helmholtz(0.014 * 1.05, PORT, port.length + ENDS) == pytest.approx(42.0, rel=1e-5)


def test_a_length_and_what_the_duct_takes_are_found_together(tmp_path: Path) -> None:
    text = VENTED.replace('volume = "14 l"\n', "").replace("fill = 0.2\n", "")
    box = enclosure_in(tmp_path, WALLS + text)
    (port,) = box.ports
    duct = math.pi / 4 * 0.056**2 * (port.length - 0.018)
    assert box.volume == pytest.approx(INSIDE - 0.0004 - duct, rel=1e-9)
    assert helmholtz(box.volume, PORT, port.length + ENDS) == pytest.approx(42.0, rel=1e-5)


def test_ports_without_a_length_get_a_common_one(tmp_path: Path) -> None:
    text = VENTED.replace("fill = 0.2\n", "").replace("42 Hz", "60 Hz") + (
        '[enclosures.bass.ports.other]\ndiameter = "40 mm"\nface = "back"\n'
        'position = ["0 mm", "-100 mm"]\n'
        '[enclosures.bass.ports.third]\ndiameter = "10 mm"\nface = "back"\nlength = "40 mm"\n'
        'position = ["0 mm", "0 mm"]\n'
    )
    ports = enclosure_in(tmp_path, GOOD + text).ports
    rear, other, third = ports
    assert rear.length == other.length
    assert third.length == 0.04
    # The conductivities S/l of all add up (Helmholtz).
    total = sum(
        math.pi / 4 * port.size[0] ** 2 / (port.length + (0.82167 + 0.6127) * port.size[0] / 2)
        for port in ports
    )
    assert helmholtz(0.014, total, 1.0) == pytest.approx(60.0, rel=1e-5)


def test_a_passive_radiator_by_resonance_and_q(tmp_path: Path) -> None:
    text = PASSIVE.replace('tuning = "40 Hz"\n', "")
    box = enclosure_in(tmp_path, GOOD + text)
    (radiator,) = box.passive_radiators
    assert (radiator.piston_diameter, radiator.frame_diameter) == (0.13, 0.17)
    assert (radiator.moving_mass, radiator.most_displacement) == (0.028, 0.01)
    # C = 1/(ω²M), R = ωM/Q
    omega = 2 * math.pi * 22
    assert radiator.compliance == pytest.approx(1 / (omega**2 * 0.028), rel=1e-12)
    assert radiator.mechanical_resistance == pytest.approx(omega * 0.028 / 6, rel=1e-12)
    assert dict(box.taken) == {"passive radiator rear": 0.0003}


def test_a_passive_radiator_by_compliance_and_resistance(tmp_path: Path) -> None:
    text = PASSIVE.replace('tuning = "40 Hz"\n', "")
    text = text.replace('resonance = "22 Hz"', 'compliance = "1.1 mm/N"\nadded_mass = "20 g"')
    text = text.replace("mechanical_q = 6.0", 'mechanical_resistance = "0.8 kg/s"')
    (radiator,) = enclosure_in(tmp_path, GOOD + text).passive_radiators
    assert radiator.moving_mass == pytest.approx(0.048)
    assert (radiator.compliance, radiator.mechanical_resistance) == (0.0011, 0.8)


def test_an_added_mass_follows_from_a_tuning(tmp_path: Path) -> None:
    (radiator,) = enclosure_in(tmp_path, GOOD + PASSIVE).passive_radiators
    # ω² = (1/C + S²ρc²/V)/M, Small (1974), from memory
    area = math.pi / 4 * 0.13**2
    stiffness = 1 / radiator.compliance + area**2 * DENSITY * SPEED**2 / 0.014
    assert math.sqrt(stiffness / radiator.moving_mass) / (2 * math.pi) == pytest.approx(40.0)
    assert radiator.moving_mass > 0.028
    # Neither suspension nor its losses change with the mass.
    assert radiator.compliance == pytest.approx(1 / ((2 * math.pi * 22) ** 2 * 0.028), rel=1e-12)


def test_faces_are_named_by_where_they_look(tmp_path: Path) -> None:
    text = VENTED.replace('face = "back"', "face = [0, 0, -1]")
    assert enclosure_in(tmp_path, GOOD + text).ports[0].face == "back"


def test_a_slot_may_run_along_the_inside_of_a_wall(tmp_path: Path) -> None:
    # 190 mm from the middle down to the edge, less 18 mm of wall and half of 20 mm: 162 mm.
    text = VENTED.replace('diameter = "50 mm"', 'width = "120 mm"\nheight = "20 mm"')
    text = text.replace('"100 mm"]', '"-162 mm"]').replace("42 Hz", "60 Hz")
    assert enclosure_in(tmp_path, WALLS + text).ports[0].position == (0.0, -0.162)


@pytest.mark.parametrize("degrees", [-6.0, 8.0])
def test_the_inside_of_a_leaning_cabinet(tmp_path: Path, degrees: float) -> None:
    text = GOOD.replace(BOX, SLOPED.replace("8 deg", f"{degrees} deg") + WALL)
    box = enclosure_in(tmp_path, text + CLOSED.replace('volume = "12 l"', ""))
    # A trapezium from the side: its front is moved in square to itself, by 18 mm/cos(lean).
    slope, cosine = math.tan(math.radians(degrees)), math.cos(math.radians(degrees))
    mean = 0.3 - 0.19 * slope - 0.018 / cosine - 0.018
    assert box.gross == pytest.approx(mean * 0.344 * 0.184, rel=1e-9)


def test_a_port_square_to_a_leaning_front(tmp_path: Path, faults_of: FaultsOf) -> None:
    # Square in from a front that leans back by 8 deg is downward too; the upper rim of the mouth
    # comes to the back wall first, its lower rim, 67 mm up the front, does not come to the base.
    text = GOOD.replace(BOX, SLOPED + WALL).replace(
        "[drivers.woofer]", '[drivers.woofer]\nface = "back"'
    )
    port = VENTED.replace('tuning = "42 Hz"\n', "").replace('face = "back"', 'length = "LONG"')
    port = port.replace('"100 mm"]', '"-100 mm"]')
    lean = math.radians(8)
    along = (0.38 / 2) / math.cos(lean) - 0.1 + 0.025
    depth = (0.3 - along * math.sin(lean) - 0.018) / math.cos(lean)
    longest = 1e3 * (depth - 0.025)
    assert enclosure_in(tmp_path, text + port.replace("LONG", f"{longest - 0.1} mm")).ports
    (fault,) = faults_of(text + port.replace("LONG", f"{longest + 0.1} mm"))
    assert f"there is room for {longest:.3g} mm" in fault.message
    # 30 mm lower its lower rim comes to the base first: 37 mm up the front.
    (fault,) = faults_of(text + port.replace("LONG", "150 mm").replace("-100 mm", "-130 mm"))
    low = (0.19 / math.cos(lean) - 0.13 - 0.025) * math.cos(lean) - 0.018
    room = 1e3 * (low / math.sin(lean) - 0.025)
    assert f"there is room for {room:.3g} mm" in fault.message


def test_a_pyramid_and_corners_have_an_inside(tmp_path: Path) -> None:
    closed = CLOSED.replace('volume = "12 l"', "")
    pyramid = enclosure_in(tmp_path, GOOD.replace(BOX, PYRAMID + WALL) + closed)
    # Frusta go between what their smaller and their larger face would give.
    shallow = 0.25 - 0.036
    assert (0.2 - 0.04) * (0.36 - 0.04) * shallow < pyramid.gross < 0.264 * 0.364 * shallow
    house = enclosure_in(tmp_path, GOOD.replace(BOX, HOUSE + WALL) + closed)
    # A box with a roof of equal slopes, 100 mm on 150 mm, moved in square to itself: the ridge by
    # 18 mm·√(1 + (2/3)²) along the depth.
    half, root = 0.15 - 0.018, math.sqrt(1 + (2 / 3) ** 2)
    ridge = 0.3 - 0.018 * root - 0.018
    mean = ridge - half * (2 / 3) / 2
    assert house.gross == pytest.approx(2 * half * mean * (0.4 - 0.036), rel=1e-9)


def test_a_port_on_a_chamfer(tmp_path: Path) -> None:
    cuts = cut("back left", 'setback = "100 mm"')
    text = GOOD.replace(BOX, BOX + WALL + cuts)
    port = VENTED.replace('face = "back"', "face = [-1, 0, -1]").replace("42 Hz", "70 Hz")
    (only,) = enclosure_in(tmp_path, text + port.replace("14 l", "11 l")).ports
    assert only.face == "back left chamfer"


# What replaces what in the text of a box, and the key and words of the fault.
ONE_FAULT = [
    # kinds
    (VENTED, 'kind = "vented"', 'kind = "ported"', "kind", "use closed, vented or passive rad"),
    (CLOSED, 'kind = "closed"', 'kind = "vented"', "ports", "add a table such as [enclosures.NAM"),
    (
        CLOSED,
        'kind = "closed"',
        'kind = "passive radiator"',
        "passive_radiators",
        "add a table such as [enclosures.NAME.passive_radiators.rear]",
    ),
    (CLOSED, "[enclosures.bass]", '[enclosures.bass]\ntuning = "40 Hz"', "tuning", "is not tuned"),
    (PASSIVE, "[enclosures.bass.passive", "[enclosures.bass.pasive", "pasive_radiators", "did you"),
    (CLOSED, 'volume = "12 l"', 'volum = "12 l"', "volum", "did you mean 'volume'?"),
    (CLOSED, '"12 l"', '"12 kg"', "volume", "is not a volume; use l, ml"),
    (CLOSED, '"12 l"', '"0 l"', "volume", "write a value from 0.05 l to 2 m3"),
    (VENTED, "fill = 0.2", "fill = 20", "fill", "write a number from 0 to 1"),
    (VENTED, "absorption_q = 50.0", "leakage_q = 0", "leakage_q", "a number from 1 to 1000"),
    (PASSIVE, 'tuning = "40 Hz"', "port_q = 50", "port_q", "has no ports to lose anything in"),
    # drivers
    (CLOSED, '["woofer"]', "[]", "drivers", "has the wrong length, not 1 to 24"),
    (CLOSED, '["woofer"]', '["wofer"]', "drivers.1", "did you mean 'woofer'?"),
    (CLOSED, '["woofer"]', '["woofer", "woofer"]', "drivers", "name each driver once"),
    # volumes
    (CLOSED, 'volume = "12 l"', "", "volume", 'volume = "14 l", or say how thick the walls'),
    (CLOSED, 'volume = "12 l"', 'volume = "1 l"\nshare = 0.5', "share", "keep one of the two"),
    # ports
    (VENTED, 'diameter = "50 mm"\n', "", "ports.rear.width", "a port is round or a slot"),
    (
        VENTED,
        'diameter = "50 mm"',
        'width = "50 mm"',
        "ports.rear.height",
        "a slot has a width and a height",
    ),
    (
        VENTED,
        'diameter = "50 mm"',
        'diameter = "50 mm"\nwidth = "50 mm"',
        "ports.rear.width",
        "is round and has no width",
    ),
    (VENTED, 'tuning = "42 Hz"\n', "", "tuning", "the port 'rear' has no length; give it one, or"),
    (
        VENTED,
        'diameter = "50 mm"',
        'diameter = "50 mm"\nlength = "9 cm"',
        "tuning",
        "every port has a length",
    ),
    (VENTED, 'face = "back"', 'face = "rear"', "ports.rear.face", "'rear' is no face"),
    (VENTED, 'face = "back"', "face = [1, 0, 1]", "ports.rear.face", "no face looks within 20°"),
    (
        VENTED,
        '"100 mm"]',
        '"170 mm"]',
        "ports.rear.position",
        # 170 + 25 mm, and the face ends at 190 mm
        "reaches 5 mm beyond the top edge of the back face",
    ),
    (
        VENTED,
        '"100 mm"]',
        '"164.5 mm"]',
        "ports.rear.position",
        "mouth is less than 1 mm from the top edge of the back face",
    ),
    (
        VENTED,
        'face = "back"',
        'face = "front"',
        "ports.rear.position",
        # The tweeter's frame of 50 mm radius is 25 mm away from the port's centre: 50 + 25 - 25.
        "overlaps the frame of 'tweeter'; move one of the two by more than 50 mm",
    ),
    # passive radiators
    (
        PASSIVE,
        'frame_diameter = "170 mm"',
        'frame_diameter = "12 cm"',
        "passive_radiators.rear.frame_diameter",
        "is smaller than the piston (130 mm)",
    ),
    (
        PASSIVE,
        'resonance = "22 Hz"\n',
        "",
        "passive_radiators.rear.compliance",
        "a passive radiator has a resonance or a compliance",
    ),
    (
        PASSIVE,
        'resonance = "22 Hz"',
        'resonance = "22 Hz"\ncompliance = "1 mm/N"',
        "passive_radiators.rear.compliance",
        "keep one of the two",
    ),
    (
        PASSIVE,
        "mechanical_q = 6.0\n",
        "",
        "passive_radiators.rear.mechanical_resistance",
        "add one, for example mechanical_q = 6.0",
    ),
    (
        PASSIVE,
        'moving_mass = "28 g"',
        'moving_mass = "28 g"\nadded_mass = "5 g"',
        "tuning",
        "'rear' has an added_mass, and the tuning would set it",
    ),
    (
        PASSIVE,
        '["0 mm", "0 mm"]',
        '["30 mm", "0 mm"]',
        "passive_radiators.rear.position",
        # 110 mm to the edge less 30, less a radius of 85 mm
        "crosses the right edge of the back face; move the passive radiator more than 5 mm",
    ),
]


@pytest.mark.parametrize(("box", "old", "new", "key", "words"), ONE_FAULT)
def test_one_fault(faults_of: FaultsOf, box: str, old: str, new: str, key: str, words: str) -> None:
    (fault,) = faults_of(GOOD + replaced(box, old, new))
    assert fault.key == f"enclosures.bass.{key}"
    assert words in fault.message
    first = line_with(GOOD + box, "[enclosures.bass]")
    assert fault.line is not None
    assert first <= fault.line <= first + len(box.splitlines())


def test_a_fault_of_a_value_is_told_on_its_line(faults_of: FaultsOf) -> None:
    text = GOOD + VENTED.replace('diameter = "50 mm"', 'diameter = "50 l"')
    (fault,) = faults_of(text)
    assert fault.line == line_with(text, 'diameter = "50 l"')


def test_a_tuning_that_is_too_high_for_these_ports(faults_of: FaultsOf) -> None:
    text = WALLS + VENTED.replace("42 Hz", "150 Hz").replace("fill = 0.2\n", "")
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("enclosures.bass.tuning", line_with(text, "tuning"))
    highest = helmholtz(0.014, PORT, 0.018 + ENDS)
    assert f"150 Hz is out of reach: in 14 l these ports give {highest:.3g} Hz" in fault.message
    assert "the 18 mm of the wall" in fault.message
    # The area named reaches it: S/(18 mm + 1.4344·√(S/π)) = (2πf/c)²V.
    area = float(fault.message.split("at least ")[1].split(" cm2")[0]) * 1e-4
    air = 0.018 + (0.82167 + 0.6127) * math.sqrt(area / math.pi)
    assert helmholtz(0.014, area, air) == pytest.approx(150.0, rel=0.005)


def test_a_tuning_that_is_too_low_for_what_the_ducts_take(faults_of: FaultsOf) -> None:
    text = VENTED.replace('volume = "14 l"\n', "").replace('"50 mm"', '"150 mm"')
    (fault,) = faults_of(WALLS + text.replace("100 mm", "0 mm").replace("fill = 0.2", ""))
    assert fault.key == "enclosures.bass.tuning"
    # (l + e)(V - A·l) is largest where the duct takes (V - A·e)/2.
    area, section, ends = math.pi / 4 * 0.15**2, math.pi / 4 * 0.156**2, 3 * ENDS
    volume = INSIDE - 0.0004 + section * 0.018
    length = (volume - section * ends) / (2 * section)
    lowest = helmholtz(volume - section * length, area, length + ends)
    assert f"lower than {lowest:.3g} Hz, however long: take ports of less area" in fault.message


def test_a_port_that_is_longer_than_the_box_is_deep(faults_of: FaultsOf) -> None:
    text = WALLS + VENTED.replace("42 Hz", "30 Hz").replace("fill = 0.2\n", "")
    (fault,) = faults_of(text)
    assert fault.key == "enclosures.bass.ports.rear.length"
    assert fault.line == line_with(text, "[enclosures.bass.ports.rear]")
    length = PORT * (SPEED / (2 * math.pi * 30)) ** 2 / 0.014 - ENDS
    assert f"a length of {1e3 * length:.4g} mm" in fault.message
    # 300 mm less one wall of 18 mm, less a radius of 25 mm
    assert "there is room for 257 mm: 282 mm to the opposite wall less 25 mm" in fault.message
    assert "a port of less area, a higher tuning or more volume" in fault.message


@pytest.mark.parametrize("change", [("50 mm", "45 mm"), ("30 Hz", "37 Hz"), ('"14 l"', '"16 l"')])
def test_what_that_fault_advises_makes_the_port_shorter(
    tmp_path: Path, change: tuple[str, str]
) -> None:
    deep = GOOD.replace('depth = "300 mm"', 'depth = "900 mm"')
    text = VENTED.replace("42 Hz", "30 Hz")
    before = enclosure_in(tmp_path, deep + text).ports[0].length
    after = enclosure_in(tmp_path, deep + replaced(text, *change)).ports[0].length
    assert after < before


def test_a_port_shorter_than_the_wall(faults_of: FaultsOf) -> None:
    text = VENTED.replace('tuning = "42 Hz"\n', "") + 'length = "10 mm"\n'
    (fault,) = faults_of(WALLS + text)
    assert fault.key == "enclosures.bass.ports.rear.length"
    assert "(10 mm) is shorter than the wall it goes through (18 mm)" in fault.message


def test_a_duct_in_the_wall_beside_it(faults_of: FaultsOf) -> None:
    # 160 + 25 mm is on the face (190 mm) and in the wall (172 mm).
    (fault,) = faults_of(WALLS + VENTED.replace('"100 mm"]', '"160 mm"]'))
    assert fault.key == "enclosures.bass.ports.rear.position"
    assert "runs into a wall of the cabinet (18 mm thick)" in fault.message


def test_ports_in_each_others_way(faults_of: FaultsOf) -> None:
    other = (
        '[enclosures.bass.ports.slot]\nwidth = "100 mm"\nheight = "20 mm"\nface = "back"\n'
        'position = ["0 mm", "130 mm"]\n'
    )
    (fault,) = faults_of(GOOD + VENTED + other)
    assert fault.key == "enclosures.bass.ports.slot.position"
    assert "the port 'slot' overlaps the port 'rear'" in fault.message


def test_a_slot_beside_a_round_port(tmp_path: Path, faults_of: FaultsOf) -> None:
    # The slot's corner is 20 mm right of and 20 mm above the disc's centre: 28.3 mm, and the disc
    # has 25 mm; the square round the disc would reach over it.
    slot = (
        '[enclosures.bass.ports.slot]\nwidth = "40 mm"\nheight = "20 mm"\nface = "back"\n'
        'position = ["40 mm", "130 mm"]\n'
    )
    assert len(enclosure_in(tmp_path, GOOD + VENTED.replace("42", "60") + slot).ports) == 2
    nearer = slot.replace('"40 mm", "130 mm"', '"37 mm", "127 mm"')
    # 17 and 17 mm: 24.04 mm
    (fault,) = faults_of(GOOD + VENTED.replace("42", "60") + nearer)
    assert "overlaps the port 'rear'; move one of the two by more than 0.958 mm" in fault.message


def test_passive_radiators_and_ports_on_the_bottom_of_a_mirrored_cabinet(
    faults_of: FaultsOf,
) -> None:
    text = GOOD.replace('"600 mm"', '"0 mm"').replace("reflection = 0.9", "mirrors_cabinet = true")
    box = VENTED.replace('face = "back"', 'face = "bottom"').replace('"100 mm"]', '"0 mm"]')
    (fault,) = faults_of(text + box)
    assert fault.key == "enclosures.bass.ports.rear.face"
    assert "nowhere to radiate" in fault.message


def test_a_passive_radiator_without_added_mass_is_the_highest(faults_of: FaultsOf) -> None:
    text = GOOD + PASSIVE.replace("40 Hz", "90 Hz")
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("enclosures.bass.tuning", line_with(text, "tuning"))
    area = math.pi / 4 * 0.13**2
    squared = (2 * math.pi * 22) ** 2 + area**2 * DENSITY * SPEED**2 / 0.014 / 0.028
    assert f"tuned to {math.sqrt(squared) / (2 * math.pi):.3g} Hz without" in fault.message


def test_no_air_is_left(faults_of: FaultsOf) -> None:
    text = CLOSED.replace('volume = "12 l"', 'braces = "17 l"')
    (fault,) = faults_of(WALLS + text)
    assert fault.key == "enclosures.bass.share"
    assert "of 16.7 l inside, all is taken: braces 17 l" in fault.message


def test_a_stated_volume_does_not_fit(faults_of: FaultsOf) -> None:
    text = WALLS + CLOSED.replace('"12 l"', '"16.5 l"\nbraces = "0.5 l"')
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("enclosures.bass.volume", line_with(text, "volume"))
    assert "16.5 l of air and 0.5 l taken" in fault.message
    assert 'which has 16.7 l inside; write at most "16.2 l"' in fault.message
    (fault,) = faults_of(text.replace('braces = "0.5 l"', 'braces = "30 l"'))
    assert "16.7 l inside; put less into it, or take a larger cabinet" in fault.message


def test_a_stated_volume_may_be_rounded(tmp_path: Path) -> None:
    # 16.71 l inside; 1 % more is 16.88 l.
    assert enclosure_in(tmp_path, WALLS + CLOSED.replace("12 l", "16.85 l")).volume == 0.01685


def test_shares_come_to_more_than_the_inside(faults_of: FaultsOf) -> None:
    upper = CLOSED.replace("bass", "top").replace('"woofer"', '"tweeter"')
    text = WALLS + CLOSED.replace('volume = "12 l"', "share = 0.6")
    text += upper.replace('volume = "12 l"', "")
    (fault,) = faults_of(text)
    assert fault.key == "enclosures.top.share"
    assert "(bass 10 l, top 16.7 l) are larger than the cabinet's inside of 16.7 l" in fault.message
    assert "shares that come to 1" in fault.message


def test_a_driver_is_in_one_enclosure(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(GOOD + CLOSED + CLOSED.replace("bass", "other"))
    assert fault.key == "enclosures.other.drivers.1"
    assert "'woofer' is in the enclosure 'bass' already" in fault.message


def test_walls_that_leave_no_inside(faults_of: FaultsOf) -> None:
    text = replaced(WALLS, '"18 mm"', '"110 mm"')
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("cabinet.wall_thickness", line_with(text, "wall_thickness"))
    assert "walls of 110 mm leave no room inside" in fault.message


def test_an_open_baffle_has_no_enclosure(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(GOOD.replace(BOX, PLATE) + CLOSED)
    assert fault.key == "enclosures"
    assert "a plate is an open baffle and has no enclosure" in fault.message
    walls = GOOD.replace(BOX, PLATE + 'wall_thickness = "18 mm"\n')
    (fault,) = faults_of(walls)
    assert fault.key == "cabinet.wall_thickness"
    assert "a plate has no wall_thickness" in fault.message


def test_too_many_of_them(faults_of: FaultsOf) -> None:
    ports = "".join(
        VENTED.split("\n\n")[1].replace("rear", f"p{number}") + "\n" for number in range(9)
    )
    faults = faults_of(GOOD + VENTED.split("\n\n")[0] + "\n" + ports)
    assert [(fault.key, "more than 8 ports" in fault.message) for fault in faults] == [
        ("enclosures.bass.ports", True)
    ]
    boxes = "".join(CLOSED.replace("bass", f"box{number}") for number in range(13))
    (fault,) = faults_of(GOOD + boxes)
    assert (fault.key, "more than 12 enclosures" in fault.message) == ("enclosures", True)


@pytest.mark.parametrize(
    ("key", "value", "found"),
    [
        ("enclosures.bass.volume", 0.013, lambda box: box.volume),
        ("enclosures.bass.fill", 0.4, lambda box: box.fill),
        ("enclosures.bass.ports.rear.diameter", 0.045, lambda box: box.ports[0].size[0]),
        ("enclosures.bass.ports.rear.position.2", 0.09, lambda box: box.ports[0].position[1]),
    ],
)
def test_its_keys_can_be_swept(
    tmp_path: Path, key: str, value: float, found: Callable[[Enclosure], float]
) -> None:
    unit = {"volume": " m3", "fill": ""}.get(key.rsplit(".", 1)[1], " m")
    written = f"{value!r}{unit}" if unit else value
    sweep = f'\n[sweep]\n[[sweep.over]]\nkey = "{key}"\nvalues = [{json.dumps(written)}]\n'
    case = case_of(tmp_path, GOOD + VENTED + sweep)
    assert case.sweep is not None
    assert case.sweep.over[0].values == (value,)
    varied = varied_case(case, {key: written})
    assert found(varied.enclosures[0]) == pytest.approx(value, rel=1e-12)
    assert found(case.enclosures[0]) != pytest.approx(value)


def test_a_length_can_be_swept_and_a_brief_cannot(tmp_path: Path, faults_of: FaultsOf) -> None:
    text = VENTED.replace('tuning = "42 Hz"\n', "") + 'length = "120 mm"\n' + BRIEF
    over = '\n[sweep]\n[[sweep.over]]\nkey = "KEY"\nvalues = ["90 mm", "130 mm"]\n'
    key = "enclosures.bass.ports.rear.length"
    case = case_of(tmp_path, GOOD + text + over.replace("KEY", key))
    assert case.sweep is not None
    assert case.sweep.over[0].values == (0.09, 0.13)
    (fault,) = faults_of(GOOD + text + over.replace("KEY", "brief.width"))
    assert "there is no 'brief'" in fault.message


def test_what_is_behind_a_driver_counts_and_what_is_wanted_does_not(tmp_path: Path) -> None:
    plain = case_of(tmp_path, GOOD).digest
    assert case_of(tmp_path, GOOD + CLOSED).digest != plain
    assert case_of(tmp_path, GOOD + AMPLIFIER).digest != plain
    assert case_of(tmp_path, GOOD + BRIEF).digest == plain


def test_check_says_what_it_takes(tmp_path: Path) -> None:
    text = WALLS + ENCLOSED.replace('volume = "14 l"\n', "").replace("fill = 0.2\n", "")
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    result = CliRunner().invoke(main, ["check", str(tmp_path)])
    assert (result.exit_code, result.stderr) == (0, "")
    lines = unwrapped(result.stdout)
    start = next(i for i, line in enumerate(lines) if line.startswith("  enclosure"))
    (port,) = read_case(tmp_path).enclosures[0].ports
    duct = math.pi / 4 * 0.056**2 * (port.length - 0.018)
    assert lines[start : start + 3] == [
        f"  enclosure  bass: vented, woofer in {1e3 * (INSIDE - 0.0004 - duct):.3g} l: 16.7 l less "
        f"braces 0.4 l and port rear {1e3 * duct:.3g} l; what woofer takes is not stated; tuned to "
        "42 Hz",
        f"             port rear: 50 mm across, {1e3 * port.length:.3g} mm long, on the back face",
        "  amplifier  60 W into 8 ohm, for 4 ohm or more, 0.1 ohm with its cable",
    ]


def test_check_says_what_is_added_to_passive_radiators(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(GOOD + PASSIVE, encoding="utf-8")
    lines = CliRunner().invoke(main, ["check", str(tmp_path)]).stdout.splitlines()
    (radiator,) = read_case(tmp_path).enclosures[0].passive_radiators
    assert any(line.endswith("takes is not stated; tuned to 40 Hz") for line in lines)
    assert (
        f"             passive radiator rear: 130 mm piston, {1e3 * radiator.moving_mass:.3g} g "
        "moving, on the back face"
    ) in lines
