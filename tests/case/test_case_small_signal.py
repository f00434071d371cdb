"""What a case file may say of what drives a driver, and what it hears where that cannot be."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import GOOD, SOURCE, line_with, unwrapped
from click.testing import CliRunner

from acoustics.case import Case, read_case
from acoustics.cli.main import main
from acoustics.conventions import Fault, air_at
from acoustics.driver import NO_COIL

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

WOOFER = """\
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "-20 mm"]
sensitivity = 88.0
"""
DRIVEN = GOOD + SOURCE


def read(tmp_path: Path, text: str) -> Case:
    file = tmp_path / "case.toml"
    file.write_text(text, encoding="utf-8")
    return read_case(file)


def replaced(text: str, old: str, new: str) -> str:
    assert text.count(old) == 1
    return text.replace(old, new)


def test_parameters_and_coil_come_out_in_si_units(tmp_path: Path) -> None:
    case = read(tmp_path, DRIVEN)
    woofer = case.driver("woofer")
    parameters = woofer.small_signal
    assert parameters is not None
    assert (parameters.dc_resistance, parameters.moving_mass) == (5.7, 0.0151)
    assert parameters.effective_area == pytest.approx(math.pi * 0.06**2)
    # M C = 1/(2π f_s)² (Small 1972).
    assert parameters.compliance == pytest.approx(1 / ((80 * math.pi) ** 2 * 0.0151))
    coil = woofer.voice_coil
    assert (coil.inductance, coil.semi_inductance, coil.exponent) == (8e-5, 0.025, 0.6)
    assert coil.parallel_inductance is None
    assert woofer.sensitivity == 88.0
    assert case.warnings == ()
    assert case.driver("tweeter").small_signal is None
    assert case.driver("tweeter").voice_coil == NO_COIL


def test_everything_else_that_is_known_of_a_driver(tmp_path: Path) -> None:
    more = """
