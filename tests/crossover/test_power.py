"""What a programme leaves in parts: pink noise, for which integrals are known."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.network_model import Element
from acoustics.crossover.network import solve_network
from acoustics.crossover.power import lift, mean_power, programme_shares, rms_of

FREQUENCY = 1000 * 2 ** (np.arange(-135, 104) / 24)


def test_every_octave_has_the_same_power():
    shares = programme_shares(FREQUENCY)
    assert shares.sum() == pytest.approx(1.0, abs=1e-3)
    # log2(1000) = 9.966 octaves from 20 Hz to 20 kHz
    for start in (20, 60, 150):
        assert shares[start : start + 24].sum() == pytest.approx(1 / 9.966, rel=1e-4)


def test_what_was_not_predicted_does_not_count():
    some = np.geomspace(200.0, 2000.0, 60)
    assert programme_shares(some).sum() == pytest.approx(np.log2(10) / np.log2(1000), abs=0.01)
    beyond = programme_shares(np.geomspace(1.0, 100_000.0, 300))
    assert beyond.sum() == pytest.approx(1.0)
    assert beyond[0] == beyond[-1] == 0.0
    assert programme_shares(np.array([1000.0])).sum() == pytest.approx(1 / np.log2(1000))


def test_a_resistor_alone_takes_v_squared_over_r():
    found = solve_network([[]], np.full((1, 1, FREQUENCY.size), 1 / 8 + 0j), FREQUENCY)
    power = mean_power(found.transfer, found.load_current, FREQUENCY, 20.0)
    assert power[0] == pytest.approx(50.0, rel=1e-3)


def test_a_first_order_low_pass_halves_the_octaves():
    """∫|H|² d(ln f) of 1/(1 + (f/f_c)²) from a to b is ½ ln[b²(f_c² + a²)/(a²(f_c² + b²))]."""
    corner, ohm, volt = 632.5, 8.0, 20.0
    coil = Element("series", inductor=ohm / (2 * np.pi * corner))
    found = solve_network([[coil]], np.full((1, 1, FREQUENCY.size), 1 / ohm + 0j), FREQUENCY)
    a, b = 20.0, 20_000.0
    part = np.log(b**2 * (corner**2 + a**2) / (a**2 * (corner**2 + b**2))) / 2 / np.log(b / a)
    power = mean_power(found.transfer, found.load_current, FREQUENCY, volt)[0]
    assert power == pytest.approx(volt**2 / ohm * part, rel=2e-3)
    # The coil has no resistance and takes nothing; its current is that of the resistor.
    assert mean_power(found.part_voltage, found.part_current, FREQUENCY, volt)[0] == pytest.approx(
        0.0, abs=1e-12
    )
    rms = rms_of(found.part_current, FREQUENCY, volt)[0]
    assert rms == pytest.approx(np.sqrt(power / ohm), rel=1e-9)
    # What is not over the resistor is over the coil: their mean squares add up.
    over = rms_of(found.part_voltage, FREQUENCY, volt)[0]
    assert over**2 + rms**2 * ohm**2 == pytest.approx(volt**2, rel=1e-3)


def test_a_frequency_stands_for_the_octaves_half_way_to_its_neighbours():
    """1, 2 and 8 kHz: 1, 1.5 and 2 of log2(1000) octaves, as far beyond the ends as within."""
    shares = programme_shares(np.array([1000.0, 2000.0, 8000.0]))
    assert shares == pytest.approx(np.array([1.0, 1.5, 2.0]) / np.log2(1000))
    # 10 and 40 Hz: only what lies above 20 Hz counts, to 80 Hz.
    assert programme_shares(np.array([10.0, 40.0])) == pytest.approx([0, 2 / np.log2(1000)])
    # 10 and 40 kHz: from 5 kHz, up to 20 kHz only.
    assert programme_shares(np.array([1e4, 4e4])) == pytest.approx([2 / np.log2(1000), 0])


def test_the_programme_behind_a_filter():
    """A plain gain of 2 is 2; one that passes half of the octaves leaves 1/√2 of the rms."""
    assert lift(np.full(FREQUENCY.size, 2j), FREQUENCY) == pytest.approx(2.0)
    some = np.array([100.0, 200.0, 400.0, 800.0])
    assert lift(np.array([0.0, 0.0, 1.0, -1j]), some) == pytest.approx(np.sqrt(0.5))


def test_powers_of_several_things_at_once():
    """1 V and 2 A in step at two frequencies of one share each, a quarter turn apart at none."""
    some = np.array([100.0, 200.0])
    voltage, current = np.array([[1.0, 1.0], [1.0, 1.0j]]), np.array([[2.0, 2.0], [2.0, 2.0]])
    share = 1 / np.log2(1000)
    assert mean_power(voltage, current, some, 3.0) == pytest.approx([36 * share, 18 * share])
    assert rms_of(current, some, 3.0) == pytest.approx([6 * np.sqrt(2 * share)] * 2)
