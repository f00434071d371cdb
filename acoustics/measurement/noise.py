"""How far a transfer function stands above its noise, and over which band."""

from __future__ import annotations

import numpy as np
from scipy.signal import welch

from acoustics.conventions import RoundoverError
from acoustics.measurement.repeats import Repeats
from acoustics.measurement.sweep import Sweep

SEGMENTS = 16
"""Lengths of a segment that silence is cut into; twice as many spectra are averaged."""

LONGEST = 8192
"""Samples of a segment at most."""

LEAST_PLACES = 16
"""Of a spectrum, over which noise between repeats is averaged."""

FEWEST = 256
"""Samples of silence from which a spectrum can be told."""


def silence_density(silence: np.ndarray, sampling_rate: float, frequency: np.ndarray) -> np.ndarray:
    """Two-sided spectral density of what was recorded with everything on and nothing played.

    Means over segments (Welch, IEEE Trans. Audio Electroacoust. 15, 1967, 70, from memory).

    Args:
        silence: shape (n,).
        sampling_rate: Hz.
        frequency: Hz, shape (frequency,).

    Returns:
        Unit² per Hz, shape (frequency,).
    """
    if silence.size < FEWEST:
        raise RoundoverError(
            f"{silence.size} samples of silence are too few to tell the noise from; record "
            f"{FEWEST} or more before the sweep"
        )
    segment = min(LONGEST, max(FEWEST, silence.size // SEGMENTS))
    # What converters add to every sample is no noise, and would leak into the lowest frequencies.
    silence = silence - silence.mean()
    places, density = welch(silence, sampling_rate, nperseg=segment, detrend=False)
    # One-sided, so twice the two-sided density but at both ends of the band, which are left out.
    return np.interp(frequency, places[1:-1], density[1:-1]) / 2


def repeats_density(repeats: Repeats, frequency: np.ndarray) -> np.ndarray:
    """Two-sided spectral density of the noise left in the mean of repeats.

    Means over a third of an octave, and over 16 places of the spectrum at least, because two
    repeats tell no more than one number at each.

    Args:
        repeats: two or more.
        frequency: Hz, shape (frequency,).

    Returns:
        Unit² per Hz, shape (frequency,).
    """
    size = repeats.mean.size
    power = np.concatenate([[0.0], np.cumsum(repeats.mean_noise**2)])
    step = repeats.sampling_rate / size
    half = np.maximum(frequency * (2 ** (1 / 6) - 1) / step, LEAST_PLACES / 2)
    first = np.clip(np.floor(frequency / step - half).astype(int), 1, power.size - 1 - LEAST_PLACES)
    last = np.clip(np.ceil(frequency / step + half).astype(int), LEAST_PLACES + 1, power.size - 1)
    answer: np.ndarray = (power[last] - power[first]) / (last - first)
    return answer / (size * repeats.sampling_rate)


def transfer_noise(
    density: np.ndarray,
    sweep: Sweep,
    frequency: np.ndarray,
    weight: float,
    gain: np.ndarray | float = 1.0,
) -> np.ndarray:
    """Rms noise in a gated transfer function.

    Noise of the two-sided density S leaves S·f_s·Σw² in the transform of the gated impulse, over
    the power of the sweep's spectrum there. Right where the noise varies little over the gate's
    resolution.

    Args:
        density: of the noise in the recording, unit² per Hz, shape (frequency,).
        sweep: that was played.
        frequency: Hz, positive, shape (frequency,).
        weight: sum of the squared window over the samples of the gate (`gate.noise_weight`).
        gain: size of the reference's spectrum over that of the sweep as made: the loopback's gain,
            shape (frequency,) or a number.

    Returns:
        In the unit of the transfer function, shape (frequency,).
    """
    power = density * sweep.sampling_rate * weight
    answer: np.ndarray = np.sqrt(power) / (np.abs(sweep.spectrum(frequency)) * gain)
    return answer


def valid_band(
    frequency: np.ndarray, response: np.ndarray, noise: np.ndarray, least: float
) -> tuple[float, float] | None:
    """Lowest and highest frequency between which a response stands above its noise everywhere.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        response: complex, shape (frequency,).
        noise: rms, in its unit, shape (frequency,).
        least: dB, signal over noise.

    Returns:
        Hz, about where signal over noise is greatest; None if it is too small everywhere.
    """
    inside = above_noise(np.abs(response), noise, least)
    if not inside.any():
        return None
    found = frequency[inside]
    return float(found[0]), float(found[-1])


def above_noise(response: np.ndarray, noise: np.ndarray, least: float) -> np.ndarray:
    """The unbroken run around the greatest ratio where it is at least `least` dB, as `response`."""
    ratio = response / np.maximum(noise, np.finfo(float).tiny)
    enough = ratio >= 10 ** (least / 20)
    below = np.flatnonzero(~enough)
    top = int(np.argmax(ratio))
    first = below[below < top].max(initial=-1) + 1
    last = below[below > top].min(initial=ratio.size)
    answer = np.zeros(ratio.size, bool)
    answer[first:last] = enough[top]
    return answer
