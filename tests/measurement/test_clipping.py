"""Runs at full scale, in recordings made for it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.io import wavfile

from acoustics.measurement import Clip, Recording, RecordingError, clipped, read_wav

RATE = 48000


def recording(samples, full_scale=1.0):
    samples = np.atleast_2d(np.asarray(samples, dtype=float))
    return Recording(samples, RATE, "take.wav", full_scale, np.zeros(len(samples)))


def test_runs_are_found_with_channel_place_and_length():
    samples = np.zeros((2, 20))
    samples[0, 3:7] = 1.0
    samples[1, 0:3] = -1.0
    samples[1, 17:20] = 1.0
    assert clipped(recording(samples)) == (Clip(0, 3, 4), Clip(1, 0, 3), Clip(1, 17, 3))


def test_short_touches_and_runs_of_both_signs_are_not_clipping():
    assert clipped(recording([0, 1, 1, 0, 1, -1, 1, -1, 0])) == ()
    assert clipped(recording([0, 1, 1, 0]), shortest=2) == (Clip(0, 1, 2),)
    assert clipped(recording([0, 1, 1, -1, -1, -1])) == (Clip(0, 3, 3),)


@pytest.mark.parametrize("kind", [np.int16, np.int32])
def test_an_overdriven_sine_clips_once_a_half_wave(tmp_path, kind):
    count, period = 4800, 480
    sine = 1.5 * np.sin(2 * np.pi * (np.arange(count) + 0.5) / period)
    half = 2.0 ** (8 * np.dtype(kind).itemsize - 1)
    written = np.clip(sine * half, -half, half - 1).astype(kind)
    wavfile.write(tmp_path / "loud.wav", RATE, written)
    clips = clipped(read_wav(tmp_path / "loud.wav"))
    assert len(clips) == 2 * count // period
    # |sin| > 1/1.5 over the middle of each half wave.
    expected = period * (0.5 - np.arcsin(1 / 1.5) / np.pi)
    assert all(abs(clip.length - expected) <= 1 for clip in clips)
    wavfile.write(tmp_path / "soft.wav", RATE, (written * 0.99).astype(kind))
    assert clipped(read_wav(tmp_path / "soft.wav")) == ()


def test_without_full_scale_nothing_can_be_said():
    with pytest.raises(RecordingError, match="state full_scale"):
        clipped(recording([2, 2, 2], None))
    assert clipped(recording([2, 2, 2], None), full_scale=2.0) == (Clip(0, 0, 3),)
