from __future__ import annotations

import re
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

from acoustics.case import (
    Absorber,
    Aim,
    Branch,
    Cabinet,
    Case,
    Driver,
    FrequencyGrid,
    ParametricSection,
    PassFilter,
    Placement,
    ReferenceAxis,
    Seat,
    SeatPlace,
    Surface,
    read_case,
)

LEAST = """\
title = "As little as possible"
[cabinet]
width = "220 mm"
height = "380 mm"
depth = "300 mm"
[drivers.low]
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "-20 mm"]
sensitivity = 88
[drivers.high]
piston_diameter = "1 in"
frame_diameter = "100 mm"
position = ["10 mm", "125 mm"]
sensitivity = 90.0
[seat]
distance = "2.5 m"
ear_heights = ["0.95 m"]
"""

MOST = """\
title = "As much as possible"
note = "a note"
[air]
temperature = "0 degC"
[cabinet]
shape = "box"
width = "22 cm"
height = "0.38 m"
depth = "300 mm"
base_height = "60 cm"
[drivers.tweeter]
piston_diameter = "25 mm"
frame_diameter = "100 mm"
position = ["-4 cm", "125 mm"]
acoustic_depth = "-2 mm"
sensitivity = 90.0
polarity = "inverted"
breakup = "12 kHz"
[drivers.woofer]
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "-20 mm"]
sensitivity = 88.0
[crossover.woofer]
slopes = "acoustic"
level = 84
most_gain = 9
delay = "0.1 ms"
[crossover.tweeter]
slopes = "electrical"
gain = -5
delay = "52 us"
polarity = "inverted"
sections = [
    { type = "high-pass", alignment = "linkwitz-riley", order = 4, frequency = "2.2 kHz" },
    { type = "low-pass", alignment = "butterworth", order = 1, frequency = "9 kHz" },
    { type = "band-pass", alignment = "bessel", order = 3, low_frequency = "300 Hz", high_frequency = "3 kHz" },
    { type = "high-shelf", frequency = "5 kHz", gain = 1.5, q = 0.7 },
]
[reference]
point = ["5 mm", "-10 mm"]
distance = "1 m"
[placement]
cabinets = "mirrored pair"
spacing = "180 cm"
toe_in = "-10 deg"
[seat]
distance = "2.5 m"
aside = "10 cm"
ear_heights = ["0.85 m", "0.95 m"]
[seat.others.sofa-end]
distance = "2.7 m"
aside = "-70 cm"
[seat.others."next to it"]
[right_wall]
distance = "1.8 m"
[left_wall]
distance = "2 m"
reflection = -0.3
[rear_wall]
distance = "4 m"
absorber = { thickness = "5 cm", flow_resistivity = "10 kPa s/m2" }
[front_wall]
distance = "70 cm"
reflection = 0.8
[ceiling]
height = "2.5 m"
[ceiling.absorber]
thickness = "20 mm"
flow_resistivity = "12000 N s/m4"
[floor]
reflection = 0.5
[[aims]]
measure = "lobe window"
at_least = "30 cm"
[[aims]]
measure = "ripple"
at_most = 2
band = ["1 kHz", "10 kHz"]
smoothing = 3
[[aims]]
measure = "level"
at_least = 70
[[aims]]
measure = "tilt"
where = "listening window"
at_most = 0
[[aims]]
name = "wide"
measure = "beamwidth"
at_least = "90 deg"
at_most = "180 deg"
[frequencies]
lowest = "100 Hz"
highest = "10 kHz"
per_octave = 12
[arcs]
step = "2.5 deg"
[solver]
accuracy = 0.1
"""  # noqa: E501


def read(text: str, folder: Path) -> Case:
    file = folder / "case.toml"
    file.write_text(text, encoding="utf-8")
    return read_case(file)


