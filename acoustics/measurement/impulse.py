"""An impulse response, and its transfer function at any frequencies."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.measurement.recording import Recording, one_channel

KERNEL = 32
"""Samples to either side that take part in a value between samples."""

KERNEL_SHAPE = 8.0
"""Kaiser's β of the kernel: up to 0.9 of half the sampling rate it errs by less than 1e-3."""


@dataclass(frozen=True)
class Impulse:
    """A sampled impulse response.

    The transfer function is Σ samples·exp(−jωt), so a sample has its unit: V/V or Pa/V, say.

    Attributes:
        samples: shape (n,), real.
        sampling_rate: Hz.
        start: time of the first sample, s, against the loopback or else the playback.
    """

    samples: np.ndarray
    sampling_rate: float
    start: float = 0.0

    def __post_init__(self) -> None:
        if self.samples.ndim != 1 or self.samples.size < 2:
            raise RoundoverError(
                "an impulse response is one row of two samples or more, not an array of the shape "
                f"{self.samples.shape}; take one channel"
            )
        if not np.all(np.isfinite(self.samples)):
            raise RoundoverError("the impulse response holds samples that are no numbers")
        if not (math.isfinite(self.sampling_rate) and self.sampling_rate > 0):
            raise RoundoverError(
                f"a sampling rate is a positive number of hertz, not {self.sampling_rate!r}"
            )

    @property
    def time(self) -> np.ndarray:
        """Of every sample, s, shape (n,)."""
        return self.start + np.arange(self.samples.size) / self.sampling_rate

    @property
    def stop(self) -> float:
        """Time of the last sample, s."""
        return self.start + (self.samples.size - 1) / self.sampling_rate

    def part(self, start: float, stop: float) -> Impulse:
        """The samples from one time to another (s), both cut to what there is."""
        first = max(0, math.ceil((start - self.start) * self.sampling_rate - 1e-6))
        last = math.floor((stop - self.start) * self.sampling_rate + 1e-6)
        return Impulse(
            self.samples[first : max(last + 1, 0)],
            self.sampling_rate,
            self.start + first / self.sampling_rate,
        )


def impulse_of(recording: Recording, channel: int = 1) -> Impulse:
    """The impulse response in a channel of a file, counted from 1."""
    one = one_channel(recording, channel)
    return Impulse(one.samples[0], one.sampling_rate, float(one.start[0]))


def transfer(impulse: Impulse, frequency: np.ndarray, reference: float = 0.0) -> np.ndarray:
    """Σ samples·exp(−jω(t − reference)): the transform at exactly the frequencies asked for.

    Args:
        impulse: the response.
        frequency: Hz, any, shape (frequency,).
        reference: s; time that counts as 0, that of the loopback unless said otherwise.

    Returns:
        Complex, shape (frequency,), in the unit of the samples.
    """
    # Times are split into long and short steps, so that few exponentials serve many samples.
    block = math.isqrt(impulse.samples.size) + 1
    rows = -(-impulse.samples.size // block)
    samples = np.zeros(rows * block)
    samples[: impulse.samples.size] = impulse.samples
    turn = -2j * np.pi * np.atleast_1d(np.asarray(frequency, dtype=float))[:, None]
    short = np.exp(turn * np.arange(block) / impulse.sampling_rate)
    long = np.exp(
        turn * (impulse.start - reference + np.arange(rows) * block / impulse.sampling_rate)
    )
    answer: np.ndarray = np.sum((short @ samples.reshape(rows, block).T) * long, axis=1)
    return answer


def between_samples(impulse: Impulse, time: np.ndarray) -> np.ndarray:
    """Band-limited interpolation: values at any times (s), shape (time,); 0 beyond the samples.

    A sinc under a Kaiser window (Oppenheim & Schafer, Discrete-Time Signal Processing, ch. 7, from
    memory).
    """
    place = (np.atleast_1d(np.asarray(time, dtype=float)) - impulse.start) * impulse.sampling_rate
    index = np.floor(place).astype(int)[:, None] + np.arange(1 - KERNEL, KERNEL + 1)
    away = place[:, None] - index
    window = np.i0(KERNEL_SHAPE * np.sqrt(np.clip(1 - (away / KERNEL) ** 2, 0, None)))
    there = (index >= 0) & (index < impulse.samples.size)
    samples = np.where(there, impulse.samples[np.clip(index, 0, impulse.samples.size - 1)], 0.0)
    answer: np.ndarray = np.sum(samples * np.sinc(away) * window, axis=1) / np.i0(KERNEL_SHAPE)
    return answer
