"""The low end from near fields joined to the far field that a gate left."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.listening.bands import in_band
from acoustics.measurement.excess_delay import straight_phase
from acoustics.measurement.findings import Finding

WIDTH = 0.5
"""Octaves over which the low end passes into the far field."""

FEWEST = 12
"""Frequencies that the overlap must hold."""

ABOVE_GATE = 1.25
"""Times the gate's lowest frequency, from which the overlap may be used: just above it the gate
still cuts off a good part of every period (common practice, no source)."""

LEVEL_OFF = 1.5
"""dB, of the offset, that a microphone moved or a gain turned gives (common practice)."""

DISAGREE = 1.0
"""dB rms over the cross-fade that near and far field may differ by."""


@dataclass(frozen=True, eq=False)
class Splice:
    """A response over all frequencies, and how well its halves agree.

    Attributes:
        frequency: Hz, shape (frequency,).
        response: complex, shape (frequency,); the far field above, the low end turned and scaled
            to it below.
        at: Hz, middle of the cross-fade.
        width: of the cross-fade, octaves.
        overlap: Hz, within which both count.
        offset: dB by which the low end was raised; 0 for one microphone, one gain and right
            distances.
        delay: s by which the low end was delayed.
        polarity: −1 where the low end had to be turned over.
        shared: Hz, frequencies of the overlap, shape (n,).
        level: what is left of the difference there, low end over far field, dB, shape (n,).
        phase: likewise, degrees, shape (n,).
    """

    frequency: np.ndarray
    response: np.ndarray
    at: float
    width: float
    overlap: tuple[float, float]
    offset: float
    delay: float
    polarity: int
    shared: np.ndarray
    level: np.ndarray
    phase: np.ndarray

    @property
    def faded(self) -> tuple[float, float]:
        """Hz between which both have a share in the response."""
        return self.at * 2 ** (-self.width / 2), self.at * 2 ** (self.width / 2)

    @property
    def error(self) -> tuple[float, float]:
        """Rms of level (dB) and phase (degrees) over the overlap, in octaves."""
        return _rms(self.shared, self.level), _rms(self.shared, self.phase)

    @property
    def error_in_fade(self) -> tuple[float, float]:
        """Likewise over the cross-fade."""
        inside = in_band(self.shared, self.faded)
        return (
            _rms(self.shared[inside], self.level[inside]),
            _rms(self.shared[inside], self.phase[inside]),
        )


def permitted_overlap(gate_lowest: float, near_highest: float) -> tuple[float, float]:
    """Where near and far field are both to be trusted, Hz.

    Args:
        gate_lowest: Hz, of the gate (`Gate.lowest_frequency`).
        near_highest: Hz, of the near fields (`Ways.highest`).

    Raises:
        RoundoverError: nowhere.
    """
    overlap = ABOVE_GATE * gate_lowest, near_highest
    if overlap[1] < overlap[0] * 2**WIDTH:
        raise RoundoverError(
            f"the gate leaves the far field from {overlap[0]:.0f} Hz on, the near field ends at "
            f"{overlap[1]:.0f} Hz: they share less than half an octave; gate later, with the "
            "microphone nearer or both further from the floor"
        )
    return overlap


def spliced(
    frequency: np.ndarray,
    low: np.ndarray,
    far: np.ndarray,
    overlap: tuple[float, float],
    *,
    width: float = WIDTH,
    at: float | None = None,
) -> Splice:
    """Join a low end to a far field.

    Level and delay, and polarity, are those that make the logarithms of both differ least over the
    overlap, every octave counting alike. The cross-fade lies where what is left, level and phase
    together, is least over its width; the shares follow half a cosine over log frequency.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        low: of near fields, as at the far microphone (`near_to_far`), complex, (frequency,).
        far: gated, complex, (frequency,); not a number where it was not measured.
        overlap: Hz, as `permitted_overlap` has it.
        width: of the cross-fade, octaves.
        at: middle of the cross-fade, Hz; looked for if not given.

    Raises:
        RoundoverError: an overlap without frequencies, or narrower than the cross-fade.
    """
    inside = in_band(frequency, overlap) & np.isfinite(low) & np.isfinite(far)
    shared = frequency[inside]
    if shared.size < FEWEST or shared[-1] < shared[0] * 2 ** (0.99 * width):
        raise RoundoverError(
            f"near and far field share {shared.size} frequencies from {overlap[0]:.0f} to "
            f"{overlap[1]:.0f} Hz; a splice needs {FEWEST}, over {width:g} octave or more"
        )
    ratio = far[inside] / low[inside]
    weight = np.gradient(np.log(shared))
    offset = float(np.average(20 * np.log10(np.abs(ratio)), weights=weight))
    delay, polarity = straight_phase(shared, ratio, weight)
    turn = polarity * 10 ** (offset / 20)
    raised = low * turn * np.exp(-2j * np.pi * frequency * delay)
    left = raised[inside] / far[inside]
    level, phase = 20 * np.log10(np.abs(left)), np.degrees(np.angle(left))
    if at is None:
        at = _best(shared, np.abs(np.log(left)) ** 2 * weight, weight, width)
    octaves = np.log2(frequency / at) / width + 0.5
    share = 0.5 - 0.5 * np.cos(np.pi * np.clip(octaves, 0, 1))
    response = np.where(share < 1, (1 - share) * raised, 0.0)
    response = response + np.where(share > 0, share * far, 0.0)
    return Splice(
        frequency, response, at, width, overlap, offset, delay, polarity, shared, level, phase
    )


def _best(frequency: np.ndarray, error: np.ndarray, weight: np.ndarray, width: float) -> float:
    """Middle of the stretch of a width (octaves) with the least mean error, Hz."""
    half = 2 ** (width / 2)
    lowest, highest = frequency[0] * half, frequency[-1] / half
    middles = frequency[in_band(frequency, (lowest, highest))]
    if not middles.size:
        return math.sqrt(float(frequency[0] * frequency[-1]))
    means = []
    for middle in middles:
        here = in_band(frequency, (middle / half, middle * half))
        means.append(error[here].sum() / weight[here].sum())
    return float(middles[int(np.argmin(means))])


def _rms(frequency: np.ndarray, values: np.ndarray) -> float:
    if frequency.size < 2:
        return math.nan
    return math.sqrt(float(np.average(values**2, weights=np.gradient(np.log(frequency)))))


def splice_findings(splice: Splice, expected: float = 0.0) -> tuple[Finding, ...]:
    """What a splice says of the measurements.

    Args:
        splice: of one driver.
        expected: dB, offset that a change of gain between near and far field explains.
    """
    found = []
    off = splice.offset - expected
    if abs(off) > LEVEL_OFF:
        found.append(
            Finding(
                what=(
                    f"The low end had to be {'raised' if off > 0 else 'lowered'} by {abs(off):.1f} "
                    "dB to meet the far field"
                ),
                where=f"{splice.overlap[0]:.0f} to {splice.overlap[1]:.0f} Hz",
                certain=False,
                advice=(
                    "Check the microphone's gain in both, and its distances: near the cone 5 mm "
                    "count, far away 1 dB is 12 % of the way."
                ),
            )
        )
    if splice.polarity < 0:
        found.append(
            Finding(
                what="Near and far field have opposite polarity",
                where="",
                certain=True,
                advice="One was measured with the leads swapped; measure it again.",
            )
        )
    level, phase = splice.error_in_fade
    if level > DISAGREE:
        found.append(
            Finding(
                what=(
                    f"Near and far field differ by {level:.1f} dB and {phase:.0f}° where they are "
                    "joined"
                ),
                where=f"{splice.faded[0]:.0f} to {splice.faded[1]:.0f} Hz",
                certain=False,
                advice=(
                    "Look whether a port or a second cone was left out, and whether a reflection "
                    "lies in the gate."
                ),
            )
        )
    return tuple(found)
