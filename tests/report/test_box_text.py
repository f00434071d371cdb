"""A box study in words: what it must say of reach, limits, ports, volumes and the amplifier."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from acoustics.case import read_case
from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier
from acoustics.report import box_text
from acoustics.studies import box_study
from support.boxes import FS, boxed, parameters, vented, with_enclosure
from support.cases import CASES

B4 = 1 / math.sqrt(4 + 2 * math.sqrt(2))


def words(case, **options):
    text = box_text(box_study(case, load=False, **options))
    assert max(map(len, text.splitlines())) <= 88
    assert text.endswith("\n")
    assert not text.endswith("\n\n")
    return " ".join(text.split())


def with_driver(case, **changes):
    return replace(case, drivers=(replace(case.drivers[0], **changes), *case.drivers[1:]))


@pytest.fixture(scope="module")
def butterworth():
    """B4 in 14.1 l at 40 Hz: half power at 40 Hz (Thiele 1971), a port of 50 mm."""
    case = vented(parameters(FS, B4), math.sqrt(2), 1.0)
    return with_driver(case, most_displacement=0.005, power=60.0, rated_impedance=8.0)


def test_reach_loudness_and_limits(butterworth):
    said = words(butterworth)
    assert "driver in 14.1 l, vented, tuned to 40 Hz: 3 dB down at 40 Hz, 6 dB down at" in said
    assert "From 40 Hz to 200 Hz it plays at least" in said
    assert "limited by the air speed in the port" in said
    assert "The air in its port is too fast" in said
    assert "10 to" in said.split("What limits:")[1][:10]
    assert "Not stated, so not counted: the amplifier." in said
    assert "of 5 mm allowed to either side" in said
    assert "the air load is that with which the drivers were measured" in said.lower()


def test_the_port(butterworth):
    said = words(butterworth)
    port = butterworth.enclosures[0].ports[0]
    assert f"port: 50 mm across, {1000 * port.length:.0f} mm long." in said
    # Half a wave along the port, c/(2l).
    assert f"half a wave of {343.0 / (2 * port.length):.0f} Hz" in said
    assert "Too fast: as loud as everything else allows, its air reaches" in said
    assert "above 17 m/s a port is heard (common practice)" in said
    assert "What would help: a port" in said
    assert "a larger area at the same tuning means a longer port" in said
    quiet = words(with_driver(butterworth, power=0.1))
    assert "Slow enough: at full level its air reaches" in quiet
    assert "too fast" not in quiet.lower()


def test_a_port_longer_than_the_cabinet_is_deep(butterworth):
    """The cabinet of the case is 300 mm deep, 220 mm wide and 380 mm high."""
    port = butterworth.enclosures[0].ports[0]

    def of(length, face):
        long = replace(port, length=length, face=face)
        return words(with_enclosure(butterworth, ports=(long,)))

    # Half the port's 50 mm stay free before the opposite outside; no wall is stated.
    assert "Too long: behind the mouth of port there is room for 275 mm" in of(0.28, "back")
    assert "Its port is too long for the cabinet." in of(0.28, "back")
    assert "Too long" not in of(0.27, "back")
    assert "there is room for 195 mm" in of(0.20, "left")
    assert "Too long" not in of(0.28, "top")


def test_volumes_and_amplifier(butterworth):
    gross = butterworth.enclosures[0].gross
    taken = (("drivers", 0.0006), ("ports", 0.0005), ("braces", 0.0004))
    case = with_enclosure(butterworth, gross=gross + 0.0015, taken=taken)
    said = words(replace(case, amplifier=Amplifier(power=60.0, lowest_impedance=4.0)))
    assert "15.6 l gross, of which drivers 0.6 l, ports 0.5 l and braces 0.4 l are taken" in said
    assert "14.1 l net" in said
    assert "the amplifier is made for 4 ohm and more" in said
    weak = words(replace(case, amplifier=Amplifier(power=60.0, lowest_impedance=8.0)))
    assert "too low for an amplifier made for 8 ohm and more" in weak


def test_classic_alignments_are_a_table(butterworth):
    said = words(butterworth)
    assert "closed, Q 0.50 critical" in said
    assert "vented, B4 14.1 l 40 Hz 40 Hz 0.0 dB 50 mm" in said


def test_cautions_come_last(butterworth):
    text = box_text(box_study(butterworth, load=False))
    last = text.split("Before you build and measure")[1]
    assert "no loud sweeps down there" in " ".join(last.split())
    assert "hearing protection" in last
    closed = words(boxed(parameters(FS, 0.35), 3.0))
    assert "no loud sweeps down there" not in closed
    assert "tweeter driven without its crossover" in closed


def test_what_is_not_known_is_said():
    said = words(boxed(parameters(FS, 0.35), 3.0))
    assert "How loud it plays cannot be told, because no limit is stated" in said
    assert "Total Q at its resonance of 80 Hz: 0.70" in said
    own = words(boxed(parameters(60.0, 0.7)))
    assert "driver in no enclosure: 3 dB down" in own
    assert "driver is in no enclosure: what was behind it when the parameters were" in own
    assert "Classic alignments" not in own
    assert "Volume" not in own


def test_the_brief_is_held_against_the_reach(butterworth):
    assert "The brief asks for 50 Hz within 6 dB: reached." in words(
        replace(butterworth, brief=Brief(reach=50.0))
    )
    assert "The brief asks for 25 Hz within 6 dB: not reached." in words(
        replace(butterworth, brief=Brief(reach=25.0))
    )


def test_the_box_that_was_looked_for(butterworth):
    case = with_enclosure(butterworth, leakage_q=7.0)
    said = words(case, find="deep", most_volume=0.025)
    assert "box: within 25 l net, the deepest is 25 l, vented, tuned to" in said
    assert "in the present 14.1 l tuned to 40 Hz" in said
    assert "All the volume that was allowed is used." in said
    assert "mm at present)" in said
    loud = words(
        with_driver(boxed(parameters(FS, 0.35), 3.1), most_displacement=0.004), find="loud"
    )
    # What a cone's displacement gives does not depend on its box.
    assert "nothing is notably louder than the present" in loud


def test_the_depth_found_is_the_one_told_elsewhere(butterworth):
    """The search leaves the cabinet's air load out, the study does not."""
    study = box_study(butterworth, find="deep", most_volume=0.025, load=False)
    sought = study.assign(found_figure=0.9 * study.found_figure)
    said = " ".join(box_text(sought).split())
    assert said.count(f"6 dB down at {float(study.f6[0]):.3g} Hz") == 2


def test_a_box_above_a_crossover_is_not_looked_for():
    case = read_case(CASES / "floorstander")
    said = words(case, find="deep")
    assert "- middle: stays as it is, for nothing in it plays the bass." in said
    assert "- bass: within " in said
    middle = replace(case, enclosures=case.enclosures[:1])
    assert middle.enclosures[0].name == "middle"
    assert "- middle: within " in words(middle, find="deep")


def test_passive_radiators():
    case = vented(parameters(FS, 0.4), 1.2, 0.7, q_leak=10.0, passive=True, passive_resonance=15.0)
    said = words(case, find="flat")
    assert "The passive radiator" in said
    assert "than at present" in said
    assert "how far it may is not stated" in said
    assert "the passive radiator's displacement" in said


def test_two_enclosures_have_sections_of_their_own(butterworth):
    first, box = butterworth.drivers[0], butterworth.enclosures[0]
    second = replace(first, name="second")
    closed = replace(box, name="other", kind="closed", drivers=("second",), ports=())
    both = replace(butterworth, drivers=(first, second), enclosures=(box, closed))
    said = words(both)
    for title in ("How low: box", "How low: other", "Volume: other", "Classic alignments: box"):
        assert title in said
    assert "The port: other" not in said
