"""How likely a healthy build is to have so many values outside its band, or so wide a run."""

from __future__ import annotations

import numpy as np

WIDE = 1 / 3
"""octave: a run outside the band that is wider is no accident (common practice, no source)"""


def odds_of(shares: np.ndarray, runs: np.ndarray) -> float:
    """Share of all that are as odd as the last one: its own p-value, it being one of them.

    Odd is who has few others with as small a share inside, or as wide a run outside. The smaller of
    the two ranks is compared with everyone's smaller rank, so that looking twice costs nothing; a
    rank in which one is counted among those drawn is never too small (Davison & Hinkley, Bootstrap
    Methods and their Application, 1997, eq. 4.11, from memory).

    Args:
        shares: of the values inside the band, (build,), those drawn and then the one in question.
        runs: octaves of the widest run outside, likewise; up to `WIDE` they are all alike.
    """
    few = _as_small(np.round(shares, 12))
    wide = _as_small(-np.round(np.maximum(runs, WIDE), 12))
    odd = np.minimum(few, wide)
    return float(np.mean(odd <= odd[-1]))


def widths(octaves: np.ndarray, outside: np.ndarray) -> np.ndarray:
    """Octaves of the widest run outside of each column, (build,); see `widest`.

    Args:
        octaves: of the values, ascending, (value,).
        outside: (value, build).
    """
    longest = now = np.zeros(outside.shape[1])
    for step, out in zip(np.diff(_edges(octaves)), outside, strict=True):
        now = np.where(out, now + step, 0.0)
        longest = np.maximum(longest, now)
    return longest


def widest(octaves: np.ndarray, outside: np.ndarray) -> tuple[float, float, float]:
    """Width (octaves) of the widest stretch of values outside, and its first and last place.

    From the first to the last of its values, and half a step beyond at either end; without any 0
    and NaN.
    """
    if not outside.any():
        return 0.0, float("nan"), float("nan")
    edges = _edges(octaves)
    change = np.diff(np.concatenate(([0], outside.astype(int), [0])))
    starts, stops = np.flatnonzero(change == 1), np.flatnonzero(change == -1)
    wide = edges[stops] - edges[starts]
    at = int(np.argmax(wide))
    return float(wide[at]), float(octaves[starts[at]]), float(octaves[stops[at] - 1])


def _edges(octaves: np.ndarray) -> np.ndarray:
    """Half-way between values, and the outermost of them."""
    middles = (octaves[1:] + octaves[:-1]) / 2
    return np.concatenate((octaves[:1], middles, octaves[-1:]))


def _as_small(values: np.ndarray) -> np.ndarray:
    """Share of all values that are no larger than each, (value,)."""
    answer: np.ndarray = np.searchsorted(np.sort(values), values, side="right") / values.size
    return answer
