"""The sweep against its closed form; filters and distortion that are known, found again."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal as ss

from acoustics.conventions import RoundoverError
from acoustics.measurement.arrival import arrival
from acoustics.measurement.gate import Gate, gated, noise_weight
from acoustics.measurement.harmonics import harmonics
from acoustics.measurement.impulse import Impulse, transfer
from acoustics.measurement.noise import silence_density, transfer_noise, valid_band
from acoustics.measurement.sweep import Sweep, deconvolved, linear_part, make_sweep

RATE = 48_000.0
SWEEP = make_sweep(20.0, 20_000.0, 1.5, RATE)
SAMPLES = SWEEP.samples
FREQUENCY = np.geomspace(40.0, 17_000.0, 150)
SILENCE = np.zeros(round(0.4 * RATE))


def decibels(ratio):
    return 20 * np.log10(np.abs(ratio))


def test_the_sweep_starts_at_zero_and_its_harmonics_are_itself_earlier():
    # Novak et al. 2015: with f₁L whole, sin(mφ(t)) = sin φ(t + L·ln m) for every whole m.
    assert SWEEP.lowest * SWEEP.rate == pytest.approx(round(SWEEP.lowest * SWEEP.rate))
    assert SWEEP.duration == pytest.approx(1.5, abs=0.2)
    slow = Sweep(10.0, 1000.0, 0.5, RATE)
    time = np.linspace(0.1, 0.5, 50)

    def phase(at):
        return 2 * np.pi * slow.lowest * slow.rate * np.exp(at / slow.rate)

    for order in (2, 3, 5):
        assert np.sin(order * phase(time)) == pytest.approx(
            np.sin(phase(time + slow.ahead(order))), abs=1e-9
        )


def test_its_frequency_is_where_it_should_be():
    # f₁·exp(t/L), from zero crossings over a hundredth of a second.
    for time in (0.3, 0.9):
        first = round(time * RATE)
        piece = SAMPLES[first : first + 480]
        crossings = np.count_nonzero(np.diff(np.signbit(piece)))
        expected = SWEEP.lowest * np.exp((time + 0.005) / SWEEP.rate)
        assert crossings / 2 / 0.01 == pytest.approx(expected, abs=100)


def test_its_spectrum_is_the_closed_form():
    # ½√(L/f): stationary phase. Away from the ends of the sweep.
    found = transfer(Impulse(SAMPLES, RATE), FREQUENCY)
    inner = (FREQUENCY > 200) & (FREQUENCY < 15_000)
    ratio = (found / SWEEP.spectrum(FREQUENCY))[inner]
    assert decibels(ratio) == pytest.approx(0, abs=0.1)
    assert np.degrees(np.angle(ratio)) == pytest.approx(0, abs=1)


@pytest.mark.parametrize("kind", ["butter", "bessel"])
def test_a_filter_is_found_again(kind):
    system = getattr(ss, kind)(2, [100.0, 5000.0], "band", fs=RATE, output="sos")
    recording = ss.sosfilt(system, np.concatenate([SAMPLES, SILENCE]))
    _, expected = ss.sosfreqz(system, FREQUENCY, fs=RATE)
    full = deconvolved(recording, SWEEP)
    assert transfer(full, FREQUENCY) == pytest.approx(expected, abs=1e-3)
    assert transfer(linear_part(full, SWEEP), FREQUENCY) == pytest.approx(expected, abs=2e-3)


def test_the_loopback_takes_latency_and_gain_of_the_converters_out():
    # A loopback 30.25 ms late at half the level, a microphone 2.9 ms behind it.
    latency, flight, gain = 0.03025, 0.0029, 0.5
    size = SAMPLES.size + SILENCE.size
    spectrum = np.fft.rfft(SAMPLES, 2 * size)
    frequency = np.fft.rfftfreq(2 * size, 1 / RATE)

    def late(delay, level):
        return np.fft.irfft(level * spectrum * np.exp(-2j * np.pi * frequency * delay))[:size]

    loopback, recording = late(latency, gain), late(latency + flight, gain * 0.8)
    against = linear_part(deconvolved(recording, SWEEP, loopback), SWEEP)
    expected = 0.8 * np.exp(-2j * np.pi * FREQUENCY * flight)
    away = decibels(transfer(against, FREQUENCY) / expected)
    # The cut takes some of what rings ahead at the band's lower end.
    assert np.abs(away).max() < 0.1
    assert np.abs(away[FREQUENCY > 60]).max() < 0.02
    assert transfer(against, FREQUENCY) == pytest.approx(expected, abs=8e-3)
    found = arrival(against.part(-0.005, 0.02), SWEEP.valid)
    assert found.time * RATE == pytest.approx(flight * RATE, abs=0.02)
    alone = linear_part(deconvolved(recording, SWEEP), SWEEP)
    found = arrival(alone.part(0.02, 0.06), SWEEP.valid)
    assert found.time * RATE == pytest.approx((latency + flight) * RATE, abs=0.02)


def test_powers_of_the_sweep_have_the_harmonics_of_powers_of_a_sine():
    # sin² = ½ − ½cos 2φ, sin³ = ¾ sin φ − ¼ sin 3φ: y = x + a·x² + b·x³ has the second harmonic
    # a/2, the third b/4 over the fundamental 1 + ¾b.
    square, cube = 0.1, 0.05
    sweep = make_sweep(20.0, 4500.0, 2.0, RATE)
    played = np.concatenate([sweep.samples, SILENCE])
    frequency = np.geomspace(60.0, 3900.0, 60)
    found = harmonics(played + square * played**2 + cube * played**3, sweep, frequency)
    fundamental = 1 + 0.75 * cube
    assert found.fundamental == pytest.approx(fundamental, abs=2e-3)
    # from two octaves above the sweep's beginning on, to 0.02 dB; before, to 0.2 dB
    for order, expected in ((2, square / 2), (3, cube / 4)):
        away = found.level[found.orders.index(order)] - decibels(expected / fundamental)
        assert np.abs(away).max() < 0.2
        assert np.abs(away[frequency > 80]).max() < 0.02
    # −½cos 2φ is sin(2φ − 90°)/2, −¼ sin 3φ is turned by half.
    inner = frequency > 100
    assert np.angle(found.harmonic[0][inner]) == pytest.approx(-np.pi / 2, abs=0.02)
    assert np.abs(np.angle(found.harmonic[1][inner])) == pytest.approx(np.pi, abs=0.02)
    # there is no fourth and no fifth
    assert np.nanmax(found.level[2:, frequency > 100]) < -75


@pytest.mark.parametrize("late", [0, 480, 9000])
def test_a_driver_that_distorts_and_is_late(late):
    # A static square before a filter: the second harmonic is a/2·|H(2f)|/|H(f)|.
    square = 0.02
    sweep = make_sweep(50.0, 9000.0, 1.5, RATE)
    system = ss.butter(2, [200.0, 8000.0], "band", fs=RATE, output="sos")
    played = np.concatenate([np.zeros(late), sweep.samples, SILENCE])
    recording = ss.sosfilt(system, played + square * played**2)
    frequency = np.geomspace(250.0, 7500.0, 50)
    found = harmonics(recording, sweep, frequency)
    own = [ss.sosfreqz(system, order * frequency, fs=RATE)[1] for order in (1, 2)]
    expected = square / 2 * np.abs(own[1] / own[0])
    assert found.level[0] == pytest.approx(decibels(expected), abs=0.05)
    flight = np.exp(-2j * np.pi * frequency * late / RATE)
    assert found.fundamental == pytest.approx(own[0] * flight, abs=5e-3)


def test_a_clean_recording_has_no_harmonics():
    system = ss.butter(2, [100.0, 5000.0], "band", fs=RATE, output="sos")
    recording = ss.sosfilt(system, np.concatenate([SAMPLES, SILENCE]))
    found = harmonics(recording, SWEEP, np.geomspace(100.0, 5000.0, 40))
    assert np.nanmax(found.level) < -80


def test_noise_under_harmonics_is_that_of_the_silence():
    sigma, random = 1e-3, np.random.default_rng(21)
    silence = sigma * random.standard_normal(round(RATE))
    played = np.concatenate([SAMPLES, SILENCE])
    frequency = np.geomspace(200.0, 4000.0, 200)
    found = harmonics(
        played + sigma * random.standard_normal(played.size), SWEEP, frequency, silence=silence
    )
    assert found.noise is not None
    # With nothing but noise in them, harmonics are as strong as the noise that is stated.
    power = np.mean(np.abs(found.harmonic / found.noise) ** 2, axis=1)
    assert 10 * np.log10(power) == pytest.approx(0, abs=1)


def test_harmonics_beyond_half_the_sampling_rate_are_not_told():
    found = harmonics(np.concatenate([SAMPLES, SILENCE]), SWEEP, np.array([4000.0, 9000.0]))
    assert list(found.orders) == [2, 3, 4, 5]
    assert np.isnan(found.harmonic).tolist() == [
        [False, False],
        [False, True],
        [False, True],
        [False, True],
    ]
    with pytest.raises(RoundoverError, match="from 22 to"):
        harmonics(SAMPLES, SWEEP, np.array([21.0]))


def test_noise_before_the_sweep_tells_that_of_the_transfer():
    # White noise of variance σ² leaves σ²·Σw² in the gated transform, over |X|² (closed form).
    sigma = 3e-3
    gate = Gate(0.008, 0.009, 0.018, 0.02, arrival=0.01)
    tones = np.geomspace(300.0, 15_000.0, 40)
    shape = deconvolved(np.concatenate([SAMPLES, SILENCE]), SWEEP)
    weight = noise_weight(shape, gate)
    random = np.random.default_rng(11)
    silence = sigma * random.standard_normal(round(RATE))
    density = silence_density(silence, RATE, tones)
    stated = transfer_noise(density, SWEEP, tones, weight)
    closed = sigma * np.sqrt(weight) / (0.5 * np.sqrt(SWEEP.rate / tones) * RATE)
    # About thirty spectra under half-overlapping windows scatter by 1/√30 in power, 0.8 dB.
    assert decibels(stated / closed) == pytest.approx(0, abs=2.5)
    assert np.mean(decibels(stated / closed)) == pytest.approx(0, abs=0.3)
    size = SAMPLES.size + SILENCE.size
    trials = [
        gated(deconvolved(sigma * random.standard_normal(size), SWEEP), gate, tones)
        for _ in range(8)
    ]
    power = np.mean(np.abs(trials) ** 2, axis=0)
    # 320 powers of one noise: 6 % by themselves.
    assert np.mean(power / closed**2) == pytest.approx(1, rel=0.15)
    # twice the gain in the loopback halves what the same noise makes of the ratio
    halved = transfer_noise(density, SWEEP, tones, weight, gain=2.0)
    assert halved == pytest.approx(stated / 2)


def test_what_converters_add_to_every_sample_is_no_noise():
    """White noise of rms σ has the two-sided density σ²/f_s at every frequency, offset or not."""
    noise = 1e-5 * np.random.default_rng(8).standard_normal(24_000)
    low = np.array([20.0, 40.0, 100.0, 1000.0])
    alone = silence_density(noise, RATE, low)
    np.testing.assert_allclose(silence_density(noise + 1e-3, RATE, low), alone, rtol=0.05)
    np.testing.assert_allclose(alone, 1e-10 / RATE, rtol=0.5)


def test_the_valid_band_is_the_unbroken_one():
    frequency = np.geomspace(10.0, 20_000.0, 300)
    response = 1 / np.sqrt(1 + (100 / frequency) ** 8) / (1 + frequency / 10_000)
    response[np.argmin(np.abs(frequency - 8000))] = 1e-4
    band = valid_band(frequency, response, np.full(300, 0.01), 20.0)
    assert band is not None
    # (f/100)⁴ passes 0.1 at 100·0.1^¼ Hz.
    assert band[0] == pytest.approx(100 * 0.1**0.25, rel=0.03)
    assert band[1] == pytest.approx(8000, rel=0.03)
    assert valid_band(frequency, response, np.full(300, 0.2), 20.0) is None


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((20.0, 25.0, 1.0, RATE), "half an octave"),
        ((20.0, 24_000.0, 1.0, RATE), "at the latest"),
        ((1.0, 20_000.0, 1.0, RATE), "too short"),
    ],
)
def test_impossible_sweeps_are_refused(arguments, words):
    with pytest.raises(RoundoverError, match=words):
        make_sweep(*arguments)


def test_recordings_that_cannot_be_used_are_refused():
    with pytest.raises(RoundoverError, match="silent again"):
        deconvolved(SAMPLES[:1000], SWEEP)
    with pytest.raises(RoundoverError, match="one channel of each"):
        deconvolved(np.array([SAMPLES, SAMPLES]), SWEEP)
    with pytest.raises(RoundoverError, match="loopback was recorded"):
        deconvolved(SAMPLES, SWEEP, np.zeros(SAMPLES.size))
    with pytest.raises(RoundoverError, match="before the sweep"):
        silence_density(np.zeros(10), RATE, FREQUENCY)
