"""Delay of a response beyond its minimum phase, and that between two drivers."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.curves.minimum_phase import (
    FEWEST,
    Tails,
    excess_phase,
    fitted_tails,
)
from acoustics.listening.bands import in_band
from acoustics.listening.delay import group_delay

TAIL_OCTAVES = 1.0
"""Octaves to which a tail is fitted."""

CUT = 2 ** (1 / 3)
"""How much of either end is left out to see what changes."""

COVERAGE = 2.0
"""Stated uncertainties are this many standard deviations: about 95 % (JCGM 100:2008, 6.2)."""


@dataclass(frozen=True)
class Delay:
    """A delay (s), how far it may be out (s, about 95 %), and the polarity, 1 or −1."""

    time: float
    uncertainty: float
    polarity: int


def excess_delay(
    frequency: np.ndarray,
    response: np.ndarray,
    band: tuple[float, float] | None = None,
    *,
    tails: Tails | None = None,
    variance: np.ndarray | None = None,
    sampling_rate: float | None = None,
) -> Delay:
    """Delay that is left once the minimum phase is taken out, from the phase over a band.

    A line through 0 at 0 Hz (half a turn for the other polarity) is fitted to the excess phase. The
    uncertainty is the root of the sum of squares of what the noise does, of half the difference
    between both halves of the band (which all-pass sections and wrong tails make), and of what
    other tails change: as steep as the last half octave alone, steeper yet by as much as the slope
    changed before, those of a narrower band, and a fall of one order more beyond the highest
    frequency that nothing below it tells. Against that uncertainty nothing helps but stated tails;
    for the phase within the band it does not matter, as long as delay and minimum phase are those
    of the same tails.

    Args:
        frequency: Hz, positive, ascending, shape (frequency,).
        response: complex, shape (frequency,); all of it tells the minimum phase.
        band: lowest and highest frequency of the fit, Hz; everything if not given.
        tails: slopes beyond the frequencies; fitted, and varied, if not given.
        variance: of the phase, rad², shape (frequency,); alike at all frequencies, and not counted
            as noise, if not given.
        sampling_rate: Hz, as for `minimum_phase`.

    Returns:
        The delay against the response's time reference.
    """
    inside = np.ones(frequency.size, bool) if band is None else in_band(frequency, band)
    if np.count_nonzero(inside) < FEWEST:
        raise RoundoverError(
            f"the band holds {np.count_nonzero(inside)} of the frequencies, too few for a delay; "
            f"take a band with {FEWEST} or more"
        )
    weight = inside / (1.0 if variance is None else variance)
    coarse = coarse_delay(frequency[inside], response[inside])
    still = response * np.exp(2j * np.pi * frequency * coarse)

    def phase(tails: Tails, part: slice = slice(None)) -> np.ndarray:
        return excess_phase(frequency[part], still[part], tails=tails, sampling_rate=sampling_rate)

    believed = tails or _fitted(frequency, still, TAIL_OCTAVES, sampling_rate)
    excess, polarity = unwrapped(frequency, phase(believed), weight)
    time = slope_through_zero(frequency, excess, weight)

    information = weight * frequency**2
    share = np.cumsum(information) / information.sum()
    halves = [
        slope_through_zero(frequency, excess, weight * side) for side in (share <= 0.5, share > 0.5)
    ]
    parts = [(halves[1] - halves[0]) / 2]
    if variance is not None:
        parts.append(1 / (2 * math.pi * math.sqrt(information.sum())))
        # A highest point that noise lifts lifts all of the tail with it, like so much of an order.
        parts.append(math.sqrt(2 * variance[-1]) * of_one_order(frequency[-1]))
    if tails is None:
        changes = []
        for part, other in other_tails(frequency, still, believed, sampling_rate):
            varied, _ = unwrapped(frequency[part], phase(other, part), weight[part])
            changes.append(slope_through_zero(frequency[part], varied, weight[part]) - time)
        parts.append(max(changes, key=abs))
        if sampling_rate is None:
            parts.append(of_one_order(frequency[-1]))
    return Delay(coarse + time, COVERAGE * math.hypot(*parts), polarity)


def relative_delay(
    frequency: np.ndarray,
    first: np.ndarray,
    second: np.ndarray,
    band: tuple[float, float],
    *,
    tails: tuple[Tails | None, Tails | None] = (None, None),
) -> Delay:
    """How much later the second driver's sound comes than the first's, minimum phases taken out.

    No loopback is needed, only that both were measured against the same clock, whatever its zero:
    microphone and cabinet unmoved, both played from the same file position. What the two have in
    common, converters and flight, drops out. Where not even the clock is shared the phases say
    nothing of it; `relative_delay_from_sum` then does.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        first: complex response of one driver, shape (frequency,).
        second: of the other, at the same frequencies.
        band: Hz, where both are strong: about their crossover.
        tails: of the first and of the second; fitted and varied where None.

    Returns:
        Seconds, positive if the second is later; polarity −1 if they differ in it. The uncertainty
        is that of both together.
    """
    one = excess_delay(frequency, first, band, tails=tails[0])
    other = excess_delay(frequency, second, band, tails=tails[1])
    return Delay(
        other.time - one.time,
        math.hypot(one.uncertainty, other.uncertainty),
        one.polarity * other.polarity,
    )


def delay_against(
    frequency: np.ndarray,
    response: np.ndarray,
    expected: np.ndarray,
    band: tuple[float, float],
) -> Delay:
    """How much later a response comes than an expected one that it is much like.

    What both have in common, minimum phase and flight, drops out, so this tells a woofer's delay
    ten times as closely as its excess phase alone. Where the two are not alike, halves of the band
    tell different delays, and the uncertainty is large.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        response: as measured, complex, (frequency,); not a number where unknown.
        expected: as predicted, likewise.
        band: Hz, where both are strong.

    Returns:
        Seconds, positive if it comes later; polarity −1 if it is turned over.
    """
    inside = in_band(frequency, band) & np.isfinite(response) & np.isfinite(expected)
    if np.count_nonzero(inside) < 2 * FEWEST:
        raise RoundoverError(
            f"the band from {band[0]:g} to {band[1]:g} Hz holds {np.count_nonzero(inside)} "
            f"frequencies that are known, too few for a delay; take {2 * FEWEST} or more"
        )
    used = frequency[inside]
    ratio = response[inside] / expected[inside]
    weight = np.gradient(np.log(used))
    delay, polarity = straight_phase(used, ratio, weight)
    left = np.angle(polarity * ratio * np.exp(2j * np.pi * used * delay))
    information = np.cumsum(weight * used**2)
    lower = information <= information[-1] / 2
    halves = [slope_through_zero(used, left, weight * side) for side in (lower, ~lower)]
    return Delay(delay, COVERAGE * abs(halves[1] - halves[0]) / 2, polarity)


def of_one_order(highest: float) -> float:
    """Delay (s) like which a fall of one order from a frequency (Hz) on looks, well below it.

    1/(π²f): Bode's integral over a slope of −1 from f on is −(2/π)·χ₂(f₀/f), about −2f₀/(πf).
    """
    return 1 / (math.pi**2 * highest)


def other_tails(
    frequency: np.ndarray, response: np.ndarray, believed: Tails, sampling_rate: float | None
) -> list[tuple[slice, Tails]]:
    """Tails that might be as well, each with the frequencies beyond which they begin."""
    half = _fitted(frequency, response, TAIL_OCTAVES / 2, sampling_rate)
    # The slope of an octave is about the mean of those of its halves; carried on by an octave, it
    # changes by twice their difference.
    bent = Tails(
        half.below + 4 * (half.below - believed.below),
        half.above + 4 * (half.above - believed.above),
    )
    short = _cut(frequency)
    narrower = _fitted(frequency[short], response[short], TAIL_OCTAVES, sampling_rate)
    return [(slice(None), half), (slice(None), bent), (short, narrower)]


def straight_phase(
    frequency: np.ndarray, ratio: np.ndarray, weight: np.ndarray
) -> tuple[float, int]:
    """Delay (s) and polarity of the straight phase through 0 or a half-turn that is nearest.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        ratio: of two responses that differ by a delay and little else, complex, (frequency,).
        weight: of each, shape (frequency,).
    """
    coarse = coarse_delay(frequency, ratio)
    still = ratio * np.exp(2j * np.pi * frequency * coarse)
    phase, polarity = unwrapped(frequency, np.angle(still), weight)
    return coarse + slope_through_zero(frequency, phase, weight), polarity


def coarse_delay(frequency: np.ndarray, response: np.ndarray) -> float:
    """Mean group delay weighted by power and band, so that what is left turns slowly."""
    power = np.abs(response[1:] * response[:-1]) * np.diff(frequency)
    return float(np.sum(power * group_delay(response, frequency)) / power.sum())


def unwrapped(
    frequency: np.ndarray, phase: np.ndarray, weight: np.ndarray
) -> tuple[np.ndarray, int]:
    """The phase without wraps and without the half-turn of polarity, and the polarity."""
    phase = np.array(phase)
    phase[weight > 0] = np.unwrap(phase[weight > 0])
    mean = weight / weight.sum()
    centre = mean @ frequency
    slope = (mean @ ((frequency - centre) * phase)) / (mean @ (frequency - centre) ** 2)
    turns = round(float((mean @ phase) - slope * centre) / math.pi)
    return phase - math.pi * turns, -1 if turns % 2 else 1


def slope_through_zero(frequency: np.ndarray, phase: np.ndarray, weight: np.ndarray) -> float:
    """Delay of the line through 0 that fits a phase best, s."""
    return float(-np.sum(weight * frequency * phase) / (2 * np.pi * np.sum(weight * frequency**2)))


def _fitted(
    frequency: np.ndarray, response: np.ndarray, octaves: float, sampling_rate: float | None
) -> Tails:
    return fitted_tails(frequency, np.abs(response), octaves=octaves, sampling_rate=sampling_rate)


def _cut(frequency: np.ndarray) -> slice:
    """All but the outermost frequencies, as long as enough are left."""
    first = int(np.searchsorted(frequency, frequency[0] * CUT))
    last = int(np.searchsorted(frequency, frequency[-1] / CUT))
    return slice(first, last) if last - first >= 2 * FEWEST else slice(None)
