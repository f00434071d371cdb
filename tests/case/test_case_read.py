from __future__ import annotations

import re
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

from acoustics.case import (
    Aim,
    Branch,
    Cabinet,
    Case,
    Driver,
    Floor,
    FrequencyGrid,
    ParametricSection,
    PassFilter,
    ReferenceAxis,
    Seat,
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
[crossover.tweeter]
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
[seat]
distance = "2.5 m"
ear_heights = ["0.85 m", "0.95 m"]
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
    assert case.drivers == (Driver("tweeter", 0.025, 0.1, (-0.04, 0.125), -0.002, 90.0, True),)
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
    )
    assert case.reference == ReferenceAxis((0.005, -0.01), 1.0)
    assert case.seat == Seat(2.5, (0.85, 0.95))
    assert case.floor == Floor(0.5)
    assert case.frequencies == FrequencyGrid(100.0, 10_000.0, 12)
    assert case.arc_step == 2.5
    assert case.accuracy == 0.1
    name = "ripple on the reference axis, 1 kHz to 10 kHz"
    level = "level on the reference axis, 300 Hz to 10 kHz"
    assert case.aims == (
        Aim("lobe window at the seat", "lobe window", "seat", None, None, 0.3, None),
        Aim(name, "ripple", "reference axis", (1000.0, 10_000.0), 3.0, None, 2.0),
        Aim(level, "level", "reference axis", (300.0, 10_000.0), None, 70.0, None),
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
    assert case.floor is None
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
    assert [branch.driver for branch in case.crossover] == ["low", "high"]


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
    assert read(MOST.replace('shape = "box"\n', ""), tmp_path).digest == digest


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"22 cm"', '"221 mm"'),
        ('"0 degC"', '"1 degC"'),
        ("order = 4", "order = 2"),
        ("reflection = 0.5", "reflection = 0.4"),
        ("accuracy = 0.1", "accuracy = 0.2"),
        ('polarity = "inverted"\n[crossover', '[crossover'),
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
    ],
    ids=["title", "note", "limit", "aim"],
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