def test_everything_comes_out_in_si_units(tmp_path: Path) -> None:
    case = read(MOST, tmp_path)
    assert case.title == "As much as possible"
    assert case.note == "a note"
    assert case.path == str(tmp_path / "case.toml")
    assert case.cabinet == Cabinet(width=0.22, height=0.38, depth=0.3, base_height=0.6)
    assert case.drivers == (
        Driver("tweeter", 0.025, 0.1, (-0.04, 0.125), -0.002, 90.0, True, 12_000.0),
        Driver("woofer", 0.12, 0.165, (0.0, -0.02), 0.0, 88.0, False, None),
    )
    assert case.crossover == (
        Branch(
            driver="tweeter",
            sections=(
                PassFilter("high-pass", "linkwitz-riley", 4, 2200.0, None),
                PassFilter("low-pass", "butterworth", 1, None, 9000.0),
                PassFilter("band-pass", "bessel", 3, 300.0, 3000.0),
                ParametricSection("high-shelf", 5000.0, 1.5, 0.7),
            ),
            gain=-5.0,
            delay=52e-6,
            inverted=True,
        ),
        Branch("woofer", delay=1e-4, slopes="acoustic", level=84.0, most_gain=9.0),
    )
    assert case.reference == ReferenceAxis((0.005, -0.01), 1.0)
    assert case.placement == Placement(pair=True, spacing=1.8, toe_in=-10.0)
    assert case.seat == Seat(
        (
            SeatPlace("main", 2.5, 0.1),
            SeatPlace("sofa-end", 2.7, -0.7),
            SeatPlace("next to it", 2.5, 0.0),
        ),
        (0.85, 0.95),
    )
    assert case.seat.main.name == "main"
    # In the order of the model, whatever that of the file.
    assert case.surfaces == (
        Surface("floor", 0.0, 0.5),
        Surface("ceiling", 2.5, absorber=Absorber(0.02, 12_000.0)),
        Surface("front wall", 0.7, 0.8),
        Surface("rear wall", 4.0, absorber=Absorber(0.05, 10_000.0)),
        Surface("left wall", 2.0, -0.3),
        Surface("right wall", 1.8, 1.0),
    )
    assert case.floor == case.surfaces[0]
    assert case.frequencies == FrequencyGrid(100.0, 10_000.0, 12)
    assert case.arc_step == 2.5
    assert case.accuracy == 0.1
    name = "ripple on the reference axis, 1 kHz to 10 kHz"
    level = "level on the reference axis, 300 Hz to 10 kHz"
    tilt = "tilt in the listening window, 300 Hz to 10 kHz"
    band = (300.0, 10_000.0)
    assert case.aims == (
        Aim("lobe window at the seat", "lobe window", "seat", None, None, 0.3, None),
        Aim(name, "ripple", "reference axis", (1000.0, 10_000.0), 3.0, None, 2.0),
        Aim(level, "level", "reference axis", (300.0, 10_000.0), None, 70.0, None),
        Aim(tilt, "tilt", "listening window", band, 6.0, None, 0.0),
        Aim("wide", "beamwidth", "reference axis", (300.0, 10_000.0), 6.0, 90.0, 180.0),
    )


def test_air_follows_from_the_temperature(tmp_path: Path) -> None:
    air = read(MOST, tmp_path).air
    # Dry air at 0 °C and 101.325 kPa: 1.2929 kg/m³ (CRC handbook) and 331.3 m/s, from memory.
    assert air.density == pytest.approx(1.2929, rel=1e-3)
    assert air.speed_of_sound == pytest.approx(331.3, rel=1e-3)


def test_what_is_left_out_has_its_default(tmp_path: Path) -> None:
    case = read(LEAST, tmp_path)
    assert case.note == ""
    assert case.temperature == 293.15
    assert case.cabinet.base_height == 0.0
    assert case.crossover == ()
    assert case.surfaces == ()
    assert case.floor is None
    assert case.placement == Placement(pair=False, spacing=0.0, toe_in=0.0)
    assert case.seat == Seat((SeatPlace("main", 2.5, 0.0),), (0.95,))
    assert case.driver("low").breakup is None
    assert case.aims == ()
    assert case.frequencies == FrequencyGrid(20.0, 20_000.0, 24)
    assert (case.arc_step, case.accuracy) == (2.5, 0.1)
    assert case.driver("high").piston_diameter == 0.0254
    assert not case.driver("high").inverted


def test_the_reference_axis_starts_at_the_smallest_piston(tmp_path: Path) -> None:
    assert read(LEAST, tmp_path).reference == ReferenceAxis((0.01, 0.125), 2.0)


def test_the_reference_axis_starts_at_a_driver_called_tweeter(tmp_path: Path) -> None:
    case = read(LEAST.replace("drivers.low", "drivers.tweeter"), tmp_path)
    assert case.reference.point == (0.0, -0.02)


def test_branches_are_in_the_order_of_the_drivers(tmp_path: Path) -> None:
    case = read(LEAST + "[crossover.high]\n[crossover.low]\n", tmp_path)
    assert case.crossover == (Branch("low"), Branch("high"))
    assert case.crossover[0].slopes == "electrical"
    assert (case.crossover[0].gain, case.crossover[0].level) == (0.0, None)


def test_a_case_cannot_be_changed(tmp_path: Path) -> None:
    case = read(LEAST, tmp_path)
    with pytest.raises(FrozenInstanceError):
        case.cabinet.width = 1.0  # type: ignore[misc]


def test_a_byte_order_mark_and_line_ends_of_other_systems_are_read(tmp_path: Path) -> None:
    file = tmp_path / "case.toml"
    file.write_bytes(b"\xef\xbb\xbf" + LEAST.replace("\n", "\r\n").encode())
    assert read_case(file).digest == read(LEAST, tmp_path).digest


