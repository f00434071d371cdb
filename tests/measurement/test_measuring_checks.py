"""What a careful person would find wrong with a recording."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss

from acoustics.measurement.checks import (
    noisy,
    rates_differ,
    reflection_in_gate,
    too_loud,
    too_short,
)
from acoustics.measurement.gate import Gate
from acoustics.measurement.impulse import Impulse
from acoustics.measurement.reflections import Visible
from support.impulses import RATE, impulse

TIME = np.arange(9600) / RATE


def rounded(wave, bits=16):
    return np.round(wave * 2 ** (bits - 1)) / 2 ** (bits - 1)


@pytest.mark.parametrize(("limit", "full_scale"), [(1.0, 1.0), (0.4, 1.0), (0.4, None)])
def test_a_clipped_sine_is_found(limit, full_scale):
    wave = np.clip(1.3 * limit * np.sin(2 * np.pi * 997 * TIME), -limit, limit)
    said = too_loud(wave, RATE, full_scale)
    assert said is not None
    assert said.certain
    # 0.2 s hold 399 half-periods; above 1/1.3 a sine stays for 180° − 2·arcsin(1/1.3) = 79°, of
    # 48.1 samples a period 10.6
    assert "399 times, for up to 11 samples" in said.what
    assert str(said).endswith("measure again.")


@pytest.mark.parametrize("frequency", [20.0, 1000.0, 7000.0])
@pytest.mark.parametrize("bits", [16, 24])
def test_a_sine_that_was_only_rounded_is_not(frequency, bits):
    assert too_loud(rounded(0.5 * np.sin(2 * np.pi * frequency * TIME), bits), RATE) is None
    assert too_loud(np.zeros(100), RATE) is None


def test_a_noisy_impulse_says_how_much_is_missing():
    quiet = impulse(0.02, noise=1e-3)
    peak = np.abs(quiet.samples).max()
    assert noisy(quiet, 1e-3 * peak) is None
    said = noisy(quiet, peak / 10 ** (28 / 20))
    assert said is not None
    assert "28 dB" in said.what
    # 12 dB are 4 doublings of the count, by 3 dB each
    assert "12 dB louder" in said.advice
    assert "average 16 sweeps" in said.advice


def test_a_response_that_ends_too_soon():
    driver = ss.butter(2, 2 * np.pi * 50, "high", analog=True)
    whole = impulse(0.01, driver)
    assert too_short(whole, 0.01, 20.0) is None
    said = too_short(whole.part(0.0, 0.03), 0.01, 20.0)
    assert said is not None
    assert said.certain
    assert "20.0 ms after" in said.what
    assert "50.0 ms" in said.what
    ringing = Impulse(np.cos(2 * np.pi * 60 * TIME) * np.exp(-TIME / 0.2), RATE)
    said = too_short(ringing, 0.0, 20.0)
    assert said is not None
    assert not said.certain
    assert "8 dB" in said.what


def test_rates_that_differ():
    assert rates_differ(48_000.0, 48_000.0, ("the recording", "the sweep")) is None
    said = rates_differ(44_100.0, 48_000.0, ("the recording", "the sweep"))
    assert said is not None
    assert said.what == "The recording has 44100 samples a second and the sweep 48000"


def test_a_reflection_inside_the_gate():
    gate = Gate(0.009, 0.0095, 0.012, 0.015, arrival=0.01)
    assert reflection_in_gate(Visible(0.0151, 8.0, -9.0), gate, "floor") is None
    said = reflection_in_gate(Visible(0.0145, 8.0, -9.0), gate, "floor")
    assert said is not None
    assert said.certain
    assert "floor comes 4.5 ms after the arrival, 9 dB below it" in said.what
    said = reflection_in_gate(Visible(0.012, 8.0, -9.0), gate)
    assert said is not None
    assert not said.certain
    assert "no surface that was named explains it" in said.what
