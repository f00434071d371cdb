"""Impulse responses: WAV by scipy.io.wavfile, spectra by numpy's FFT, truths in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.io import wavfile

from acoustics.case.design.model import FrequencyGrid, Processor
from acoustics.conventions import RoundoverError
from acoustics.listening.impulse_responses import impulse_responses
from acoustics.report.open_data import write_impulses
from support.cases import pass_branch
from support.written_data import HARMFUL, predicted_two_way

RATE = 48_000
BAND = (40.0, 18_000.0)
"""Hz, between which the samples are the prediction."""


@pytest.fixture(scope="module")
def prediction():
    return predicted_two_way(HARMFUL)[1]


@pytest.fixture(scope="module")
def written(prediction, tmp_path_factory):
    """Samples by the name of the file, and what they were made of."""
    responses = impulse_responses(prediction)
    files, unit = write_impulses(responses, tmp_path_factory.mktemp("wav"))
    assert unit == 1
    found = {}
    for file in files:
        rate, samples = wavfile.read(file)
        assert (rate, samples.dtype, samples.ndim) == (RATE, np.float32, 1)
        found[file.name] = samples.astype(float)
    return found, responses


def some_within(frequency):
    """Every seventh place of the band: enough, and all octaves are among them."""
    return np.flatnonzero((frequency >= BAND[0]) & (frequency <= BAND[1]))[::7]


def off(samples, lead, frequency, expected):
    """Error of level, dB, and of phase, degrees, by a plain Fourier sum.

    In the band, wherever the response is within 60 dB of its most: single precision ends there.
    """
    inside = some_within(frequency)
    inside = inside[np.abs(expected[inside]) > 1e-3 * np.abs(expected).max()]
    time = np.arange(samples.size) / RATE - lead
    ratio = np.exp(-2j * np.pi * frequency[inside, None] * time) @ samples / expected[inside]
    return np.abs(20 * np.log10(np.abs(ratio))).max(), np.rad2deg(np.abs(np.angle(ratio))).max()


def test_names_of_files_are_safe(written):
    assert list(written[0]) == [
        "impulse-axis-all-drivers.wav",
        "impulse-axis-driver-hyperlink-x-next.wav",
        "impulse-axis-driver-tweeter.wav",
        "impulse-seat-single-all-drivers.wav",
        "impulse-seat-single-driver-hyperlink-x-next.wav",
        "impulse-seat-single-driver-tweeter.wav",
    ]


def test_they_are_the_prediction_again(prediction, written):
    (axis, *drivers, seat, _, _), responses = written[0].values(), written[1]
    straight = prediction.sel(plane="horizontal", angle=0)
    heard = prediction.seat_total.sel(surroundings="with reflections", ear_height=0.9).squeeze()
    pairs = [(axis, straight.arc_total), (seat, heard)]
    pairs += list(zip(drivers, straight.arc_pressure, strict=True))
    for samples, expected in pairs:
        level, phase = off(samples, 0.1, prediction.frequency.values, expected.values)
        assert level < 0.01  # 0.1 is promised; single precision and the window take far less
        assert phase < 0.1
    assert responses.attrs["ear_height"] == 0.9


def test_between_the_frequencies_they_are_the_truth(prediction, written):
    # The same design predicted at frequencies that lie between: point sources in free space and
    # their image in the floor, so in closed form. A cubic follows what turns little.
    between = predicted_two_way(HARMFUL, frequencies=FrequencyGrid(20.3, 20_000.0, 37))[1]
    frequency = between.frequency.values
    axis = written[0]["impulse-axis-all-drivers.wav"]
    seat = written[0]["impulse-seat-single-all-drivers.wav"]
    straight = between.arc_total.sel(plane="horizontal", angle=0).values
    assert off(axis, 0.1, frequency, straight)[0] < 0.1
    heard = between.seat_total.sel(surroundings="with reflections", ear_height=0.9).squeeze()
    inside = some_within(frequency)
    time = np.arange(seat.size) / RATE - 0.1
    made = np.exp(-2j * np.pi * frequency[inside, None] * time) @ seat
    # Dips of the floor are deep: held against the size without it.
    most = np.abs(made - heard.values[inside]).max() / np.abs(straight[inside]).max()
    assert most < 10 ** (0.1 / 20) - 1


def test_the_sound_comes_after_its_flight(written):
    # 2 m at 343 m/s, and the floor's image by Pythagoras: seat 2.5 m away, ears 0.9 m high, the
    # tweeter at 0.6 + 0.19 + 0.1 = 0.89 m.
    axis, responses = written[0]["impulse-axis-driver-tweeter.wav"], written[1]
    late = np.argmax(np.abs(axis)) / RATE - responses.attrs["lead"]
    assert late == pytest.approx(2 / 343, abs=1.5 / RATE)
    seat = written[0]["impulse-seat-single-driver-tweeter.wav"]
    direct, floor = np.hypot(2.5, 0.9 - 0.89) / 343, np.hypot(2.5, 0.9 + 0.89) / 343
    heard = np.abs(seat) / np.abs(seat).max()
    near = np.abs(responses.time.values - floor) < 3 / RATE
    assert heard[near].max() > 0.5
    quiet = (responses.time.values > direct + 0.001) & (responses.time.values < floor - 0.0005)
    assert heard[quiet].max() < 0.1
    # Nothing to speak of before: -50 dB is promised.
    assert np.abs(axis[: np.argmax(np.abs(axis)) - 200]).max() < 10 ** (-50 / 20)


def test_drivers_add_up_to_all(written):
    axis, woofer, tweeter, *_ = written[0].values()
    np.testing.assert_allclose(woofer + tweeter, axis, atol=1e-7)


def test_a_long_delay_is_taken_out_between():
    # 5 ms turn the phase by three turns from one frequency to the next at 20 kHz: a digital delay.
    _, late = predicted_two_way(woofer={"delay": 0.005})
    _, plain = predicted_two_way()
    delayed, straight = (impulse_responses(each).axis_pressure.values[0] for each in (late, plain))
    shift = round(0.005 * RATE)
    most = np.abs(straight).max()
    middle = slice(shift + 3000, -8000)  # away from where the ends fade
    np.testing.assert_allclose(delayed[middle], np.roll(straight, shift)[middle], atol=2e-3 * most)


def test_loud_ones_are_scaled_together_and_say_so(prediction, tmp_path):
    responses = impulse_responses(prediction)
    loud = responses * (5.0 / float(np.abs(responses.axis_total).max()))
    files, unit = write_impulses(loud.assign_attrs(responses.attrs), tmp_path)
    assert unit in (4.0, 8.0, 16.0)
    samples = wavfile.read(next(iter(files)))[1]
    np.testing.assert_allclose(samples * unit, loud.axis_total, atol=1e-6)
    assert max(np.abs(wavfile.read(file)[1]).max() for file in files) <= 1


@pytest.mark.parametrize("rate", [44_100.0, 16_000.0])
def test_other_rates_hold_what_fits(prediction, rate):
    responses = impulse_responses(prediction, rate)
    frequency = prediction.frequency.values
    inside = np.flatnonzero((frequency > 40) & (frequency < 0.44 * min(rate, 40_000)))[::7]
    made = np.exp(-2j * np.pi * frequency[inside, None] * responses.time.values)
    made = made @ responses.axis_total.values
    expected = prediction.arc_total.sel(plane="horizontal", angle=0).values[inside]
    np.testing.assert_allclose(20 * np.log10(np.abs(made / expected)), 0, atol=0.1)


def test_too_few_frequencies_and_a_wrong_rate_are_told(prediction):
    _, coarse = predicted_two_way(frequencies=FrequencyGrid(20.0, 20_000.0, 6))
    with pytest.raises(RoundoverError, match="12 frequencies per octave"):
        impulse_responses(coarse)
    with pytest.raises(RoundoverError, match="8000 Hz or more, not 0"):
        impulse_responses(prediction, 0)


def test_latency_of_taps_is_kept_as_delay():
    # The same computed filters, ideal and as taps: all comes later by the latency, little else.
    given = {"slopes": "acoustic", "level": 80.0}
    branches = (
        pass_branch("woofer", "low-pass", 2500.0, **given),
        pass_branch("tweeter", "high-pass", 2500.0, **given),
    )
    _, ideal = predicted_two_way(crossover=branches)
    _, taps = predicted_two_way(crossover=branches, processor=Processor(float(RATE), 511))
    first, later = (impulse_responses(each).axis_total.values for each in (ideal, taps))
    shift = round(taps.attrs["latency"] * RATE)
    assert shift > 10
    peaks = [int(np.argmax(np.abs(each))) for each in (first, later)]
    assert peaks[1] - peaks[0] == shift
    near = slice(peaks[0] - 50, peaks[0] + 200)
    most = np.abs(first).max()
    np.testing.assert_allclose(later[shift:][near], first[near], atol=0.05 * most)
