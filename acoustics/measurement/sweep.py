"""The exponential sine sweep: made, taken out again, its harmonics apart."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft

from acoustics.conventions import RoundoverError
from acoustics.measurement.gate import Gate
from acoustics.measurement.impulse import Impulse

EDGE = 2 ** (1 / 6)
"""Ratio over which the sweep fades in and out, and the band of its impulses likewise."""

HIGHEST = 0.98
"""Of half the sampling rate: the highest a sweep may run."""


@dataclass(frozen=True)
class Sweep:
    """A synchronised exponential sweep, sin(2πf₁L·exp(t/L)).

    f₁L is a whole number, so that it starts at 0 and its harmonics are the sweep itself, earlier by
    L·ln m (Novak, Lotton & Simon, J. Audio Eng. Soc. 63, 2015, 786, from memory; the sweep after
    Farina, AES 108th convention, 2000, preprint 5093).

    Attributes:
        lowest, highest: Hz, where it begins and ends.
        rate: L, s, in which the frequency grows by e.
        sampling_rate: Hz.
    """

    lowest: float
    highest: float
    rate: float
    sampling_rate: float

    @property
    def duration(self) -> float:
        """Of the sweep, s."""
        return self.rate * math.log(self.highest / self.lowest)

    @property
    def valid(self) -> tuple[float, float]:
        """Band in which it plays at its full level, Hz."""
        return self.lowest * EDGE, self.highest / EDGE

    @property
    def samples(self) -> np.ndarray:
        """The sweep, peak 1, faded in and out over a sixth of an octave, shape (n,)."""
        return self.overtone(1)

    def overtone(self, order: int) -> np.ndarray:
        """What x^order of this sweep holds at order times its frequency, amplitude 1, shape (n,).

        The fades are taken to the same power. It ends at half the sampling rate.
        """
        time = np.arange(math.floor(self.duration * self.sampling_rate) + 1) / self.sampling_rate
        frequency = self.lowest * np.exp(time / self.rate)
        fades = _faded(frequency, self.lowest, self.highest) ** order
        answer = fades * np.sin(2 * np.pi * order * self.rate * frequency)
        answer[order * frequency >= self.sampling_rate / 2] = 0.0
        return answer

    def spectrum(self, frequency: np.ndarray) -> np.ndarray:
        """Spectrum of the sweep as if it went on for ever, Σ samples·exp(−jωt), (frequency,).

        X = ½√(L/f)·exp(j2πfL(1 − ln(f/f₁)) − jπ/4) times the sampling rate, by the method of
        stationary phase (Novak, Lotton & Simon 2015, eq. 42, number from memory).
        """
        turn = 2 * np.pi * frequency * self.rate * (1 - np.log(frequency / self.lowest))
        size = 0.5 * np.sqrt(self.rate / frequency) * self.sampling_rate
        answer: np.ndarray = size * np.exp(1j * (turn - np.pi / 4))
        return answer

    def ahead(self, order: int) -> float:
        """How much earlier than the linear response that of a harmonic comes, s."""
        return self.rate * math.log(order)


def make_sweep(lowest: float, highest: float, duration: float, sampling_rate: float) -> Sweep:
    """A sweep of about this duration: its rate is rounded so that f₁L is a whole number.

    Args:
        lowest: Hz; a sixth of an octave below what is wanted.
        highest: Hz, at most 0.98 of half the sampling rate.
        duration: s.
        sampling_rate: Hz.
    """
    if not 0 < lowest * EDGE**3 < highest:
        raise RoundoverError(
            f"a sweep runs upward over half an octave or more, not from {lowest:g} to "
            f"{highest:g} Hz; begin lower or end higher"
        )
    if highest > HIGHEST * sampling_rate / 2:
        raise RoundoverError(
            f"a sweep at {sampling_rate:g} Hz sampling rate ends at "
            f"{HIGHEST * sampling_rate / 2:g} Hz at the latest, not at {highest:g} Hz"
        )
    turns = round(lowest * duration / math.log(highest / lowest))
    if turns < 1:
        raise RoundoverError(
            f"{duration:g} s are too short for a sweep from {lowest:g} Hz; take "
            f"{math.log(highest / lowest) / lowest:.2g} s or more"
        )
    return Sweep(lowest, highest, turns / lowest, sampling_rate)


def deconvolved(
    recording: np.ndarray, sweep: Sweep, reference: np.ndarray | None = None
) -> Impulse:
    """Impulse response of what lies between the reference and the recording.

    Spectrum over spectrum, in the sweep's band alone. Distortion comes ahead of the response, the
    m-th harmonic by `sweep.ahead(m)`.

    Args:
        recording: shape (n,), at the sweep's sampling rate.
        sweep: that was played.
        reference: what was sent, shape (n,), its first sample at the same time as the recording's:
            the loopback recorded together with it. The sweep as made, played from the first sample
            on, if not given: times then hold the latency of the converters.

    Returns:
        The response; time 0 is the reference's. Its spectrum is right within `sweep.valid` and
        fades over a sixth of an octave beyond.
    """
    sent = sweep.samples if reference is None else np.asarray(reference, dtype=float)
    if recording.ndim != 1 or sent.ndim != 1:
        raise RoundoverError(
            f"a recording is one row of samples, not an array of the shape {recording.shape} (the "
            f"reference {sent.shape}); take one channel of each"
        )
    early = sweep.samples.size
    if recording.size < early:
        raise RoundoverError(
            f"the recording lasts {recording.size / sweep.sampling_rate:.3g} s and the sweep "
            f"{sweep.duration:.3g} s; record until the room is silent again"
        )
    length = next_fast_len(max(recording.size, sent.size) + early, real=True)
    frequency = np.fft.rfftfreq(length, 1 / sweep.sampling_rate)
    inside = (frequency > sweep.lowest) & (frequency < sweep.highest)
    below = rfft(sent, length)[inside]
    if np.any(np.abs(below) == 0):
        raise RoundoverError(
            "the reference is silent in the sweep's band; check that the loopback was recorded"
        )
    spectrum = np.zeros(frequency.size, dtype=complex)
    band = _faded(frequency[inside], sweep.lowest, sweep.highest)
    spectrum[inside] = band * rfft(recording, length)[inside] / below
    samples = np.roll(irfft(spectrum, length), early)
    return Impulse(samples, sweep.sampling_rate, -early / sweep.sampling_rate)


def linear_part(full: Impulse, sweep: Sweep, late: float = 0.0) -> Impulse:
    """The linear response, to the end of the samples; opens half-way to the second harmonic.

    The band's lower end rings ahead into what is cut away: of a sweep of 1.5 s from 20 Hz this
    moves the level at 40 Hz by up to 0.1 dB, from 60 Hz on by less than 0.02 dB.

    Args:
        full: of `deconvolved`.
        sweep: that was played.
        late: s, by which the sound comes later than the reference. Flight alone may be left out;
            the latency of converters, where there was no loopback, may be longer than harmonics
            are ahead.
    """
    half = sweep.ahead(2) / 2
    gate = Gate(late - half, late - half / 4, full.stop, full.stop, arrival=late)
    samples = full.samples * gate.weights(full.time)
    return Impulse(samples, full.sampling_rate, full.start).part(late - half, full.stop)


def _faded(frequency: np.ndarray, lowest: float, highest: float) -> np.ndarray:
    """1 inside the band, by half a cosine in log frequency to 0 at its ends."""
    octaves = np.minimum(np.log2(frequency / lowest), np.log2(highest / frequency))
    answer: np.ndarray = 0.5 - 0.5 * np.cos(np.pi * np.clip(octaves / math.log2(EDGE), 0, 1))
    return answer