def test_the_digest_does_not_see_layout(tmp_path: Path) -> None:
    digest = read(MOST, tmp_path).digest
    assert re.fullmatch("[0-9a-f]{64}", digest)
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    assert read(MOST, elsewhere).digest == digest
    assert read("# a comment\n\n" + MOST.replace("\n[", "\n\n\n["), tmp_path).digest == digest
    assert read(MOST.replace('"22 cm"', '"220 mm"'), tmp_path).digest == digest
    assert read(MOST.replace('"2.2 kHz"', '"2200 Hz"'), tmp_path).digest == digest
    assert read(MOST.replace("gain = -5\n", "gain = -5.0\n"), tmp_path).digest == digest
    assert read(MOST.replace("12000 N s/m4", "12 kPa s/m²"), tmp_path).digest == digest
    assert read(MOST.replace('slopes = "electrical"\n', ""), tmp_path).digest == digest
    assert read(MOST.replace('shape = "box"\n', ""), tmp_path).digest == digest


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"22 cm"', '"221 mm"'),
        ('"0 degC"', '"1 degC"'),
        ("order = 4", "order = 2"),
        ("reflection = 0.5", "reflection = 0.4"),
        ("accuracy = 0.1", "accuracy = 0.2"),
        ('polarity = "inverted"\nbreakup', 'breakup'),
        ('breakup = "12 kHz"', 'breakup = "13 kHz"'),
        ("level = 84", "level = 85"),
        ("most_gain = 9", "most_gain = 8"),
        ('spacing = "180 cm"', 'spacing = "181 cm"'),
        ('toe_in = "-10 deg"', 'toe_in = "10 deg"'),
        ('aside = "10 cm"', 'aside = "11 cm"'),
        ('distance = "2.7 m"', 'distance = "2.8 m"'),
        ("[seat.others.sofa-end]", "[seat.others.sofa]"),
        ('[left_wall]\ndistance = "2 m"', '[left_wall]\ndistance = "2.1 m"'),
        ('thickness = "20 mm"', 'thickness = "21 mm"'),
        ("12000 N", "12001 N"),
    ],
)  # fmt: skip
def test_the_digest_sees_content(tmp_path: Path, old: str, new: str) -> None:
    assert MOST.count(old) == 1
    assert read(MOST.replace(old, new), tmp_path).digest != read(MOST, tmp_path).digest


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"As much as possible"', '"Another name"'),
        ('"a note"', '"another note"'),
        ("at_most = 2\n", "at_most = 3\n"),
        ('[[aims]]\nmeasure = "level"\nat_least = 70\n', ""),
        ('where = "listening window"\n', ""),
    ],
    ids=["title", "note", "limit", "aim", "place"],
)
def test_the_digest_does_not_see_what_no_prediction_rests_on(
    tmp_path: Path, old: str, new: str
) -> None:
    assert MOST.count(old) == 1
    changed = read(MOST.replace(old, new), tmp_path)
    assert changed.digest == read(MOST, tmp_path).digest


@pytest.mark.parametrize("name", ["Hochtöner 2", "low-mid_1", "x" * 40])
def test_driver_names_of_letters_digits_spaces_dashes_and_underscores(
    tmp_path: Path, name: str
) -> None:
    case = read(LEAST.replace("drivers.low", f'drivers."{name}"'), tmp_path)
    assert case.drivers[0].name == name


@pytest.mark.parametrize("gain", ["", "gain = 0\n"])
def test_most_gain_is_6_db_unless_the_case_says_otherwise(tmp_path: Path, gain: str) -> None:
    text = LEAST + '[crossover.low]\nslopes = "acoustic"\nlevel = 84.5\n[crossover.high]\n' + gain
    low, high = read(text, tmp_path).crossover
    assert low == Branch("low", slopes="acoustic", level=84.5, most_gain=6.0)
    assert high == Branch("high")


@pytest.mark.parametrize("step", [0.5, 0.625, 1.0, 2.0, 2.5, 5.0, 10.0])
def test_arcs_meet_every_tenth_degree(tmp_path: Path, step: float) -> None:
    assert read(LEAST + f'[arcs]\nstep = "{step} deg"\n', tmp_path).arc_step == step


def test_eight_further_seats_are_read(tmp_path: Path) -> None:
    text = LEAST + "".join(
        f'[seat.others.s{number}]\naside = "{number / 10} m"\n' for number in range(1, 9)
    )
    case = read(text, tmp_path)
    assert [place.name for place in case.seat.places] == ["main", *(f"s{n}" for n in range(1, 9))]


def test_a_single_cabinet_can_be_turned(tmp_path: Path) -> None:
    case = read(LEAST + '[placement]\ntoe_in = "0.1 rad"\n', tmp_path)
    assert case.placement == Placement(False, 0.0, pytest.approx(5.729578, abs=1e-6))
