"""The shipped recordings: small, as the design makes them, and good for what they are for."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import acoustics as ac
from acoustics.measurement.arrival import noise_before
from acoustics.measurement.calibration import read_calibration
from acoustics.measurement.checks import noisy, too_loud
from acoustics.measurement.demonstration import (
    DISTANCE,
    MICROPHONE,
    TAKES,
    demonstration_setup,
    microphone_table,
    write_demonstration,
)
from acoustics.measurement.harmonics import harmonics
from acoustics.measurement.impulse import transfer
from acoustics.measurement.sweep import deconvolved, linear_part
from acoustics.measurement.wav import read_wav
from acoustics.measurement.wav_bytes import wav_bytes

CASES = Path(__file__).parents[2] / "cases"
FOLDER = CASES / "compact-measured" / "recordings"
MOST_BYTES = 4_000_000
ONE_BIT = 2.0**-23


@pytest.fixture(scope="module")
def case():
    return ac.read_case(CASES / "compact-measured")


@pytest.fixture(scope="module")
def responses(case):
    setup = demonstration_setup(case)
    found = {}
    for name in TAKES:
        microphone, loopback = read_wav(FOLDER / name, sampling_rate=48_000).samples
        found[name] = deconvolved(microphone, setup.sweep, loopback)
    return setup, found


def test_they_are_small_and_said_to_be_synthetic():
    sizes = [path.stat().st_size for path in FOLDER.iterdir()]
    assert sum(sizes) < MOST_BYTES
    assert "Synthetic" in (FOLDER / "README.md").read_text()


@pytest.mark.slow
def test_they_are_made_again_to_the_bit(case, tmp_path):
    for made in write_demonstration(case, tmp_path):
        if made.suffix == ".wav":
            again, shipped = read_wav(made).samples, read_wav(FOLDER / made.name).samples
            # Another machine's arithmetic may round the last bit the other way.
            assert np.abs(again - shipped).max() <= 1.01 * ONE_BIT
        else:
            assert made.read_bytes() == (FOLDER / made.name).read_bytes()


def test_the_microphones_table_reads_as_it_was_written():
    curve = read_calibration(FOLDER / MICROPHONE)
    frequency, level = microphone_table()
    assert curve.frequency == pytest.approx(frequency)
    assert 20 * np.log10(np.abs(curve.values)) == pytest.approx(level, abs=1e-9)


@pytest.mark.parametrize("name", TAKES)
def test_they_are_loud_and_quiet_enough(name, responses):
    setup, found = responses
    recording = read_wav(FOLDER / name)
    for channel in recording.samples:
        assert too_loud(channel, 48_000, 1.0) is None
    response = linear_part(found[name], setup.sweep).part(-0.03, 0.3)
    assert noisy(response, noise_before(response)) is None


def test_sound_comes_when_it_should(case, responses):
    _, found = responses
    speed = case.air.speed_of_sound
    # The tweeter is straight behind the microphone; the woofer 145 mm below, its cone 18 mm deep.
    for name, way in (("tweeter", DISTANCE), ("woofer", np.hypot(1.0, 0.145) + 0.018)):
        full = found[f"{name}-far.wav"]
        around = full.part(way / speed - 2e-3, way / speed + 2e-3)
        peak = around.time[np.argmax(np.abs(around.samples))]
        # Within a quarter of a period of what the driver does at the top of its band.
        assert 0 < peak - way / speed < (0.1e-3 if name == "tweeter" else 0.3e-3)


def test_harmonics_are_those_put_in(responses):
    setup, found = responses
    recording = read_wav(FOLDER / "woofer-near.wav").samples[0]
    frequency = np.array([200.0, 400.0])
    said = harmonics(
        recording[round(setup.lead * 48_000) :], setup.sweep, frequency, highest_order=3
    )
    linear = linear_part(found["woofer-near.wav"], setup.sweep)
    for row, share in enumerate(setup.distortion):
        # What the sweep held of each goes through the same driver, at its own frequency.
        after = np.abs(transfer(linear, (row + 2) * frequency) / transfer(linear, frequency))
        assert said.level[row] == pytest.approx(20 * np.log10(share * after), abs=0.3)


@pytest.mark.parametrize("channels", [1, 2])
def test_what_is_written_is_read_again(channels, tmp_path):
    random = np.random.default_rng(2)
    samples = np.round(random.uniform(-1, 1, (channels, 500)) * 2**23) / 2**23
    samples[0, :2] = 1.5, -1.5
    (tmp_path / "a.wav").write_bytes(wav_bytes(samples, 44_100.0))
    found = read_wav(tmp_path / "a.wav", sampling_rate=44_100)
    assert np.array_equal(found.samples, np.clip(samples, -1, 1 - 2**-23))
