"""Passive branches of the crossover in a case file."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from bench_text import PARTS, replaced, unwrapped, with_parts
from click.testing import CliRunner

from acoustics.case import Element, read_case
from acoustics.case.text.units import CAPACITANCE, UnitError, parse
from acoustics.cli.main import main
from acoustics.conventions import Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

SWEEP = """
[[sweep.over]]
key = "crossover.tweeter.parts.1.capacitor"
name = "first"
values = ["4.7 uF", "5600 nF"]
"""


@pytest.mark.parametrize(
    ("text", "farads"),
    # Prefixes: SI brochure, 9th edition (2019), table 7.
    [
        ("5.6 uF", 5.6e-6),
        ("5.6 \u00b5F", 5.6e-6),  # micro sign
        ("5.6 \u03bcF", 5.6e-6),  # Greek mu
        ("820nF", 820e-9),
        ("47 pF", 47e-12),
        ("1e-6 F", 1e-6),
    ],
)
def test_capacitances(text: str, farads: float) -> None:
    assert parse(text, CAPACITANCE) == pytest.approx(farads, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("5,6 uF", "write 5.6 with a point"),
        ("5.6", 'has no unit; write it in quotes with uF, nF or pF, for example "5.6 uF"'),
        ("5.6 uf", 'did you mean "5.6 uF"?'),
        ("5.6 mH", "is not a capacitance"),
    ],
)
def test_what_is_no_capacitance(text: str, told: str) -> None:
    with pytest.raises(UnitError, match=re.escape(told)):
        parse(text, CAPACITANCE)


def test_parts_come_out_in_si_units(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(with_parts(), encoding="utf-8")
    case = read_case(tmp_path)
    (branch,) = case.crossover
    assert (branch.slopes, branch.inverted) == ("passive", True)
    assert branch.elements == (
        Element("series", capacitor=5.6e-6, resistance=0.05),
        Element("across", inductor=0.27e-3, resistance=0.2, core_resistance=300.0),
        Element("series", resistor=2.2, name="pad"),
        Element("across", resistor=8.2, capacitor=3.3e-6),
        Element("series", inductor=0.5e-3, capacitor=10e-6, resistor=4.7, joined="side by side"),
    )
    assert case.is_passive("tweeter")
    assert not case.is_passive("woofer")


def test_every_part_counts_in_the_digest(tmp_path: Path) -> None:
    digests = set()
    for value in ("5.6 uF", "5.61 uF"):
        (tmp_path / "case.toml").write_text(with_parts().replace("5.6 uF", value))
        digests.add(read_case(tmp_path).digest)
    assert len(digests) == 2


ONE_FAULT = [
    ('"5.6 uF", res', '"5,6 uF", res', "parts.1.capacitor", "write 5.6 with a point"),
    ('"5.6 uF", res', '"5.6 mH", res', "parts.1.capacitor", "is not a capacitance"),
    ('"5.6 uF", res', '"5.6 F", res', "parts.1.capacitor", "write a value from 1 pF to 0.1 F"),
    ('"5.6 uF", res', "5.6, res", "parts.1.capacitor", "has no unit"),
    ('capacitor = "5.6', 'capacitr = "5.6', "parts.1.capacitr", "did you mean 'capacitor'?"),
    ('capacitor = "3.3', 'capacity = "3.3', "parts.4.capacity", "did you mean 'capacitor'?"),
    ('inductor = "0.27', 'inductr = "0.27', "parts.2.inductr", "did you mean 'inductor'?"),
    ('resistor = "2.2', 'resistr = "2.2', "parts.3.resistr", "did you mean 'resistor'?"),
    ('place = "across", ind', 'place = "parallel", ind', "parts.2.place", "series or across"),
    ('place = "series", resistor', "resistor", "parts.3.place", "the key is missing"),
    ('resistor = "2.2 ohm", ', "", "parts.3.resistor", "there is nothing in this element"),
    (
        'resistor = "2.2 ohm"',
        'resistor = "2.2 ohm", resistance = "1 ohm"',
        "parts.3.resistance",
        "write resistor in its place",
    ),
    (
        'resistor = "2.2 ohm"',
        'resistor = "2.2 ohm", core_resistance = "10 ohm"',
        "parts.3.core_resistance",
        "only a coil has a core",
    ),
    (
        'resistor = "2.2 ohm"',
        'resistor = "2.2 ohm", joined = "side by side"',
        "parts.3.joined",
        "there is one part alone",
    ),
    ('"side by side"', '"parallel"', "parts.5.joined", "one after the other or side by side"),
    ("parts = [", 'delay = "0.1 ms"\nparts = [', "delay", "a passive crossover has no delay"),
    ("parts = [", "gain = -3.0\nparts = [", "gain", "its parts decide"),
    ("parts = [", "level = 84.0\nparts = [", "level", "its parts decide"),
    ('"passive"', '"passve"', "slopes", "passive"),
    ('"passive"', '"electrical"', "parts", "electrical slopes have no parts"),
]


@pytest.mark.parametrize(("old", "new", "key", "told"), ONE_FAULT)
def test_one_slip_is_one_fault(
    old: str, new: str, key: str, told: str, faults_of: FaultsOf
) -> None:
    (fault,) = faults_of(replaced(with_parts(), old, new))
    assert fault.key == f"crossover.tweeter.{key}"
    assert told in fault.message
    assert fault.line is not None


def test_parts_must_be_there_and_sections_must_not(faults_of: FaultsOf) -> None:
    bare = '[crossover.tweeter]\nslopes = "passive"\n'
    (fault,) = faults_of(with_parts(bare))
    assert fault.key == "crossover.tweeter.parts"
    assert "passive slopes have parts; add them" in fault.message
    section = '[{ type = "peak", frequency = "1 kHz", gain = -3.0, q = 1 }]'
    (fault,) = faults_of(with_parts(PARTS + f"sections = {section}\n"))
    assert fault.key == "crossover.tweeter.sections"
    assert "a passive crossover has no sections" in fault.message


def test_the_drivers_impedance_must_be_known(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(with_parts().replace('rated_impedance = "8 ohm"', ""))
    assert fault.key == "crossover.tweeter.slopes"
    assert "add a table [drivers.tweeter.small_signal], or rated_impedance" in fault.message


def test_two_parts_of_one_name(faults_of: FaultsOf) -> None:
    text = (
        with_parts()
        .replace('"2.2 ohm", name', '"2.2 ohm", name')
        .replace('capacitor = "3.3 uF"', 'capacitor = "3.3 uF", name = "pad"')
    )
    (fault,) = faults_of(text)
    assert fault.key == "crossover.tweeter.parts.4.name"
    assert "another part is called 'pad' too" in fault.message


def test_values_of_parts_can_be_swept(tmp_path: Path, faults_of: FaultsOf) -> None:
    (tmp_path / "case.toml").write_text(with_parts() + SWEEP, encoding="utf-8")
    sweep = read_case(tmp_path).sweep
    assert sweep is not None
    assert sweep.over[0].values == (4.7e-6, 5.6e-6)
    assert sweep.over[0].unit == "F"
    (fault,) = faults_of(with_parts() + SWEEP.replace("parts.1", "parts.6"))
    assert "'6' is no entry of crossover.tweeter.parts: it has 5" in fault.message


def test_check_shows_the_parts_and_who_else_might_hang_there(tmp_path: Path) -> None:
    (tmp_path / "case.toml").write_text(with_parts(), encoding="utf-8")
    result = CliRunner().invoke(main, ["check", str(tmp_path)])
    assert result.exit_code == 0, result.output
    assert "90 dB; passive crossover" in result.stdout
    described = result.stdout.partition("warning")[0]
    (line,) = [line for line in unwrapped(described) if line.startswith("  parts")]
    assert line == (
        "  parts      tweeter: C1 5.6 uF in series; L1 0.27 mH across; pad 2.2 ohm in series; "
        "C2 3.3 uF and R1 8.2 ohm across; L2 0.5 mH beside C3 10 uF beside R2 4.7 ohm in series, "
        "inverted"
    )
    assert "warning" in result.stdout
    assert "drivers.woofer: it has no crossover, so it gets the full signal" in result.stdout
