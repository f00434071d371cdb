"""Curves between and beyond the frequencies of their tables."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.curves import Curve, at_frequencies


def curve(frequency, values, has_phase=True):
    values = np.asarray(values, dtype=complex)
    return Curve(np.asarray(frequency, dtype=float), values, has_phase, (), "box.txt")


def test_the_table_itself_comes_back():
    frequency = np.geomspace(20, 20000, 50)
    rng = np.random.default_rng(3)
    values = rng.normal(size=50) + 1j * rng.normal(size=50)
    found, outside = at_frequencies(curve(frequency, values), frequency)
    np.testing.assert_allclose(found, values, rtol=1e-12)
    assert not outside.any()


def test_a_power_law_with_phase_is_exact_between_and_beyond():
    # A straight line of log magnitude over log frequency; phase linear in log frequency.
    frequency = np.geomspace(100, 10000, 21)
    at = np.array([20.0, 130.0, 777.0, 9000.0, 30000.0])
    found, outside = at_frequencies(curve(frequency, frequency**-1.5 + 0j), at, beyond=True)
    np.testing.assert_array_equal(outside, [True, False, False, False, True])
    expected = at**-1.5
    # −9 dB per octave falls upward and is held; downward it rises, by at most 6 dB per octave.
    expected[0] = 100**-1.5 * 10 ** (6 * np.log2(100 / 20) / 20)
    np.testing.assert_allclose(found, expected, rtol=1e-9)


def test_phase_is_followed_through_whole_turns():
    frequency = np.geomspace(100, 10000, 400)
    at = np.geomspace(101, 9900, 37)
    delay = 0.5e-3
    found, _ = at_frequencies(curve(frequency, np.exp(-2j * np.pi * frequency * delay)), at)
    # Five turns. Linear interpolation of a curve errs by h²/8 of its second derivative.
    error = np.angle(found * np.exp(2j * np.pi * at * delay))
    step = np.log(frequency[1] / frequency[0])
    assert abs(error).max() <= step**2 / 8 * 2 * np.pi * 10000 * delay * 1.05
    np.testing.assert_allclose(abs(found), 1, rtol=1e-12)


def test_beyond_the_table_slopes_are_limited_and_the_phase_stays():
    frequency = np.geomspace(1000, 2000, 13)
    values = (frequency / 1000) ** 8 * np.exp(1j * np.log(frequency))  # 48 dB per octave
    found, outside = at_frequencies(curve(frequency, values), [500.0, 4000.0], beyond=True)
    assert outside.all()
    change = 20 * np.log10(abs(found) / abs(values[[0, -1]]))
    np.testing.assert_allclose(change, [-24, 6], rtol=1e-9)
    np.testing.assert_allclose(np.angle(found / values[[0, -1]]), 0, atol=1e-12)


def test_only_the_last_third_octave_counts_beyond():
    frequency = 1000 * 2 ** (np.arange(25) / 12)
    level = np.where(frequency > 2 ** (1 + 19.5 / 12) * 500, 0.0, 40.0)
    found, _ = at_frequencies(curve(frequency, 10 ** (level / 20)), [8000.0], beyond=True)
    np.testing.assert_allclose(abs(found), 1, rtol=1e-9)


def test_outside_the_table_is_an_error_that_says_what_there_is():
    table = curve([100, 1000, 10000], [1, 1, 1])
    with pytest.raises(RoundoverError, match=r"box.txt: .* 100 to 10000 Hz, .* 50 to 9000 Hz"):
        at_frequencies(table, np.array([50.0, 9000.0]))
    with pytest.raises(RoundoverError, match="not above 0 Hz"):
        at_frequencies(table, np.array([0.0, 200.0]), beyond=True)
    _, outside = at_frequencies(table, np.array([100 * (1 - 1e-9), 10000 * (1 + 1e-9)]))
    assert not outside.any()


def test_a_curve_without_phase_stays_without():
    found, _ = at_frequencies(curve([100, 1000, 10000], [1, 2, 3], False), [50.0, 500.0], True)
    np.testing.assert_array_equal(found.imag, 0)
