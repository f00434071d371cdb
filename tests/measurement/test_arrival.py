"""Arrivals at known fractions of a sample, with and without noise."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss

from acoustics.conventions import RoundoverError
from acoustics.curves.minimum_phase import Tails
from acoustics.measurement.arrival import arrival, first_rise, noise_before
from acoustics.measurement.impulse import Impulse, between_samples
from support.impulses import RATE, impulse

LOW_PASS = ss.butter(2, 2 * np.pi * 5000, analog=True)
BAND_PASS = ss.butter(2, 2 * np.pi * np.array([900.0, 12_000.0]), "band", analog=True)
BESSEL = ss.bessel(4, 2 * np.pi * 12_000, analog=True, norm="mag")
FRACTIONS = [0.0, 0.137, 0.5, 0.861]


def cut(response, delay):
    """As a gate of 6 ms would leave it."""
    return response.part(0.0, delay + 6e-3)


@pytest.mark.parametrize("fraction", FRACTIONS)
@pytest.mark.parametrize(
    ("system", "noise"),
    [(None, 1e-3), (None, 1e-4), (LOW_PASS, 1e-4)],
    ids=["flat, 60 dB", "flat, 80 dB", "low pass, 80 dB"],
)
def test_a_delay_is_found_to_a_fiftieth_of_a_sample(system, noise, fraction):
    delay = (300 + fraction) / RATE
    found = arrival(cut(impulse(delay, system, noise=noise, seed=round(1e3 * fraction)), delay))
    assert abs(found.time - delay) * RATE < 0.02
    assert found.polarity == 1


@pytest.mark.parametrize("fraction", FRACTIONS)
def test_stated_tails_help_where_the_band_ends_too_soon(fraction):
    # The band-pass falls like 1/f² only far above 24 kHz, yet its slopes are known.
    delay = (300 + fraction) / RATE
    response = cut(impulse(delay, LOW_PASS, noise=1e-5, gain=-2.0), delay)
    found = arrival(response, tails=Tails(0.0, -2.0))
    assert abs(found.time - delay) * RATE < 0.02
    assert found.polarity == -1


@pytest.mark.parametrize("system", [None, LOW_PASS, BAND_PASS, BESSEL])
@pytest.mark.parametrize("noise", [1e-3, 3e-5])
def test_the_stated_uncertainty_covers_the_error(system, noise):
    # Stated for about 95 %: of eight, none or one may lie outside.
    outside = 0
    for seed in range(8):
        delay = (280 + 40 * np.random.default_rng(seed).uniform()) / RATE
        found = arrival(cut(impulse(delay, system, noise=noise, seed=seed), delay))
        outside += abs(found.time - delay) > found.uncertainty
        assert found.uncertainty * RATE < 4
    assert outside <= 1


@pytest.mark.parametrize(
    ("system", "tails", "noise"),
    [
        (None, Tails(0.0, 0.0), 1e-3),
        (None, Tails(0.0, 0.0), 1e-4),
        (LOW_PASS, Tails(0.0, -2.0), 1e-4),
    ],
)
def test_with_stated_tails_the_noise_alone_is_left(system, tails, noise):
    errors, stated = [], []
    for seed in range(24):
        delay = (280 + 40 * np.random.default_rng(seed).uniform()) / RATE
        response = cut(impulse(delay, system, noise=noise, seed=seed), delay)
        found = arrival(response, tails=tails)
        errors.append((found.time - delay) * RATE)
        stated.append(found.uncertainty * RATE)
    outside = np.count_nonzero(np.abs(errors) > stated)
    # 5 % of 24 are 1.2
    assert outside <= 3
    # and it is no wider than it need be: two standard deviations, twice that for the two halves
    assert np.mean(stated) < 5 * np.sqrt(np.mean(np.square(errors)))


def test_a_fall_beyond_the_band_is_within_the_uncertainty():
    # Second order at 30 kHz looks like its group delay, √2/(2π·30 kHz) = 7.5 µs.
    system = ss.butter(2, 2 * np.pi * 30_000, analog=True)
    delay = 300.4 / RATE
    found = arrival(cut(impulse(delay, system, noise=1e-4), delay))
    assert 4e-6 < found.time - delay < found.uncertainty < 15e-6


def test_a_digital_filter_is_told_on_the_circle():
    # scipy.signal, bilinear transform; delayed by whole samples, which needs no interpolation.
    samples = np.zeros(4096)
    samples[500] = 1.0
    response = Impulse(ss.lfilter(*ss.butter(2, 4000.0, fs=RATE), samples), RATE, start=-0.01)
    found = arrival(response, digital=True)
    assert (found.time + 0.01) * RATE == pytest.approx(500, abs=0.02)


def test_the_first_rise_of_a_gaussian():
    # exp(−(t − t₀)²/2s²) passes a tenth of its peak at t₀ − s·√(2 ln 10).
    width, peak = 4 / RATE, 200.37 / RATE
    time = np.arange(512) / RATE
    pulse = np.exp(-((time - peak) ** 2) / (2 * width**2))
    clean = first_rise(Impulse(pulse, RATE))
    expected = peak - width * np.sqrt(2 * np.log(10))
    assert clean.time * RATE == pytest.approx(expected * RATE, abs=5e-3)
    errors, stated = [], []
    for seed in range(40):
        noise = 2e-3 * np.random.default_rng(seed).standard_normal(512)
        found = first_rise(Impulse(pulse + noise, RATE))
        errors.append(found.time - expected)
        stated.append(found.uncertainty)
    # Two standard deviations: noise over slope.
    assert 2 * np.std(errors) == pytest.approx(np.mean(stated), rel=0.4)


def test_between_samples_a_sine_goes_on():
    time = np.arange(400) / RATE
    for frequency in (100.0, 5000.0, 0.9 * RATE / 2):
        wave = Impulse(np.sin(2 * np.pi * frequency * time), RATE)
        place = np.linspace(100, 300, 77) / RATE
        assert between_samples(wave, place) == pytest.approx(
            np.sin(2 * np.pi * frequency * place), abs=2e-3
        )


def test_noise_is_told_from_before_the_peak():
    response = impulse(4000 / RATE, noise=1e-2)
    assert noise_before(response) == pytest.approx(1e-2 * np.abs(response.samples).max(), rel=0.05)


def test_what_has_no_beginning_is_refused():
    with pytest.raises(RoundoverError, match="keep at least 32"):
        arrival(impulse(5 / RATE))
    noise = np.random.default_rng(1).standard_normal(4096)
    noise[3000] = 5.0
    with pytest.raises(RoundoverError, match="louder"):
        arrival(Impulse(noise, RATE))
    with pytest.raises(RoundoverError, match="one channel"):
        Impulse(np.zeros((2, 100)), RATE)
