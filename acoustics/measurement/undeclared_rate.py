"""Whether something was sampled at another rate than it says."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.measurement.findings import Finding
from acoustics.measurement.sweep import HIGHEST, Sweep, deconvolved

RATES = (44_100.0, 48_000.0, 88_200.0, 96_000.0)
"""Hz: rates that are taken for each other."""

SHARPER = 2.0
"""Times the crest of an impulse that another rate must give."""

BETTER = 0.6
"""Of the difference from what is expected, which another rate must leave at most."""

CLOSE = 4.0
"""dB rms that another rate may leave: curves further off are of something else."""

LEAST = 0.5
"""dB rms by which it must be better."""

SHORTEST = 1.5
"""Octaves that must be shared to tell."""


def sweep_of_another_rate(recording: np.ndarray, sweep: Sweep) -> Finding | None:
    """Whether a recorded sweep runs faster or slower than the one that was played.

    Taken out with a sweep that runs at another speed, the impulse is one long chirp; at the right
    one it is sharp. For recordings without a loopback: with one, both run alike.

    Args:
        recording: shape (n,), from the sweep's first sample on.
        sweep: that was played.
    """
    stated = sweep.sampling_rate
    crests = {stated: _crest(recording, sweep)}
    for rate in RATES:
        if rate != stated:
            crests[rate] = _crest(recording, _as_stated(sweep, stated / rate))
    best = max(crests, key=lambda rate: crests[rate])
    if best == stated or crests[best] < SHARPER * crests[stated]:
        return None
    return Finding(
        what=(
            f"The recorded sweep runs at {stated / best:.3f} times its speed, as if {best:g} "
            f"samples a second were taken for {stated:g}"
        ),
        where="",
        certain=True,
        advice="Set player and recorder to one rate and measure again.",
    )


def scaled_frequencies(
    frequency: np.ndarray,
    response: np.ndarray,
    expected: np.ndarray,
    arrival: tuple[float, float] | None = None,
) -> Finding | None:
    """Whether a curve fits better with all its frequencies moved by the ratio of two rates.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        response: as measured, complex or magnitude, (frequency,); not a number where unknown.
        expected: as predicted, likewise.
        arrival: s, as found and as expected, if both are known; it shrinks as frequencies grow.
    """
    left = {ratio: _left(frequency, response, expected, ratio) for ratio in (1.0, *_ratios())}
    own = left.pop(1.0)
    if own is None:
        return None
    known = {ratio: off for ratio, off in left.items() if off is not None}
    if not known:
        return None
    best = min(known, key=lambda ratio: known[ratio])
    if known[best] > CLOSE or known[best] > BETTER * own or known[best] > own - LEAST:
        return None
    certain = False
    if arrival is not None:
        found, wanted = arrival
        if abs(found - wanted / best) > abs(found - wanted):
            return None
        certain = True
    return Finding(
        what=(
            f"All frequencies seem to be {best:.3f} times too high: moved back, the curve is "
            f"{known[best]:.1f} dB off the prediction instead of {own:.1f} dB"
        ),
        where="",
        certain=certain,
        advice=(
            "A file of 44.1 kHz taken for 48 kHz, or the other way round, does that: state the "
            "right rate, or record again."
        ),
    )


def _as_stated(sweep: Sweep, faster: float) -> Sweep:
    """A sweep as it looks when its samples are played faster, as far up as that can be."""
    top = HIGHEST * sweep.sampling_rate / 2
    return replace(
        sweep,
        lowest=sweep.lowest * faster,
        highest=min(sweep.highest * faster, top),
        rate=sweep.rate / faster,
    )


def _crest(recording: np.ndarray, sweep: Sweep) -> float:
    """Peak over rms of the impulse response; 0 where the sweep does not fit into the recording."""
    try:
        samples = deconvolved(recording, sweep).samples
    except RoundoverError:
        return 0.0
    rms = math.sqrt(float(np.mean(samples**2)))
    return float(np.abs(samples).max()) / rms if rms > 0 else 0.0


def _ratios() -> list[float]:
    return sorted({round(one / other, 6) for one in RATES for other in RATES} - {1.0})


def _left(
    frequency: np.ndarray, response: np.ndarray, expected: np.ndarray, ratio: float
) -> float | None:
    """Rms difference in dB, its mean taken out, of a curve whose frequencies are too high."""
    with np.errstate(divide="ignore"):
        level = 20 * np.log10(np.abs(response))
        wanted = 20 * np.log10(np.abs(expected))
    known, there = np.isfinite(level), np.isfinite(wanted)
    if not known.any() or not there.any():
        return None
    low = max(float(frequency[known][0]), float(frequency[there][0]) * max(ratio, 1.0))
    high = min(float(frequency[known][-1]), float(frequency[there][-1]) * min(ratio, 1.0))
    if high < low * 2**SHORTEST:
        return None
    places = np.geomspace(low, high, int(24 * math.log2(high / low)))
    x = np.log(places)
    moved = np.interp(x, np.log(frequency[there] * ratio), wanted[there])
    off = np.interp(x, np.log(frequency[known]), level[known]) - moved
    return float(np.std(off))
