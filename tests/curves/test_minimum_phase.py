"""Minimum and excess phase of systems whose phase is known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss

from acoustics.conventions import RoundoverError
from acoustics.curves.minimum_phase import Tails, excess_phase, fitted_tails, minimum_phase

FREQUENCY = np.geomspace(20.0, 20_000.0, 961)
RATE = 48_000.0


def analogue(system, frequency=FREQUENCY):
    return ss.freqs(*system, 2 * np.pi * frequency)[1]


def own_phase(response):
    return np.unwrap(np.angle(response))


@pytest.mark.parametrize("order", [2, 4, 8])
@pytest.mark.parametrize("corner", [200.0, 1000.0, 3000.0])
def test_a_butterworth_low_pass_has_its_own_phase(order, corner):
    # scipy.signal: all its poles lie in the left half-plane and it has no zeros.
    response = analogue(ss.butter(order, 2 * np.pi * corner, analog=True))
    stated = minimum_phase(FREQUENCY, np.abs(response), tails=Tails(0, -order))
    assert np.degrees(stated) == pytest.approx(np.degrees(own_phase(response)), abs=0.1)


def test_a_first_order_is_told_as_far_from_its_corner_as_its_slope_lasts():
    wide = np.geomspace(1.0, 1e6, 2000)
    response = analogue(ss.butter(1, 2 * np.pi * 1000, analog=True), wide)
    found = minimum_phase(wide, np.abs(response))
    assert np.degrees(found) == pytest.approx(np.degrees(own_phase(response)), abs=0.1)


def test_a_band_pass_has_its_own_phase():
    # A closed box of second order at 60 Hz, a fall of second order at 4 kHz.
    response = analogue(ss.butter(2, 2 * np.pi * 60, "high", analog=True)) * analogue(
        ss.butter(2, 2 * np.pi * 4000, analog=True)
    )
    stated = minimum_phase(FREQUENCY, np.abs(response), tails=Tails(2, -2))
    away = np.degrees(np.angle(np.exp(1j * stated) / response))
    # 0.3°: at 20 Hz the slope is still 1 % less than that of its end.
    assert np.abs(away).max() < 0.3
    assert np.abs(away[FREQUENCY > 100]).max() < 0.1
    # Fitted to the octave from 20 to 40 Hz, where the slope still changes, the tail is too flat.
    fitted = minimum_phase(FREQUENCY, np.abs(response))
    away = np.degrees(np.angle(np.exp(1j * fitted) / response))
    assert np.abs(away).max() < 5
    assert np.abs(away[FREQUENCY > 200]).max() < 1
    # A rise of second order leads by half a turn at 0 Hz.
    lowest = minimum_phase(FREQUENCY, np.abs(response), at=np.array([1e-3]), tails=Tails(2, -2))
    assert np.degrees(lowest) == pytest.approx(180, abs=0.1)


@pytest.mark.parametrize(("order", "kind"), [(2, "butter"), (4, "butter"), (3, "bessel")])
def test_a_digital_filter_has_its_own_phase_on_the_circle(order, kind):
    frequency = np.geomspace(20.0, 20_000.0, 1200)
    system = getattr(ss, kind)(order, 1000.0, fs=RATE)
    _, response = ss.freqz(*system, frequency, fs=RATE)
    found = minimum_phase(frequency, np.abs(response), sampling_rate=RATE)
    assert np.degrees(found) == pytest.approx(np.degrees(own_phase(response)), abs=0.1)


def test_a_power_of_the_frequency_turns_by_a_quarter_per_order():
    # (jω)^n leads by n·90°: Bode 1945.
    for order in (-3.0, -0.5, 1.0, 2.0):
        phase = minimum_phase(FREQUENCY, (FREQUENCY / 1000) ** order)
        assert np.degrees(phase) == pytest.approx(90 * order, abs=1e-6)


def test_evenly_spaced_frequencies_are_no_special_case():
    magnitude = np.abs(
        analogue(ss.butter(3, 2 * np.pi * np.array([90.0, 900.0]), "band", analog=True))
    )
    quick = minimum_phase(FREQUENCY, magnitude)
    assert quick == pytest.approx(minimum_phase(FREQUENCY, magnitude, at=FREQUENCY), abs=1e-9)


def test_tails_are_the_orders_at_the_ends():
    response = np.abs(
        analogue(ss.butter(3, 2 * np.pi * np.array([200.0, 2000.0]), "band", analog=True))
    )
    tails = fitted_tails(FREQUENCY, response)
    assert (tails.below, tails.above) == pytest.approx((3, -3), abs=2e-2)


def test_an_all_pass_and_a_delay_are_what_is_left():
    # (a − s)/(a + s) has the phase −2·arctan(ω/a); a delay −ωτ.
    low_pass = analogue(ss.butter(2, 2 * np.pi * 3000, analog=True))
    omega = 2 * np.pi * FREQUENCY
    corner, delay = 2 * np.pi * 500, 20e-6
    all_pass = (corner - 1j * omega) / (corner + 1j * omega)
    response = low_pass * all_pass * np.exp(-1j * omega * delay)
    excess = excess_phase(FREQUENCY, response, tails=Tails(0, -2))
    expected = -2 * np.arctan(omega / corner) - omega * delay
    assert np.degrees(np.unwrap(excess)) == pytest.approx(np.degrees(expected), abs=0.1)


def test_finer_frequencies_come_closer_by_the_square_of_the_step():
    # A straight line in log frequency errs by the square of its length.
    errors = []
    for per_octave in (6, 12, 24):
        frequency = 1000 * 2.0 ** np.arange(-5, 4 + 1e-9, 1 / per_octave)
        response = analogue(ss.butter(4, 2 * np.pi * 1000, analog=True), frequency)
        phase = minimum_phase(frequency, np.abs(response), tails=Tails(0, -4))
        errors.append(np.abs(phase - own_phase(response)).max())
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert orders == pytest.approx(2, abs=0.3)


@pytest.mark.parametrize(
    ("frequency", "magnitude", "words"),
    [
        (FREQUENCY[:5], np.ones(5), "8 or more"),
        (np.linspace(0, 100, 11), np.ones(11), "leave out 0 Hz"),
        (FREQUENCY, np.where(FREQUENCY < 30, 0.0, 1.0), "positive at every frequency"),
    ],
)
def test_what_cannot_be_told_is_refused(frequency, magnitude, words):
    with pytest.raises(RoundoverError, match=words):
        minimum_phase(frequency, magnitude)
