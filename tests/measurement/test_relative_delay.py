"""Delay between two drivers of known phase, with and without a common clock."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.signal as ss

from acoustics.conventions import RoundoverError
from acoustics.curves.minimum_phase import Tails
from acoustics.measurement.excess_delay import excess_delay, relative_delay
from acoustics.measurement.from_sum import relative_delay_from_sum

FREQUENCY = np.geomspace(20.0, 20_000.0, 961)
OMEGA = 2 * np.pi * FREQUENCY
WOOFER = (
    ss.freqs(*ss.butter(2, 2 * np.pi * 45, "high", analog=True), OMEGA)[1]
    * ss.freqs(*ss.butter(4, 2 * np.pi * 2500, analog=True), OMEGA)[1]
)
TWEETER = (
    ss.freqs(*ss.butter(2, 2 * np.pi * 900, "high", analog=True), OMEGA)[1]
    * ss.freqs(*ss.butter(2, 2 * np.pi * 18_000, analog=True), OMEGA)[1]
)
BAND = (1000.0, 4000.0)


def late(response, delay):
    return response * np.exp(-1j * OMEGA * delay)


@pytest.mark.parametrize("polarity", [1, -1])
@pytest.mark.parametrize("clock", [0.0, 7.3e-3])
def test_the_delay_between_two_drivers_whatever_the_clock(polarity, clock):
    # The woofer's centre 25 mm behind the tweeter's: 72.9 µs.
    delay = 0.025 / 343
    found = relative_delay(
        FREQUENCY,
        late(TWEETER, clock),
        polarity * late(WOOFER, clock + delay),
        BAND,
        tails=(Tails(2, -2), Tails(2, -4)),
    )
    # The tweeter's fall is not yet one of second order at 20 kHz: 3.5 µs.
    assert found.time == pytest.approx(delay, abs=4e-6)
    assert found.polarity == polarity


def test_fitted_tails_are_covered_by_the_uncertainty():
    delay = 72.9e-6
    found = relative_delay(FREQUENCY, TWEETER, late(WOOFER, delay), BAND)
    assert abs(found.time - delay) < found.uncertainty < 25e-6


def test_an_all_pass_is_no_delay_and_the_uncertainty_says_so():
    all_pass = (1 - 1j * FREQUENCY / 2000) / (1 + 1j * FREQUENCY / 2000)
    plain = excess_delay(FREQUENCY, WOOFER, BAND, tails=Tails(2, -4))
    turned = excess_delay(FREQUENCY, WOOFER * all_pass, BAND, tails=Tails(2, -4))
    assert plain.time == pytest.approx(0, abs=0.2e-6)
    assert plain.uncertainty < 1e-6
    # Its group delay is (1/π·2000)/(1 + (f/2000)²): 159 µs at 0 Hz, 80 µs in the middle.
    assert 60e-6 < turned.time < 160e-6
    assert turned.uncertainty > 10e-6


@pytest.mark.parametrize("polarity", [1, -1])
@pytest.mark.parametrize("delay", [-40e-6, 0.0, 72.9e-6])
def test_the_level_of_both_tells_the_delay_without_any_clock(delay, polarity):
    both = TWEETER + polarity * late(WOOFER, delay)
    levels = [np.abs(curve) for curve in (TWEETER, WOOFER, both)]
    stated = relative_delay_from_sum(
        FREQUENCY, *levels, BAND, longest=0.2e-3, tails=(Tails(2, -2), Tails(2, -4))
    )
    assert stated.polarity == polarity
    assert stated.time == pytest.approx(delay, abs=4e-6)
    fitted = relative_delay_from_sum(FREQUENCY, *levels, BAND, longest=0.2e-3)
    assert fitted.polarity == polarity
    assert abs(fitted.time - delay) < fitted.uncertainty < 30e-6


def test_where_one_driver_is_far_weaker_the_sum_tells_nothing():
    noise = 1 + 1e-3 * np.random.default_rng(5).standard_normal(FREQUENCY.size)
    both = np.abs(TWEETER + 1e-5 * WOOFER) * noise
    found = relative_delay_from_sum(FREQUENCY, TWEETER, 1e-5 * WOOFER, both, BAND)
    assert math.isinf(found.uncertainty)


def test_bands_without_frequencies_are_refused():
    with pytest.raises(RoundoverError, match="8 or more"):
        excess_delay(FREQUENCY, WOOFER, (1000.0, 1010.0))
    with pytest.raises(RoundoverError, match="16 or more"):
        relative_delay_from_sum(FREQUENCY, WOOFER, TWEETER, WOOFER, (1000.0, 1010.0))
