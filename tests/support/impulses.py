"""Sampled impulses of known systems at known delays."""

from __future__ import annotations

import numpy as np
import scipy.signal as ss

from acoustics.measurement.impulse import Impulse

RATE = 48_000.0


def band_limit(frequency):
    """1 up to 0.9 of half the sampling rate, half a cosine to 0 at it: a converter's filter."""
    half = RATE / 2
    return 0.5 - 0.5 * np.cos(np.pi * np.clip((half - frequency) / (0.1 * half), 0, 1))


def impulse(delay, system=None, *, size=8192, noise=0.0, seed=0, gain=1.0):
    """An analogue system (scipy's b, a; none: all frequencies alike) after a delay, with noise.

    `noise` is the rms over the peak.
    """
    frequency = np.fft.rfftfreq(size, 1 / RATE)
    response = np.ones(frequency.size, complex)
    if system is not None:
        _, response = ss.freqs(*system, 2 * np.pi * frequency)
    response = gain * response * band_limit(frequency) * np.exp(-2j * np.pi * frequency * delay)
    samples = np.fft.irfft(response, size)
    random = np.random.default_rng(seed).standard_normal(size)
    return Impulse(samples + noise * np.abs(samples).max() * random, RATE)
