"""The passive crossover in words: a coil and a capacitor before resistors, worked out by hand."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.case.design.network_model import Element
from acoustics.prediction import predict
from acoustics.report.passive_crossover import passive_crossover
from acoustics.report.summary import summary
from support.boxes import FS, boxed, parameters
from support.cases import make_case, make_driver
from support.free_field import solve_free_field

DRIVERS = (
    make_driver("woofer", -0.05, rated_impedance=8.0, power=20.0),
    make_driver("tweeter", 0.10, rated_impedance=8.0),
)
CROSSOVER = (
    Branch("woofer", slopes="passive", elements=(Element("across", resistor=8.0),)),
    Branch("tweeter", slopes="passive", elements=(Element("series", resistor=8.0),)),
)
AMPLIFIER = Amplifier(power=50.0, into=8.0, lowest_impedance=3.0)  # 20 V


def text_of(one_line=True, **changes):
    values = {
        "drivers": DRIVERS,
        "crossover": CROSSOVER,
        "amplifier": AMPLIFIER,
        "frequencies": FrequencyGrid(20.0, 20_000.0, 24),
        **changes,
    }
    case = make_case(**values)
    text = summary(case, predict(case, solve=solve_free_field))
    return " ".join(text.split()) if one_line else text


def test_figures_of_resistors():
    """8, 8 and 16 ohm in parallel on 20 V: 50 W in the first two, 25 W shared by the third."""
    text = text_of()
    assert "The passive crossover" in text
    assert "sees at least 3.20 ohm, at 20.3 Hz with a phase of 0°: it is made for 3 ohm or" in text
    assert "pink noise of 20.0 V rms from 20 Hz to 20 kHz (the amplifier's highest, 50 W" in text
    assert "then take: woofer 50 W of its 20 W and tweeter 12 W. That is more than woofer" in text
    assert "twice their average power (common practice): R1 100 W and R2 25 W." in text
    assert "woofer counts as a resistor of 8 ohm, its rated impedance" in text
    assert "add [drivers.woofer.small_signal]" in text
    assert "as predicted, counts" not in text
    assert "Capacitors hold their charge" in text
    table = [line.split() for line in text_of(one_line=False).splitlines() if "8 ohm  " in line]
    # Peaks are twice the rms values.
    assert ["R1", "8", "ohm", "woofer", "50.0", "40.0", "5.0"] in table
    assert ["R2", "8", "ohm", "tweeter", "12.5", "20.0", "2.5"] in table


def test_too_low_an_impedance_is_to_be_changed():
    text = text_of(amplifier=replace(AMPLIFIER, lowest_impedance=4.0))
    assert "less than the 4 ohm it is made for" in text
    changes = text[text.index("What to change") : text.index("How even")]
    assert "draws the impedance down to 3.20 ohm at 20.3 Hz" in changes
    assert "draws the impedance down" not in text_of()


def test_what_is_not_stated_is_said():
    text = text_of(amplifier=None)
    assert "whether that is enough takes amplifier.lowest_impedance" in text
    assert "pink noise of 2.8 V rms" in text
    assert "amplifier.power is not stated" in text
    part = text_of(frequencies=FrequencyGrid(200.0, 20_000.0, 24))
    assert "Only its part at 204 Hz to 19.6 kHz, as predicted, counts" in part
    # log(100)/log(1000) of 50 W is 33.3 W
    assert "woofer 33 W of its 20 W" in part


def test_without_a_passive_branch_there_is_no_section(summed_up):
    text = summed_up()
    assert "passive" not in text
    assert "Capacitors" not in text


def test_a_driver_with_an_amplifier_of_its_own_in_the_same_box():
    one = boxed(parameters(FS, 0.4), 2.0, leakage_q=7.0)
    box = replace(one.enclosures[0], drivers=("driver", "second"))
    second = replace(one.drivers[0], name="second", position=(0.0, -0.1))
    straight = (Branch("driver", slopes="passive"),)
    case = replace(
        one,
        drivers=(one.drivers[0], second),
        enclosures=(box,),
        crossover=straight,
        frequencies=FrequencyGrid(20.0, 20_000.0, 6),
    )
    points, table = passive_crossover(case, predict(case, solve=solve_free_field))
    assert table == ""
    assert "In box sit drivers on the passive crossover and others" in points[-1]
    both = (*straight, Branch("second", slopes="passive"))
    alike = replace(case, crossover=both)
    points, _ = passive_crossover(alike, predict(alike, solve=solve_free_field))
    assert "In box" not in " ".join(points)
    least = re.search(r"at least ([0-9.]+) ohm", points[0])
    # Two of 6 ohm and more in parallel.
    assert least is not None
    assert float(least[1]) == pytest.approx(3.0, abs=0.3)
    assert np.isfinite(float(least[1]))
