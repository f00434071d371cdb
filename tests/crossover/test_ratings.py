"""What parts must stand: Ohm's law, dividers and the series resonance, worked out by hand."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.network_model import Element
from acoustics.crossover.network import solve_network
from acoustics.crossover.ratings import (
    POWERS,
    VOLTAGES,
    Demand,
    demands,
    power_rating,
    programme_voltage,
    rounded_up,
    shared,
    voltage_rating,
)
from support.cases import make_case

FREQUENCY = 1000 * 2 ** (np.arange(-135, 104) / 24)
VOLTS = 20.0


def asked(elements, ohm=8.0, volts=VOLTS):
    load = np.full((1, 1, FREQUENCY.size), 1 / ohm + 0j)
    found = solve_network([elements], load, FREQUENCY)
    return demands(found.part_voltage, found.part_current, FREQUENCY, volts)


def low_passed(corner, a=20.0, b=20_000.0):
    """What a first-order low-pass leaves of pink noise: ∫|H|² d(ln f) from a to b, over ln(b/a)."""
    whole = np.log(b**2 * (corner**2 + a**2) / (a**2 * (corner**2 + b**2))) / 2
    return whole / np.log(b / a)


def test_a_pad_of_one_resistor_by_ohms_law():
    """8 ohm before 8 ohm at 20 V: 1.25 A, 10 V, 12.5 W; a peak is twice the rms value."""
    (pad,) = asked([Element("series", resistor=8.0)])
    assert pad.power == pytest.approx(12.5, rel=1e-3)
    assert pad.rms == pytest.approx(1.25, rel=1e-3)
    assert pad.voltage == pytest.approx(20.0, rel=1e-3)
    assert pad.current == pytest.approx(2.5, rel=1e-3)
    # A sine of the same rms voltage: √2 times 10 V and 1.25 A.
    assert pad.sine_voltage == pytest.approx(np.sqrt(2) * 10.0)
    assert pad.sine_current == pytest.approx(np.sqrt(2) * 1.25)
    assert (pad.most_voltage, pad.most_current) == (pad.voltage, pad.current)
    # Twice 12.5 W is 25 W, of which the next that is sold is 50 W.
    assert power_rating(pad) == 50.0


def test_a_resistor_that_no_usual_one_can_be():
    """8 ohm across 20 V take 50 W, and twice that is sold by nobody."""
    (shunt,) = asked([Element("across", resistor=8.0)])
    assert shunt.power == pytest.approx(50.0, rel=1e-3)
    assert power_rating(shunt) is None


def test_a_capacitor_in_the_way_holds_back_all_of_a_low_sine():
    """It and 8 ohm divide the voltage as X : √(X² + R²), X = 1/ωC."""
    size = 1e-5
    for volts, rating in ((20.0, 50.0), (38.0, 63.0), (60.0, 100.0), (70.0, 160.0)):
        (part,) = asked([Element("series", capacitor=size)], volts=volts)
        x = 1 / (2 * np.pi * FREQUENCY[0] * size)
        assert part.sine_voltage == pytest.approx(np.sqrt(2) * volts * x / np.hypot(x, 8.0))
        assert part.voltage_at == FREQUENCY[0]
        over = volts * np.sqrt(low_passed(1 / (2 * np.pi * 8.0 * size)))
        assert part.voltage == pytest.approx(2 * over, rel=2e-3)
        assert part.most_voltage == part.voltage
        assert voltage_rating(part) == rating
    # At the top it is a short, and all of the voltage drives its current.
    x = 1 / (2 * np.pi * FREQUENCY[-1] * size)
    assert part.sine_current == pytest.approx(np.sqrt(2) * 70.0 / np.hypot(x, 8.0))
    assert part.current_at == FREQUENCY[-1]
    assert part.power == pytest.approx(0.0, abs=1e-9)


def test_at_a_resonance_a_capacitor_stands_q_times_the_voltage():
    """Series resonance: Q = √(L/C)/R (any handbook of circuits)."""
    coil, size, ohm = 1e-3, 1e-3 / 40.0**2, 2.0  # √(L/C) = 40 ohm, Q = 20
    trap, _ = reversed(
        asked([Element("across", inductor=coil, capacitor=size, resistance=ohm)], volts=VOLTS)
    )
    at = 1 / (2 * np.pi * np.sqrt(coil * size))
    assert trap.voltage_at == pytest.approx(at, rel=0.02)
    assert trap.sine_voltage == pytest.approx(np.sqrt(2) * 20 * VOLTS, rel=0.15)
    assert trap.sine_voltage <= np.sqrt(2) * 20.1 * VOLTS
    assert trap.most_voltage == trap.sine_voltage > trap.voltage
    assert voltage_rating(trap) == 630.0
    more = asked([Element("across", inductor=coil, capacitor=size, resistance=ohm)], volts=30.0)
    assert voltage_rating(more[1]) is None


def test_a_coil_in_the_way_carries_the_low_end():
    """A sine of 20 V through ωL and 8.5 ohm, most at the lowest frequency."""
    (coil,) = asked([Element("series", inductor=2e-3, resistance=0.5)])
    x = 2 * np.pi * FREQUENCY[0] * 2e-3
    assert coil.sine_current == pytest.approx(np.sqrt(2) * VOLTS / np.hypot(8.5, x))
    assert coil.current_at == FREQUENCY[0]
    # The programme's is that of a low-pass with its corner at R/2πL.
    rms = VOLTS / 8.5 * np.sqrt(low_passed(8.5 / (2 * np.pi * 2e-3)))
    assert coil.rms == pytest.approx(rms, rel=3e-3)
    # What heats the wire is what a current of that rms value leaves in 0.5 ohm.
    assert coil.power == pytest.approx(0.5 * coil.rms**2)
    assert coil.most_current == max(coil.sine_current, 2 * coil.rms)


def test_usual_values():
    assert rounded_up(49.0, VOLTAGES) == 50.0
    assert rounded_up(50.0, VOLTAGES) == 50.0
    assert rounded_up(50.1, VOLTAGES) == 63.0
    assert rounded_up(101.0, VOLTAGES) == 160.0
    assert rounded_up(631.0, VOLTAGES) is None
    # Twice the average power is sold, not the average power.
    just = Demand(5.0, 0, 0, 0, 0, 0, 0, 0)
    assert power_rating(just) == 10.0
    assert rounded_up(0.0, POWERS) == 1.0


def test_without_an_amplifier_it_is_2_83_volt():
    assert programme_voltage(make_case()) == 2.83


def test_pieces_side_by_side_share_the_current_and_bear_the_whole_voltage():
    """Current divides as the capacities do (Kirchhoff); so does what their losses take."""
    whole = Demand(
        power=6.0, rms=1.5, voltage=40.0, current=3.0, sine_voltage=28.0, sine_current=2.1,
        voltage_at=90.0, current_at=900.0,
    )  # fmt: skip
    for part in (0.25, 0.75):
        one = shared(whole, current=part)
        assert (one.voltage, one.sine_voltage) == (40.0, 28.0)
        assert (one.rms, one.current) == pytest.approx((1.5 * part, 3.0 * part))
        assert one.sine_current == pytest.approx(2.1 * part)
        assert one.power == pytest.approx(6.0 * part)
        assert (one.voltage_at, one.current_at) == (90.0, 900.0)


def test_pieces_one_after_the_other_share_the_voltage_and_carry_the_whole_current():
    """Two resistors of 1 and 3 ohm in the way of 8 ohm, against one of 4 ohm (Ohm's law)."""
    (whole,) = asked([Element("series", resistor=4.0)])
    each = asked([Element("series", resistor=1.0), Element("series", resistor=3.0)])
    for one, part in zip(each, (0.25, 0.75), strict=True):
        found = shared(whole, voltage=part)
        for name in ("power", "rms", "voltage", "current", "sine_voltage", "sine_current"):
            assert getattr(found, name) == pytest.approx(getattr(one, name), rel=1e-9)


def test_each_of_the_usual_values_is_sold():
    """Resistors in steps of 1, 2 and 5; capacitors in fifths of a decade, R5 of ISO 3, and 50 V.

    Both as shops have them (common practice, no source); ISO 3 from memory.
    """
    assert [rounded_up(watt * 0.99, POWERS) for watt in (1, 2, 5, 10, 20, 50)] == list(POWERS)
    for watt, more in itertools.pairwise((1.0, 2.0, 5.0, 10.0, 20.0, 50.0)):
        assert rounded_up(watt * 1.01, POWERS) == more
    for volt, more in itertools.pairwise((50.0, 63.0, 100.0, 160.0, 250.0, 400.0, 630.0)):
        assert rounded_up(volt, VOLTAGES) == volt
        assert rounded_up(volt * 1.01, VOLTAGES) == more
    # What rounding added to a value does not need the next.
    assert rounded_up(math.nextafter(630.0, 1000.0), VOLTAGES) == 630.0


def test_the_higher_peak_counts_whichever_it_is():
    programme = Demand(1.0, 1.0, 40.0, 3.0, 28.0, 2.0, 90.0, 900.0)
    sine = Demand(1.0, 1.0, 28.0, 2.0, 40.0, 3.0, 90.0, 900.0)
    for one in (programme, sine):
        assert (one.most_voltage, one.most_current) == (40.0, 3.0)
        assert voltage_rating(one) == 50.0
    assert shared(programme) == programme


def test_the_amplifier_says_how_strong_the_programme_is():
    """√(P·R): 50 W into 8 ohm are 20 V; none for one whose power is not stated."""
    case = make_case()
    ohm = case.drivers[0].rated_impedance
    assert programme_voltage(replace(case, amplifier=Amplifier())) == 2.83
    stated = programme_voltage(replace(case, amplifier=Amplifier(power=50.0)))
    assert stated == pytest.approx(math.sqrt(50.0 * (ohm or 8.0)))
