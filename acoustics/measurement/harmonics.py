"""Harmonic distortion over frequency, out of one sweep."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft
from scipy.signal import fftconvolve

from acoustics.conventions import RoundoverError
from acoustics.measurement.gate import Gate, gated, noise_weight
from acoustics.measurement.impulse import Impulse
from acoustics.measurement.noise import silence_density, transfer_noise
from acoustics.measurement.sweep import Sweep, deconvolved, linear_part

HIGHEST_ORDER = 5

HIGHEST = 0.95
"""Of half the sampling rate: the highest harmonic that is told."""

AHEAD = 0.3
"""Of the shortest gap between harmonics: how long before its place each is cut out."""


@dataclass(frozen=True)
class Distortion:
    """Fundamental and harmonics of a sweep.

    Attributes:
        frequency: of the fundamental, Hz, shape (frequency,).
        fundamental: complex, per amplitude of the sweep, shape (frequency,).
        orders: 2, 3, …, shape (order,).
        harmonic: complex amplitude of each at its own frequency, order times the fundamental's,
            shape (order, frequency); NaN where that is beyond half the sampling rate.
        noise: rms of the noise in each, likewise; None where no silence was given.
    """

    frequency: np.ndarray
    fundamental: np.ndarray
    orders: tuple[int, ...]
    harmonic: np.ndarray
    noise: np.ndarray | None = None

    @property
    def level(self) -> np.ndarray:
        """Of each harmonic over the fundamental at the frequency that made it, dB, as `harmonic`.

        Both as recorded: what microphone and driver do at the harmonic's own frequency is in it.
        """
        with np.errstate(divide="ignore"):
            answer: np.ndarray = 20 * np.log10(np.abs(self.harmonic / self.fundamental))
        return answer


def harmonics(
    recording: np.ndarray,
    sweep: Sweep,
    frequency: np.ndarray,
    *,
    highest_order: int = HIGHEST_ORDER,
    late: float | None = None,
    length: float | None = None,
    silence: np.ndarray | None = None,
) -> Distortion:
    """Harmonics up to an order, each cut out where it comes ahead of the linear response.

    The inverse is that of the sweep going on for ever, so that harmonics beyond its end are told as
    well (Farina 2000; Novak et al. 2015). What fades, the ends of the sweep and the cut do to an
    impulse they do to that of a pure harmonic too, so each is held against it. The linear response
    is found first and what it makes of the sweep taken away, because at low frequencies it would
    ring into the harmonics' places. Ratios need no loopback.

    Args:
        recording: shape (n,), its first sample when the sweep's first is played.
        sweep: that was played.
        frequency: of the fundamental, Hz, within `sweep.valid`, shape (frequency,).
        highest_order: 2 or more.
        late: s, by which the sound comes later than it was played, by converters and flight. Where
            the linear response has its peak if not given.
        length: s, of each cut at most: the room's reflections stay out of a short one. As long as
            the gap to the next response if not given.
        silence: recorded before the sweep, shape (m,): tells the noise.

    Returns:
        The harmonics. A sweep of 2 s from 20 Hz tells them to 0.2 dB from 60 Hz and to 0.02 dB from
        80 Hz on; slower ones from lower on.
    """
    low, high = sweep.valid
    if frequency.min() < low * (1 - 1e-9) or frequency.max() > high * (1 + 1e-9):
        raise RoundoverError(
            f"this sweep tells fundamentals from {low:.0f} to {high:.0f} Hz, not from "
            f"{frequency.min():.0f} to {frequency.max():.0f} Hz"
        )
    if highest_order < 2:
        raise RoundoverError(f"harmonics have the order 2 or more, not {highest_order}")
    full = deconvolved(recording, sweep)
    if late is None:
        late = max(0.0, float(full.time[np.argmax(np.abs(full.samples))]))
    # Whole samples are dropped, so that every response stands where the sweep alone would have it.
    dropped = round(late * sweep.sampling_rate)
    recording = recording[dropped:]
    linear = linear_part(full, sweep, late)
    linear = replace(linear, start=linear.start - dropped / sweep.sampling_rate)
    full = _by_inverse(recording, sweep)
    rest = _by_inverse(recording - _played(sweep, linear, recording.size), sweep)
    rows, noise = [], []
    for order in range(1, highest_order + 1):
        gate = _around(order, sweep, highest_order, length)
        pure = _by_inverse(sweep.overtone(order), sweep)
        own = order * frequency
        heard = own < HIGHEST * sweep.sampling_rate / 2
        row = np.full(frequency.size, np.nan, dtype=complex)
        cut = gated(full if order == 1 else rest, gate, own[heard])
        flight = np.exp(-2j * np.pi * own[heard] * dropped / sweep.sampling_rate)
        row[heard] = cut / gated(pure, gate, own[heard]) * flight
        rows.append(row)
        if silence is not None:
            weight = noise_weight(full, gate)
            density = silence_density(silence, sweep.sampling_rate, own)
            noise.append(np.where(heard, transfer_noise(density, sweep, own, weight), np.nan))
    orders = tuple(range(2, highest_order + 1))
    under = np.array(noise[1:]) if noise else None
    return Distortion(frequency, rows[0], orders, np.array(rows[1:]), under)


def _around(order: int, sweep: Sweep, highest_order: int, length: float | None) -> Gate:
    """The cut for one order: from a little ahead of its place to as far ahead of the next."""
    place = -sweep.ahead(order)
    before = AHEAD * (sweep.ahead(highest_order + 1) - sweep.ahead(highest_order))
    gap = sweep.ahead(order) - sweep.ahead(order - 1) if order > 1 else sweep.ahead(2)
    if order == 2:  # from there on everything is taken to be linear
        gap /= 2
    stop = place + min(gap - before, np.inf if length is None else length)
    return Gate(
        start=place - before,
        opened=place - before / 2,
        closing=max(stop - before / 2, place),
        stop=stop,
        arrival=place,
    )


def _played(sweep: Sweep, linear: Impulse, size: int) -> np.ndarray:
    """What a linear response makes of the sweep, shape (size,)."""
    early = round(-linear.start * linear.sampling_rate)
    answer: np.ndarray = fftconvolve(sweep.samples, linear.samples)[early : early + size]
    return answer


def _by_inverse(recording: np.ndarray, sweep: Sweep) -> Impulse:
    """Recording through the inverse of the endless sweep, up to half the sampling rate."""
    early = sweep.samples.size
    size = next_fast_len(recording.size + early, real=True)
    frequency = np.fft.rfftfreq(size, 1 / sweep.sampling_rate)
    spectrum = rfft(recording, size)
    spectrum[0] = 0.0
    spectrum[1:] /= sweep.spectrum(frequency[1:])
    samples = np.roll(irfft(spectrum, size), early)
    return Impulse(samples, sweep.sampling_rate, -early / sweep.sampling_rate)
