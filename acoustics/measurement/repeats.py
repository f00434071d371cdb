"""The same sweep played several times: averaged, and checked for drift between the times."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.fft import irfft, rfft

from acoustics.conventions import RoundoverError
from acoustics.measurement.findings import Finding

LOSS = 0.1
"""dB of the mean at the top of the band: from here on drift is worth saying."""


@dataclass(frozen=True)
class Repeats:
    """Several recordings of the same signal.

    Attributes:
        mean: shape (n,).
        delays: how much later each came than the first, s, shape (repeat,).
        drift: by which the delay grows, s per s: 1e-6 is one part in a million.
        noise: complex spectra of each repeat less the mean of all, at its own delay, shape
            (repeat, n // 2 + 1).
        sampling_rate: Hz.
        band: Hz, from which the delays were told.
        aligned: whether the delays were taken out of the mean.
    """

    mean: np.ndarray
    delays: np.ndarray
    drift: float
    noise: np.ndarray
    sampling_rate: float
    band: tuple[float, float]
    aligned: bool

    @property
    def mean_noise(self) -> np.ndarray:
        """Rms noise left in the spectrum of the mean (√Σ|Y − Ȳ|²/(K(K − 1))), (n // 2 + 1,)."""
        count = len(self.noise)
        answer: np.ndarray = np.sqrt(
            np.sum(np.abs(self.noise) ** 2, axis=0) / (count * (count - 1))
        )
        return answer

    @property
    def loss(self) -> float:
        """What the delays take from the mean at the top of the band, dB, 0 or more."""
        if self.aligned:
            return 0.0
        kept = float(np.abs(np.mean(np.exp(-2j * np.pi * self.band[1] * self.delays))))
        return -20 * math.log10(max(kept, 1e-6))


def split_repeats(recording: np.ndarray, first: int, period: int, count: int) -> np.ndarray:
    """The repeats of a recording, shape (count, period).

    Args:
        recording: shape (n,).
        first: sample at which the first begins.
        period: samples from one to the next.
        count: how many.
    """
    last = first + period * count
    if first < 0 or last > recording.size:
        raise RoundoverError(
            f"{count} repeats of {period} samples from sample {first} on take {last} samples; the "
            f"recording has {recording.size}"
        )
    return recording[first:last].reshape(count, period)


def averaged(
    repeats: np.ndarray,
    sampling_rate: float,
    band: tuple[float, float],
    *,
    align: bool = False,
) -> Repeats:
    """Mean of repeats, and how they lie in time against the first.

    Each delay is that of the cross spectrum with the first over the band: whole samples from its
    correlation's peak, the rest from its phase slope weighted by its size.

    Args:
        repeats: two or more, shape (repeat, n), each beginning one period after the one before.
        sampling_rate: Hz.
        band: Hz, where the signal is strong.
        align: whether to take the delays out before averaging.
    """
    count, size = repeats.shape
    if count < 2:
        raise RoundoverError("one repeat has nothing to be averaged with; record two or more")
    frequency = np.fft.rfftfreq(size, 1 / sampling_rate)
    inside = (frequency >= band[0]) & (frequency <= band[1])
    spectra = rfft(repeats, axis=1)
    cross = np.where(inside, spectra * np.conj(spectra[0]), 0.0)
    if np.count_nonzero(inside) < 2 or not np.all(np.any(np.abs(cross) > 0, axis=1)):
        raise RoundoverError(f"a repeat holds nothing between {band[0]:g} and {band[1]:g} Hz")
    delays = np.array([_delay(frequency, row, size, sampling_rate) for row in cross])
    when = np.arange(count) * size / sampling_rate
    drift = float(np.polyfit(when, delays, 1)[0])
    still = spectra * np.exp(2j * np.pi * frequency * delays[:, None])
    mean = irfft(still.mean(axis=0), size) if align else repeats.mean(axis=0)
    noise = still - still.mean(axis=0)
    return Repeats(mean, delays, drift, noise, sampling_rate, band, align)


def drifting(repeats: Repeats) -> Finding | None:
    """Whether the repeats lie too far apart in time for their mean to be right at the top."""
    loss = repeats.loss
    if loss < LOSS:
        return None
    most = 1e6 * float(np.ptp(repeats.delays))
    drift = 1e6 * repeats.drift
    straight = repeats.drift * repeats.mean.size / repeats.sampling_rate
    off = repeats.delays - straight * np.arange(repeats.delays.size)
    steady = np.ptp(off) < 0.2 * np.ptp(repeats.delays)
    advice = (
        "Let recording and playback run on one clock, or align the repeats before averaging."
        if steady
        else "Look for samples that were lost or a microphone that moved, and record again."
    )
    return Finding(
        what=(
            f"The repeats lie up to {most:.1f} µs apart, drifting by {drift:.1f} parts in a "
            f"million; their mean loses {loss:.1f} dB"
        ),
        where=f"at {repeats.band[1]:.0f} Hz",
        certain=True,
        advice=advice,
    )


def _delay(frequency: np.ndarray, cross: np.ndarray, size: int, sampling_rate: float) -> float:
    """Delay that a cross spectrum tells, s."""
    peak = int(np.argmax(irfft(cross, size)))
    whole = (peak if peak <= size // 2 else peak - size) / sampling_rate
    still = cross * np.exp(2j * np.pi * frequency * whole)
    weight = np.abs(still)
    turn = np.sum(weight * frequency * np.angle(still))
    return whole - float(turn / (2 * np.pi * np.sum(weight * frequency**2)))
