"""Faults of a passive crossover: a part left out is a line left out, and so on."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.prediction.passive import passive_of
from acoustics.source.motion import motion_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.faults.all_faults import faults_of
from support.cases import shipped_text
from support.verification import changed, design, found, read, some_readings

FREQUENCY = np.geomspace(20.0, 20_000.0, 60)


def solved(case):
    """Voltages at the drivers and the input impedance of a passive crossover, without air load."""
    found = passive_of(case, motion_of(case, FREQUENCY), FREQUENCY)
    assert found is not None
    return found.filters, found.network.input_impedance


@pytest.mark.parametrize(
    ("fault", "line"),
    [
        ("attenuator missing: attenuator of the tweeter", 'resistor = "8.2 ohm"'),
        ("part shorted: capacitor C2 of the tweeter", 'capacitor = "4.7 uF"'),
        ("part missing: inductor L1 of the tweeter", 'inductor = "0.47 mH"'),
        ("part missing: capacitor C3 of the woofer", 'capacitor = "2.7 uF"'),
        ("part missing: capacitor C4 or resistor R1 of the woofer", 'resistor = "3.3 ohm"'),
        ("part shorted: inductor L2 of the woofer", 'inductor = "2.2 mH"'),
    ],
)
def test_a_part_that_is_left_out_is_a_line_that_is_left_out(fault, line, tmp_path):
    text = shipped_text("compact-passive")
    kept = [each for each in text.splitlines() if line not in each]
    assert len(kept) == len(text.splitlines()) - 1
    without = read(tmp_path, "\n".join(kept))
    for now, expected in zip(
        solved(changed("compact-passive", fault)), solved(without), strict=True
    ):
        np.testing.assert_allclose(now, expected, rtol=2e-3)


def test_a_chain_with_a_bridged_part_is_what_is_left_of_it():
    found = changed("compact-passive", "part shorted: capacitor C4 of the woofer")
    (chain,) = found.crossover[1].elements[2:]
    assert (chain.capacitor, chain.resistor) == (None, 3.3)


def test_a_break_in_the_way_silences_the_driver_and_leaves_the_other():
    home = design("compact-passive")
    broken = changed("compact-passive", "part missing: capacitor C1 of the tweeter")
    (tweeter, woofer), _ = solved(broken)
    assert np.all(np.abs(tweeter) < 1e-4)
    np.testing.assert_allclose(woofer, solved(home)[0][1], rtol=0.02)


def two_way(text):
    """The compact passive design with other parts of its tweeter."""
    shipped = shipped_text("compact-passive")
    start = shipped.index("parts = [")
    return f"{shipped[:start]}parts = [{text}]{shipped[shipped.index(']', start) + 1 :]}"


def test_parts_side_by_side_and_pieces_and_attenuators_of_two(tmp_path):
    text = two_way(
        """
    { place = "series", inductor = "1 mH", capacitor = "4.7 uF", resistor = "33 ohm",
        joined = "side by side", resistance = "0.3 ohm", name = "trap" },
    { place = "series", capacitor = "10 uF", second_capacitor = "2.2 uF" },
    { place = "series", resistor = "3.3 ohm", second_resistor = "0.47 ohm" },
    { place = "across", resistor = "10 ohm" },
""".replace(",\n        ", ", ")
    )
    case = read(tmp_path, text)
    home = Built(case)
    every = {each.name: each for each in faults_of(home, some_readings())}

    def elements(name, size=0.0):
        return every[name].changed(home, size).case.crossover[0].elements

    trap = elements("part missing: inductor trap L of the tweeter")[0]
    assert (trap.inductor, trap.resistance) == (None, 0.0)
    assert (trap.capacitor, trap.resistor) == (4.7e-6, 33.0)
    bridged = "inductor trap L, capacitor trap C or resistor trap R of the tweeter"
    trap = elements(f"part shorted: {bridged}")[0]
    assert (trap.inductor, trap.capacitor) == (None, None)
    assert trap.resistor < 0.01
    pieces = elements("part off in value: capacitor C1 of the tweeter", 24.4e-6)[1]
    assert (pieces.capacitor, pieces.second_capacitor) == pytest.approx((20e-6, 4.4e-6))
    _, _, before, across = elements("attenuator missing: attenuator of the tweeter")
    assert before.resistor < 0.01
    assert before.second_resistor is None
    assert across.resistor > 1e5
    # Each of the two by itself is a fault of its own.
    assert elements("part missing: resistor R2 of the tweeter")[3].resistor > 1e5
    assert elements("part shorted: resistor R1 of the tweeter")[2].resistor < 0.01


def test_a_lone_attenuator_is_told_once():
    assert "part shorted: resistor R pad of the tweeter" not in found("compact-passive")
    assert "part missing: resistor R pad of the tweeter" in found("compact-passive")
