"""Repeats that were shifted by known fractions of a sample."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.measurement.repeats import averaged, drifting, split_repeats

RATE = 48_000.0
SIZE = 12_000
BAND = (200.0, 15_000.0)
FREQUENCY = np.fft.rfftfreq(SIZE, 1 / RATE)


def repeats(delays, noise=0.0, seed=0):
    """A band-limited noise that comes again, by delays (s) too late."""
    random = np.random.default_rng(seed)
    spectrum = np.fft.rfft(random.standard_normal(SIZE)) * (FREQUENCY < 20_000)
    rows = [
        np.fft.irfft(spectrum * np.exp(-2j * np.pi * FREQUENCY * delay), SIZE) for delay in delays
    ]
    return np.array(rows) + noise * random.standard_normal((len(delays), SIZE))


def test_delays_are_found_and_taken_out():
    delays = np.array([0.0, 0.3, -12.25, 2.5]) / RATE
    given = repeats(delays, noise=1e-3)
    found = averaged(given, RATE, BAND)
    assert found.delays * RATE == pytest.approx(delays * RATE, abs=1e-3)
    assert found.mean == pytest.approx(given.mean(axis=0))
    aligned = averaged(given, RATE, BAND, align=True)
    assert aligned.mean == pytest.approx(given[0], abs=1e-2)
    assert drifting(aligned) is None
    assert drifting(averaged(repeats(np.zeros(4), noise=1e-3), RATE, BAND)) is None


def test_a_clock_that_runs_fast_is_said_in_parts_per_million():
    # 40 ppm: each period of 0.25 s comes 10 µs later than the one before.
    delays = 10e-6 * np.arange(4)
    found = averaged(repeats(delays, noise=1e-3), RATE, BAND)
    assert found.drift == pytest.approx(40e-6, rel=1e-2)
    # mean of four phasors, 2π·15 kHz·10 µs = 54° apart: sin(4·27°)/(4·sin 27°)
    expected = -20 * np.log10(np.sin(np.radians(108)) / (4 * np.sin(np.radians(27))))
    assert found.loss == pytest.approx(expected, abs=0.05)
    said = drifting(found)
    assert said is not None
    assert "40.0 parts in a million" in said.what
    assert "one clock" in said.advice


def test_a_lost_sample_is_no_clock():
    said = drifting(averaged(repeats(np.array([0.0, 0.0, 1.0, 1.0]) / RATE), RATE, BAND))
    assert said is not None
    assert "lost" in said.advice


def test_noise_of_the_mean_is_that_of_one_over_the_count():
    # White noise of variance σ²: a spectrum of N samples holds N·σ², the mean of K a K-th of it.
    sigma, count = 0.02, 8
    found = averaged(repeats(np.zeros(count), noise=sigma), RATE, BAND)
    power = np.mean(found.mean_noise[1:-1] ** 2)
    assert power == pytest.approx(SIZE * sigma**2 / count, rel=0.03)


def test_repeats_are_cut_where_they_begin():
    recording = np.arange(100.0)
    assert split_repeats(recording, 10, 30, 3)[:, 0].tolist() == [10, 40, 70]
    with pytest.raises(RoundoverError, match="has 100"):
        split_repeats(recording, 20, 30, 3)
    with pytest.raises(RoundoverError, match="two or more"):
        averaged(recording[None], RATE, BAND)
    with pytest.raises(RoundoverError, match="holds nothing"):
        averaged(np.zeros((2, 1000)), RATE, BAND)
