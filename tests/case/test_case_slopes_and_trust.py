"""Acoustic slopes, breakup, and aims that rest on no driver."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import GOOD, line_with, replaced

from acoustics.case import read_case
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

GAIN = "gain = -5.0"
RIPPLE = 'measure = "ripple"\nband = ["300 Hz", "10 kHz"]'


@pytest.mark.parametrize(
    ("new", "key", "at", "said"),
    [
        (
            'slopes = "acoustic"',
            "level",
            "[crossover.tweeter]",
            "acoustic slopes have a level; add it, for example level = 84.0",
        ),
        (
            'slopes = "acoustic"\nlevel = 84\ngain = 0',
            "gain",
            "gain = 0",
            "acoustic slopes have no gain; set level in its place",
        ),
        (
            "level = 84",
            "level",
            "level",
            "electrical slopes have gain and no level; leave the key out or write slopes = "
            '"acoustic"',
        ),
        (
            'slopes = "electrical"\nmost_gain = 6',
            "most_gain",
            "most_gain",
            "electrical slopes have no most_gain; leave the key out or write slopes",
        ),
        ('slopes = "acustic"', "slopes", "slopes", "did you mean 'acoustic'?"),
        ('slopes = "acoustic"\nlevel = 29', "level", "level", "a number from 30 to 150 dB"),
        ('slopes = "acoustic"\nlevel = 151', "level", "level", "a number from 30 to 150 dB"),
        ('slopes = "acoustic"\nlevel = "84 dB"', "level", "level", "without quotes or unit"),
        (
            'slopes = "acoustic"\nlevel = 84\nmost_gain = 41',
            "most_gain",
            "most_gain",
            "a number from 0 to 40 dB",
        ),
        (
            'slopes = "acoustic"\nlevel = 84\nmost_gain = -1',
            "most_gain",
            "most_gain",
            "a number from 0 to 40 dB",
        ),
        ('slopes = "acoustic"\nlevle = 84', "levle", "levle", "did you mean 'level'?"),
        ('slops = "acoustic"\nlevel = 84', "slops", "slops", "did you mean 'slopes'?"),
        ('slops = "acoustic"', "slops", "slops", "did you mean 'slopes'?"),
        ('slopes = "acustic"\nlevel = 84', "slopes", "slopes", "did you mean 'acoustic'?"),
    ],
)
def test_a_fault_of_the_slopes(faults_of: FaultsOf, new: str, key: str, at: str, said: str) -> None:
    text = replaced(GOOD, GAIN, new)
    (fault,) = faults_of(text)
    assert fault.key == f"crossover.tweeter.{key}"
    assert said in fault.message
    assert fault.line == line_with(text, at)


def test_a_full_range_target_has_no_sections(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(
        GOOD + '[crossover.woofer]\nslopes = "acoustic"\nlevel = 30\nmost_gain = 0\n'
    )
    branch = read_case(tmp_path).crossover[1]
    assert (branch.sections, branch.level, branch.most_gain) == ((), 30.0, 0.0)


@pytest.mark.parametrize("breakup", ['"99 Hz"', '"101 kHz"'])
def test_the_range_of_a_breakup(faults_of: FaultsOf, breakup: str) -> None:
    text = replaced(GOOD, "sensitivity = 88.0", f"sensitivity = 88.0\nbreakup = {breakup}")
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("drivers.woofer.breakup", line_with(text, "breakup"))
    assert "write a value from 100 Hz to 100 kHz" in fault.message


def aim(measure: str, where: str, band: str) -> str:
    return f'measure = "{measure}"\nwhere = "{where}"\nband = [{band}]'


@pytest.mark.parametrize("measure", ["ripple", "tilt", "level"])
@pytest.mark.parametrize("where", ["reference axis", "listening window", "seat"])
def test_an_aim_where_no_driver_is_a_piston(
    faults_of: FaultsOf, tmp_path: Path, measure: str, where: str
) -> None:
    # ka = 3 of a 25 mm piston in air of 20 °C (343.2 m/s): 3 · 343.2/(π 0.025) = 13.11 kHz.
    text = replaced(GOOD, RIPPLE, aim(measure, where, '"13.2 kHz", "20 kHz"'))
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("aims.1.band", line_with(text, 'band = ["13.2'))
    assert fault.message == (
        "the band starts at 13.2 kHz, where no driver moves as a flat piston any longer: the "
        "last, 'tweeter', does so up to 13.1 kHz; take a lower band or leave the aim out"
    )
    (tmp_path / "case.toml").write_text(
        replaced(GOOD, RIPPLE, aim(measure, where, '"13 kHz", "20 kHz"'))
    )
    assert read_case(tmp_path).aims[0].where == where


def test_a_breakup_is_the_end_of_trust(faults_of: FaultsOf) -> None:
    text = replaced(GOOD, RIPPLE, aim("level", "listening window", '"4 kHz", "10 kHz"'))
    text = replaced(text, "sensitivity = 90.0", 'sensitivity = 90.0\nbreakup = "3.5 kHz"')
    (fault,) = faults_of(text)
    # The woofer's 120 mm reach ka = 3 sooner: at 3 · 343.2/(π 0.12) = 2.73 kHz.
    assert "the last, 'tweeter', does so up to 3.5 kHz" in fault.message


def test_warm_air_moves_the_end_of_trust(tmp_path: Path, faults_of: FaultsOf) -> None:
    # 13.2 kHz is beyond ka = 3 at 20 °C; at 60 °C sound is faster: 365.9 m/s, so 13.98 kHz.
    text = replaced(GOOD, RIPPLE, aim("tilt", "seat", '"13.9 kHz", "20 kHz"'))
    assert [fault.key for fault in faults_of(text)] == ["aims.1.band"]
    (tmp_path / "case.toml").write_text(text + '[air]\ntemperature = "60 degC"\n')
    assert len(read_case(tmp_path).aims) == 3


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('piston_diameter = "25 mm"', 'piston_diameter = "25"', "drivers.tweeter.piston_diameter"),
        ("sensitivity = 90.0", 'sensitivity = 90.0\nbreakup = "x"', "drivers.tweeter.breakup"),
        ("accuracy = 0.05", 'accuracy = 0.05\n[air]\ntemperature = "x"', "air.temperature"),
    ],
)
def test_what_is_not_known_is_not_held_against_an_aim(
    faults_of: FaultsOf, old: str, new: str, key: str
) -> None:
    text = replaced(GOOD, RIPPLE, aim("tilt", "seat", '"14 kHz", "20 kHz"'))
    found = [fault.key for fault in faults_of(replaced(text, old, new))]
    assert key in found
    assert "aims.1.band" not in found


@pytest.mark.parametrize("measure", ["beamwidth", "floor dip", "lobe window"])
def test_what_is_not_taken_in_the_listening_window(faults_of: FaultsOf, measure: str) -> None:
    limit = {"beamwidth": '"9 deg"', "floor dip": "9", "lobe window": '"9 cm"'}[measure]
    place = "reference axis" if measure == "beamwidth" else "seat"
    where = 'where = "listening window"'
    (fault,) = faults_of(f'{GOOD}[[aims]]\nmeasure = "{measure}"\n{where}\nat_least = {limit}\n')
    assert fault.key == "aims.4.where"
    assert fault.message == (f'a {measure} is not taken at "listening window"; write "{place}"')
