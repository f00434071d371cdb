"""When the sound arrives, to a fraction of a sample."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.curves.minimum_phase import Tails
from acoustics.measurement.excess_delay import COVERAGE, excess_delay
from acoustics.measurement.impulse import Impulse, between_samples, transfer
from acoustics.measurement.noise import above_noise

FEWEST_BEFORE = 32
"""Samples before the peak from which the noise is told."""

AHEAD = 64
"""Samples that are kept before the rise, because the filters of converters ring there."""

SHARE = 0.1
"""Of the peak: what counts as the rise."""

ABOVE_NOISE = 6.0
"""Times the rms noise: what counts as more than noise, in a million samples as well."""

FINE = 8
"""Values looked at in every sample period."""

LEAST_SNR = 30.0
"""dB: of the frequencies that an arrival is told from."""

PER_OCTAVE = 96
"""Frequencies that an arrival is told from."""

ROUNDING = 1e-7
"""Of the strongest response: the least noise that anything recorded has (24 bit)."""

HIGHEST = 0.9
"""Of half the sampling rate: above it converters' filters rule."""


@dataclass(frozen=True)
class Arrival:
    """When a response begins.

    Attributes:
        time: s, on the impulse's time axis.
        uncertainty: s, about 95 %.
        polarity: 1, or −1 for a response that begins with the other sign.
        noise: rms of the samples before it, in their unit.
        band: Hz, from which it was told; None where from the rise alone.
    """

    time: float
    uncertainty: float
    polarity: int
    noise: float
    band: tuple[float, float] | None


def noise_before(impulse: Impulse) -> float:
    """Rms of the first half of what comes before the peak.

    The half next to the peak is left out: there a band-limited impulse rings already.
    """
    peak = int(np.argmax(np.abs(impulse.samples)))
    if peak < FEWEST_BEFORE:
        raise RoundoverError(
            f"only {peak} samples come before the peak, too few to tell the noise; keep at least "
            f"{FEWEST_BEFORE}"
        )
    return float(np.sqrt(np.mean(impulse.samples[: peak // 2] ** 2)))


def first_rise(impulse: Impulse, share: float = SHARE) -> Arrival:
    """When the band-limited response first reaches a share of its peak, or leaves the noise.

    A response of limited bandwidth rises slowly, so this is later than the sound by some part of a
    period of its highest frequencies, and earlier where converters ring ahead: good for placing a
    gate, not for phase. The uncertainty is that of the crossing, by noise over slope.

    Args:
        impulse: with at least 32 samples before its peak.
        share: of the peak.
    """
    noise = noise_before(impulse)
    size = np.abs(impulse.samples)
    step = 1 / impulse.sampling_rate
    top = impulse.time[np.argmax(size)] + step * (np.arange(-FINE, FINE + 1) / FINE)
    peak = float(np.abs(between_samples(impulse, top)).max())
    threshold = max(share * peak, ABOVE_NOISE * noise)
    if threshold > size.max():
        raise RoundoverError(
            "the impulse response does not stand out of its noise; look whether the right sweep "
            "and loopback are stated, or measure louder, longer or closer"
        )
    first = int(np.argmax(size >= threshold))
    fine = impulse.time[first] + step * (np.arange(-2 * FINE, 1) / FINE)
    height = np.abs(between_samples(impulse, fine))
    height[-1] = size[first]
    above = int(np.argmax(height >= threshold))
    above = max(above, 1)
    low, high = height[above - 1], height[above]
    part = (threshold - low) / (high - low)
    slope = (high - low) / (fine[1] - fine[0])
    return Arrival(
        time=float(fine[above - 1] + part * (fine[1] - fine[0])),
        uncertainty=float(COVERAGE * noise / slope),
        polarity=1 if impulse.samples[first] > 0 else -1,
        noise=noise,
        band=None,
    )


def arrival(
    impulse: Impulse,
    band: tuple[float, float] | None = None,
    *,
    tails: Tails | None = None,
    digital: bool = False,
) -> Arrival:
    """When a response arrives: its delay beyond minimum phase, over a band.

    A pure delay of a band-limited impulse, or of any minimum-phase response, is found whatever its
    shape. Reflections are part of the shape: gate them away first. White noise of the rms before
    the peak is taken to lie under the impulse, so shorter ones are told more exactly.

    Args:
        impulse: with at least 32 samples before its peak.
        band: Hz; where the signal is 30 dB above the noise, about its strongest frequency, if not
            given.
        tails: slopes of the magnitude beyond the band; fitted and varied if not given.
        digital: whether the system exists in samples only, as for `minimum_phase`.

    Returns:
        The arrival, its uncertainty at least that of the noise.
    """
    rise = first_rise(impulse)
    impulse = impulse.part(rise.time - AHEAD / impulse.sampling_rate, impulse.stop)
    highest = HIGHEST * impulse.sampling_rate / 2
    lowest = 2 * impulse.sampling_rate / impulse.samples.size
    count = int(PER_OCTAVE * math.log2(highest / lowest)) + 1
    frequency = np.geomspace(lowest, highest, count)
    response = transfer(impulse, frequency, rise.time)
    size = impulse.samples.size
    strongest = float(np.abs(response).max())
    under = np.full(count, max(math.sqrt(size) * rise.noise, ROUNDING * strongest))
    good = above_noise(np.abs(response), under, LEAST_SNR)
    if band is not None:
        good &= (frequency >= band[0]) & (frequency <= band[1])
    if np.count_nonzero(good) < PER_OCTAVE:
        raise RoundoverError(
            f"the signal is {LEAST_SNR:g} dB above the noise over less than an octave of the band; "
            "measure louder, or gate more of the noise away"
        )
    used = frequency[good]
    # Closer than the reciprocal of the length, frequencies say the same thing again.
    own = np.minimum(np.gradient(used) * size / impulse.sampling_rate, 1.0)
    found = excess_delay(
        used,
        response[good],
        tails=tails,
        variance=(under / np.abs(response))[good] ** 2 / (2 * own),
        sampling_rate=impulse.sampling_rate if digital else None,
    )
    return Arrival(
        time=rise.time + found.time,
        uncertainty=found.uncertainty,
        polarity=found.polarity,
        noise=rise.noise,
        band=(float(used[0]), float(used[-1])),
    )
