"""A known driver measured in a room with noise, a floor and converters that are late: all of it."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss

from acoustics.measurement.arrival import arrival, noise_before
from acoustics.measurement.checks import noisy, reflection_in_gate, too_loud, too_short
from acoustics.measurement.gate import gated, noise_weight, suggested_gate
from acoustics.measurement.impulse import transfer
from acoustics.measurement.noise import repeats_density, silence_density, transfer_noise, valid_band
from acoustics.measurement.reflections import explained, first_reflection, visible_reflection
from acoustics.measurement.repeats import averaged, drifting, split_repeats
from acoustics.measurement.sweep import deconvolved, linear_part, make_sweep

RATE, SPEED = 48_000.0, 343.0
SWEEP = make_sweep(50.0, 22_000.0, 1.0, RATE)
PERIOD = 2 * round(0.75 * RATE)
DRIVER = ss.butter(2, 2 * np.pi * np.array([300.0, 30_000.0]), "band", analog=True)
DISTANCE, HEIGHT, LATENCY = 1.0, 1.3, 0.0213
NOISE = 2e-4


def recorded(delay, response=None):
    """Two sweeps through an analogue system and a delay, played periodically, after silence."""
    frequency = np.fft.rfftfreq(PERIOD, 1 / RATE)
    played = np.zeros(PERIOD)
    played[: SWEEP.samples.size] = SWEEP.samples
    spectrum = np.fft.rfft(played) * np.exp(-2j * np.pi * frequency * delay)
    if response is not None:
        spectrum *= response(frequency)
    period = np.fft.irfft(spectrum, PERIOD)
    return np.concatenate([np.zeros(PERIOD), period, period])


def driver(frequency):
    return ss.freqs(*DRIVER, 2 * np.pi * frequency)[1]


@pytest.fixture(scope="module")
def room():
    extra = first_reflection(DISTANCE, HEIGHT, HEIGHT, {"floor": 0.0, "ceiling": 2.8})
    floor = extra["floor"] / SPEED

    def response(frequency):
        bounce = np.exp(-2j * np.pi * frequency * floor) * DISTANCE / (DISTANCE + extra["floor"])
        return 0.3 * driver(frequency) * (1 + bounce)

    microphone = recorded(LATENCY + DISTANCE / SPEED, response)
    microphone += NOISE * np.random.default_rng(17).standard_normal(microphone.size)
    return extra, microphone, recorded(LATENCY)


def test_the_driver_is_what_is_left(room):
    extra, microphone, loopback = room
    assert too_loud(microphone, RATE, 1.0) is None
    repeats = averaged(split_repeats(microphone, PERIOD, PERIOD, 2), RATE, SWEEP.valid)
    assert drifting(repeats) is None
    sent = split_repeats(loopback, PERIOD, PERIOD, 2)[0]
    response = linear_part(deconvolved(repeats.mean, SWEEP, sent), SWEEP).part(-0.01, 0.3)
    noise = noise_before(response)
    assert noisy(response, noise) is None

    rough = suggested_gate(DISTANCE / SPEED, extra.values(), SPEED)
    begins = arrival(response.part(-0.01, rough.stop), (100.0, 18_000.0))
    flight = DISTANCE / SPEED
    assert abs(begins.time - flight) < begins.uncertainty < 20e-6
    seen = visible_reflection(response, begins.time, noise)
    assert seen is not None
    assert explained(seen, begins.time, extra, SPEED) == "floor"

    gate = suggested_gate(begins.time, extra.values(), SPEED)
    assert too_short(response, begins.time, gate.lowest_frequency) is None
    assert reflection_in_gate(seen, gate, "floor") is None or seen.time > gate.stop - 0.1e-3
    frequency = np.geomspace(gate.lowest_frequency, 18_000.0, 200)
    found = gated(response, gate, frequency, reference=0.0)
    expected = 0.3 * driver(frequency) * np.exp(-2j * np.pi * frequency * flight)

    weight = noise_weight(response, gate)
    before = silence_density(microphone[:PERIOD], RATE, frequency) / 2
    between = repeats_density(repeats, frequency)
    # Both tell the same noise: white, of a known variance, halved by two repeats.
    for density in (before, between):
        assert np.mean(density) == pytest.approx(NOISE**2 / RATE / 2, rel=0.1)
    under = transfer_noise(between, SWEEP, frequency, weight)
    band = valid_band(frequency, found, under, 30.0)
    assert band == pytest.approx((frequency[0], frequency[-1]))
    # 0.2 dB and 1° where the gate holds two periods; the comb that it took away is 6 dB deep.
    away = (found / expected)[frequency > 2 * gate.lowest_frequency]
    assert np.abs(20 * np.log10(np.abs(away))).max() < 0.2
    assert np.abs(np.degrees(np.angle(away))).max() < 1.5
    comb = np.abs(transfer(response, frequency) / expected)
    assert np.ptp(20 * np.log10(comb)) > 6


def test_noise_between_repeats_is_that_before_them(room):
    _, microphone, _ = room
    repeats = averaged(split_repeats(microphone, PERIOD, PERIOD, 2), RATE, SWEEP.valid)
    power = np.mean(repeats.mean_noise[1:-1] ** 2)
    assert power == pytest.approx(PERIOD * NOISE**2 / 2, rel=0.05)