model = "Invented woofer"
most_displacement = "5 mm"
power = "0.06 kW"
rated_impedance = "8 ohm"
cutout_diameter = "145 mm"
mounting_depth = "72 mm"
displaced_volume = "450 ml"
mass = "1.4 kg"
price = 42
"""
    with_more = read(tmp_path, replaced(GOOD, WOOFER, WOOFER + more))
    woofer = with_more.driver("woofer")
    assert woofer.model == "Invented woofer"
    assert (woofer.most_displacement, woofer.power, woofer.rated_impedance) == (0.005, 60.0, 8.0)
    assert (woofer.cutout_diameter, woofer.mounting_depth) == (0.145, 0.072)
    assert (woofer.displaced_volume, woofer.mass, woofer.price) == (4.5e-4, 1.4, 42.0)
    # What a driver is called, costs and weighs does not change what it plays.
    dearer = more.replace("42", "84").replace("1.4 kg", "2 kg").replace("Invented w", "W")
    assert read(tmp_path, replaced(GOOD, WOOFER, WOOFER + dearer)).digest == with_more.digest
    larger = more.replace('"450 ml"', '"0.5 l"')
    assert read(tmp_path, replaced(GOOD, WOOFER, WOOFER + larger)).digest != with_more.digest


def test_sensitivity_follows_from_the_parameters(tmp_path: Path) -> None:
    without = replaced(DRIVEN, "sensitivity = 88.0\n", "")
    case = read(tmp_path, without)
    parameters = case.driver("woofer").small_signal
    assert parameters is not None
    # Far above resonance p = ρ S Bl U / (2π r M R_e) (Beranek, Acoustics, 1954; from memory).
    pressure = (
        case.air.density
        * parameters.effective_area
        * parameters.force_factor
        * 2.83
        / (2 * math.pi * parameters.moving_mass * parameters.dc_resistance)
    )
    assert case.driver("woofer").sensitivity == pytest.approx(20 * math.log10(pressure / 20e-6))
    # Thinner air, less sound; the driver, measured at 20 °C, stays what it is.
    warm = read(tmp_path, without + '\n[air]\ntemperature = "40 degC"\n')
    assert warm.driver("woofer").small_signal == parameters
    thinner = 20 * math.log10(air_at(313.15).density / air_at(293.15).density)
    difference = warm.driver("woofer").sensitivity - case.driver("woofer").sensitivity
    assert difference == pytest.approx(thinner, abs=1e-9)


def test_the_piston_follows_from_the_effective_area(tmp_path: Path) -> None:
    text = replaced(DRIVEN, 'piston_diameter = "120 mm"\n', "")
    text = replaced(text, 'measured = "free air"', 'effective_area = "113.0973 cm2"')
    assert read(tmp_path, text).driver("woofer").piston_diameter == pytest.approx(0.12, rel=1e-6)


@pytest.mark.parametrize("stated", [True, False])
def test_a_ring_moves_no_air_in_its_middle(tmp_path: Path, stated: bool) -> None:
    # 160² − 96² = 128²: the ring has the area of a disc of 128 mm.
    ring = replaced(DRIVEN, 'piston_diameter = "120 mm"\n', "")
    ring = replaced(ring, "sensitivity = 88.0\n", 'ring_inner_diameter = "96 mm"\n')
    ring = replaced(ring, 'frame_diameter = "165 mm"', 'frame_diameter = "170 mm"')
    ring = ring.replace('moving_mass = "15.1 g"\n', "")
    if stated:
        ring = ring.replace("[drivers.woofer]", '[drivers.woofer]\npiston_diameter = "160 mm"')
    else:
        ring = ring.replace("measured =", f'effective_area = "{math.pi * 64**2} mm2"\nmeasured =')
    woofer = read(tmp_path, ring.replace('"-20 mm"', '"-50 mm"')).driver("woofer")
    assert woofer.small_signal is not None
    assert woofer.small_signal.effective_area == pytest.approx(math.pi * 0.064**2)
    assert woofer.piston_diameter == pytest.approx(0.160)
    assert woofer.profile.radii[0] == pytest.approx(0.6)


def test_a_ring_by_its_rows_has_a_hole_too(tmp_path: Path) -> None:
    rows = 'profile = [{ radius = "48 mm", velocity = 1 }, { radius = "60 mm", velocity = 1 }]\n'
    text = replaced(DRIVEN, "sensitivity = 88.0\n", rows)
    text = replaced(text, 'moving_mass = "15.1 g"\n', "")
    parameters = read(tmp_path, text).driver("woofer").small_signal
    assert parameters is not None
    assert parameters.effective_area == pytest.approx(math.pi * (0.06**2 - 0.048**2))


@pytest.mark.parametrize(
    ("old", "new", "key", "said"),
    [
        ('"15.1 g"', '"-15.1 g"', "small_signal.moving_mass", "write a value from 1 mg to 10 kg"),
        ('"15.1 g"', "15.1", "small_signal.moving_mass", "has no unit; write it in quotes"),
        ('"15.1 g"', '"15.1 mm"', "small_signal.moving_mass", 'for example "14.5 g"'),
        ('"19 l"', '"19 litres"', "small_signal.equivalent_volume", 'did you mean "19 l"?'),
        ('"5.7 ohm"', '"5,7 ohm"', "small_signal.dc_resistance", "write 5.7 with a point"),
        ("total_q = 0.39", 'total_q = "0.39"', "small_signal.total_q", "without quotes"),
        ("total_q = 0.39", "total_q = nan", "small_signal.total_q", "not a finite number"),
        ("total_q = 0.39", "total_q = 0.43", "small_signal.total_q", "is not below electrical_q"),
        ("total_q = 0.39", "total_q = 5", "small_signal.total_q", "is not below mechanical_q"),
        ("resonance =", "resonanse =", "small_signal.resonanse", "did you mean 'resonance'?"),
        ("exponent = 0.6", "exponent = 1.6", "voice_coil.exponent", "from 0.1 to 1"),
        (
            'semi_inductance = "0.025 sH"\n',
            "",
            "voice_coil.exponent",
            "only a semi-inductance has an exponent",
        ),
        ('"0.08 mH"', '"-0.08 mH"', "voice_coil.inductance", "from 0 mH to 1 H"),
        ('"free air"', '"water"', "small_signal.measured", "use free air, baffle or vacuum"),
    ],
)
def test_a_wrong_parameter_is_told_with_its_line(
    faults_of: FaultsOf, old: str, new: str, key: str, said: str
) -> None:
    text = replaced(DRIVEN, old, new)
    faults = faults_of(text)
    told = [fault for fault in faults if fault.key == f"drivers.woofer.{key}"]
    assert any(said in fault.message for fault in told)
    assert {fault.key for fault in faults} == {f"drivers.woofer.{key}"}
    assert text.splitlines()[(told[0].line or 0) - 1].startswith(key.split(".")[1])


@pytest.mark.parametrize(
    ("line", "key", "said"),
    [
        ('cutout_diameter = "165 mm"', "cutout_diameter", "is not smaller than the frame"),
        ('cutout_diameter = "119 mm"', "cutout_diameter", "is smaller than the piston"),
        ("price = -1", "price", "from 0 to 1e+09"),
        ('price = "42 coins"', "price", "without quotes or unit"),
        ('power = "60"', "power", 'with W or kW, for example "60 W"'),
        ('power = "60 watts"', "power", 'did you mean "60 W"?'),
        ('mass = "-1 kg"', "mass", "out of range"),
        ("small_signal = 3", "small_signal", "3 is not a table"),
        ('model = ""', "model", "not a line of text"),
    ],
)
def test_a_wrong_fact_of_a_driver_is_told(
    faults_of: FaultsOf, line: str, key: str, said: str
) -> None:
    text = replaced(GOOD, WOOFER, WOOFER + line + "\n")
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == (f"drivers.woofer.{key}", line_with(text, line))
    assert said in fault.message


def test_too_few_parameters_say_which_would_do(faults_of: FaultsOf) -> None:
    text = replaced(DRIVEN, "mechanical_q = 4.0\n", "").replace("total_q = 0.39\n", "")
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == (
        "drivers.woofer.small_signal",
        line_with(text, "[drivers.woofer.small_signal]"),
    )
    assert fault.message == (
        "mechanical_resistance does not follow from the keys here; "
        "add one of mechanical_q, total_q or mechanical_resistance"
    )
    for line in ('moving_mass = "15.1 g"\n', 'equivalent_volume = "19 l"\n'):
        text = text.replace(line, "")
    (fault,) = faults_of(text)
    assert "add two keys, for example mechanical_q and equivalent_volume" in fault.message
    (fault,) = faults_of(GOOD + '[drivers.woofer.small_signal]\nresonance = "40 Hz"\n')
    assert "give at least resonance, mechanical_q, electrical_q" in fault.message


def test_a_small_contradiction_is_a_warning_and_named_both_ways(tmp_path: Path) -> None:
    # 1/4 + 1/0.43 = 1/0.3883 (Small 1972).
    case = read(tmp_path, replaced(DRIVEN, "total_q = 0.39", "total_q = 0.36"))
    (warning,) = case.warnings
    assert warning == (
        f"{tmp_path / 'case.toml'}:{line_with(DRIVEN, 'total_q')}: "
        "drivers.woofer.small_signal.total_q: total_q is 0.36 as given, but 0.388 from "
        "mechanical_q and electrical_q: 7.85 % apart"
    )
    quiet = read(tmp_path, replaced(DRIVEN, "total_q = 0.39", "total_q = 0.3702"))  # 4.9 %
    assert quiet.warnings == ()
    loud = read(tmp_path, replaced(DRIVEN, "total_q = 0.39", "total_q = 0.3694"))  # 5.1 %
    assert len(loud.warnings) == 1
    # total_q is not one of those that are kept: the driver is the same, and so is the design.
    assert loud.digest == quiet.digest
    printed = CliRunner().invoke(main, ["check", str(tmp_path)])
    assert printed.exit_code == 0
    assert f"warning: {loud.warnings[0]}" in printed.stdout.splitlines()
    assert printed.stdout.splitlines()[-1] == "no faults"


def test_a_large_contradiction_is_refused(faults_of: FaultsOf) -> None:
    text = replaced(DRIVEN, "total_q = 0.39", "total_q = 0.31")
    (fault,) = faults_of(text)
    assert fault.message == (
        "total_q is 0.31 as given, but 0.388 from mechanical_q and electrical_q: 25.2 % apart; "
        "correct one of them, or leave total_q out"
    )
    assert fault.line == line_with(text, "total_q")


def test_units_are_shown_in_contradictions(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(replaced(DRIVEN, '"19 l"', '"30 l"'))
    # V_as = ρc²S²C of 15.1 g at 40 Hz and 120 mm: 19.0 l.
    assert fault.message.startswith(
        "equivalent_volume is 30 l as given, but 19 l from resonance, moving_mass and "
        "piston_diameter: "
    )


def test_sensitivity_and_piston_are_held_against_the_parameters(
    tmp_path: Path, faults_of: FaultsOf
) -> None:
    level = (
        read(tmp_path, replaced(DRIVEN, "sensitivity = 88.0\n", "")).driver("woofer").sensitivity
    )
    assert read(tmp_path, replaced(DRIVEN, "= 88.0", f"= {level + 0.41}")).warnings == ()
    (warning,) = read(tmp_path, replaced(DRIVEN, "= 88.0", f"= {level - 0.43}")).warnings
    assert "drivers.woofer.sensitivity: sensitivity is 87.6" in warning
    assert "from small_signal: 0.43 dB apart" in warning
    # The air of the design is not that in which drivers are measured.
    cold = DRIVEN + '\n[air]\ntemperature = "-20 degC"\n'
    assert read(tmp_path, replaced(cold, "= 88.0", f"= {level + 0.41}")).warnings == ()
    text = replaced(DRIVEN, 'moving_mass = "15.1 g"', 'effective_area = "127 cm2"')
    told = [each for each in read(tmp_path, text).warnings if "piston_diameter: " in each]
    # 2 √(127 cm²/π) = 127.2 mm.
    assert len(told) == 1
    assert "piston_diameter is 120 mm as given, but 127 mm from effective_area: 5.97 %" in told[0]
    faults = faults_of(replaced(text, "127 cm2", "190 cm2"))
    assert [fault.key for fault in faults] == ["drivers.woofer.piston_diameter"]
    assert "leave piston_diameter out" in faults[0].message
    far = faults_of(replaced(DRIVEN, '"19 l"', '"9000 l"'))
    assert "worlds apart; correct one of them" in far[0].message


def test_what_is_left_out_must_follow(faults_of: FaultsOf) -> None:
    text = replaced(GOOD, WOOFER, WOOFER.replace("sensitivity = 88.0\n", ""))
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == (
        "drivers.woofer.sensitivity",
        line_with(text, "[drivers.woofer]"),
    )
    assert "[drivers.woofer.small_signal]" in fault.message
    text = replaced(DRIVEN, 'piston_diameter = "120 mm"\n', "")
    faults = {fault.key: fault.message for fault in faults_of(text)}
    assert "or effective_area in" in faults["drivers.woofer.piston_diameter"]


def test_check_shows_by_what_a_driver_is_known(tmp_path: Path) -> None:
    read(tmp_path, DRIVEN)
    lines = unwrapped(CliRunner().invoke(main, ["check", str(tmp_path)]).stdout)
    assert lines[4] == "             f_s 40 Hz, Q_ts 0.39, V_as 19 l, R_e 5.7 ohm"


def test_one_mistake_in_the_piston_is_one_fault(faults_of: FaultsOf) -> None:
    for old, new in (
        ('piston_diameter = "120 mm"', 'piston_diameter = "120"'),
        ('piston_diameter = "120 mm"', 'piston_diametre = "120 mm"'),
        ('piston_diameter = "120 mm"', ""),
        ("sensitivity = 88.0", 'ring_inner_diameter = "90"'),
    ):
        assert len(faults_of(replaced(DRIVEN, old, new))) == 1


def test_a_ring_of_unknown_hole_contradicts_nothing(tmp_path: Path, faults_of: FaultsOf) -> None:
    # With a hole of 60 mm in 120 mm the area is 3/4, and V_as 9/16, of what they are without.
    text = replaced(DRIVEN, '"19 l"', '"10.69 l"')
    text = replaced(text, "sensitivity = 88.0", 'ring_inner_diameter = "60 mm"')
    assert read(tmp_path, text).warnings == ()
    (fault,) = faults_of(replaced(text, '"60 mm"', '"60"'))
    assert fault.key == "drivers.woofer.ring_inner_diameter"


def test_a_ring_by_its_area_fits_its_frame(faults_of: FaultsOf) -> None:
    text = replaced(DRIVEN, 'piston_diameter = "120 mm"\n', "")
    text = replaced(text, "sensitivity = 88.0", 'ring_inner_diameter = "126 mm"')
    # 126² + 4 · 11310/π = 174².
    (fault,) = faults_of(replaced(text, "measured =", 'effective_area = "113.1 cm2"\nmeasured ='))
    assert fault.key == "drivers.woofer.ring_inner_diameter"
    assert "a piston of 174.0" in fault.message
    assert "larger than the frame (165 mm)" in fault.message


def test_a_voice_coil_by_itself_is_a_warning(tmp_path: Path) -> None:
    case = read(tmp_path, GOOD + '[drivers.woofer.voice_coil]\ninductance = "0.1 mH"\n')
    (warning,) = case.warnings
    assert "drivers.woofer.voice_coil: says nothing without" in warning
