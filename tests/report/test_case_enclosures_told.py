"""What is said of enclosures, amplifier and brief, of cases made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
import xarray as xr

from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier, Port
from acoustics.report.box_words import box_words, no_enclosure
from acoustics.report.case_enclosures import source_lines
from support.boxes import FS, boxed, parameters
from support.cases import make_case

PLAIN = make_case()


def brief(**wanted):
    return [*source_lines(replace(PLAIN, brief=Brief(**wanted)))]


def test_a_case_without_any_of_it_has_no_lines():
    assert [*source_lines(replace(PLAIN, enclosures=(), amplifier=None, brief=None))] == []


def test_a_closed_box_is_told_with_its_resonance():
    """V_as/V = 3 doubles the resonance: f_s √(1 + 3) (Small 1972)."""
    case = boxed(parameters(FS, 0.4), 3.0)
    (line,) = source_lines(case)
    assert line.startswith("  enclosure  box: closed, driver in 6.67 l")
    assert line.endswith("; resonates at 80 Hz")
    # What fills part of the volume is told, and a driver that does not say what it takes.
    box = case.enclosures[0]
    filled = replace(box, gross=box.volume + 0.0005, taken=(("braces", 0.0005),))
    (line,) = source_lines(replace(case, enclosures=(filled,)))
    assert "6.67 l: 7.17 l less braces 0.5 l" in line
    assert "what driver takes is not stated" in line
    known = replace(case.drivers[0], displaced_volume=0.0004)
    (line,) = source_lines(replace(case, drivers=(known,)))
    assert "not stated" not in line


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "0 ohm with its cable"),
        ({"resistance": 0.1}, "0.1 ohm with its cable"),
        ({"power": 60.0, "into": 4.0}, "60 W into 4 ohm, 0 ohm with its cable"),
        ({"lowest_impedance": 3.0}, "for 3 ohm or more, 0 ohm with its cable"),
    ],
)
def test_an_amplifier_is_told_by_what_is_known_of_it(changes, told):
    (line,) = source_lines(replace(PLAIN, amplifier=Amplifier(**changes)))
    assert line == f"  amplifier  {told}"


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        ({"level": 85.0}, "at least 85 dB in the listening window"),
        ({"tilt": (-1.5, -0.5)}, "tilt -1.5 to -0.5 dB per octave"),
        ({"reach": 45.0}, "down to 45 Hz"),
        ({"seat_level": 78.0}, "at least 78 dB at the main seat"),
        ({"width": 0.2}, "at most 200 mm wide"),
        ({"width": 0.2, "depth": 0.3}, "at most 200 mm wide and 300 mm deep"),
        ({"height": 1.1}, "at most 1100 mm high"),
        ({"distance": 2.5}, "heard at 2.5 m"),
        ({"ear_height": 0.9}, "ears at 0.9 m"),
        ({"surfaces": ("floor", "front wall")}, "with floor and front wall"),
        ({"budget": 400.0}, "drivers for at most 400"),
    ],
)
def test_each_wish_of_a_brief_is_told_and_no_other(wanted, told):
    assert brief(**wanted) == [f"  brief      {told}"]


def test_wishes_are_told_in_a_row():
    assert brief(level=85.0, reach=45.0, budget=400.0) == [
        "  brief      at least 85 dB in the listening window; down to 45 Hz; "
        "drivers for at most 400"
    ]


def test_ports_lie_below_their_enclosure_round_ones_and_slots():
    case = boxed(parameters(FS, 0.4), 2.0)
    ports = (
        Port("bass", (0.05,), 0.12, (0.0, -0.1), face="back"),
        Port("gap", (0.12, 0.02), 0.2, (0.0, -0.1)),
    )
    box = replace(case.enclosures[0], kind="vented", ports=ports)
    line, one, other = source_lines(replace(case, enclosures=(box,)))
    assert "; tuned to " in line
    assert one == " " * 13 + "port bass: 50 mm across, 120 mm long, on the back face"
    assert other == " " * 13 + "port gap: slot of 120 mm by 20 mm, 200 mm long, on the front face"


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("closed", "woofer in 14 l, closed, resonance 62 Hz"),
        ("vented", "woofer in 14 l, vented, tuned to 62 Hz"),
        ("passive radiator", "woofer in 14 l, with passive radiator, tuned to 62 Hz"),
    ],
)
def test_a_box_in_a_few_words(kind, told):
    box = xr.Dataset(
        {"tuning": 62.0, "net_volume": 0.014},
        coords={"enclosure_kind": kind, "enclosure_drivers": "woofer"},
    )
    assert box_words(box) == told
    assert box_words(box, named=False) == told.removeprefix("woofer in ")


def test_drivers_in_no_enclosure_are_told_with_what_is_taken_of_them():
    assert no_enclosure([]) == []
    (one,) = no_enclosure(["woofer"])
    assert one.startswith("woofer is in no enclosure: what was behind it when ")
    (two,) = no_enclosure(["woofer", "mid"])
    assert two.startswith("woofer and mid are in no enclosure: what was behind each of them when ")
