"""The evidence of a fault over its size: between evaluations, its integral, and where to look next.

Between evaluations the log evidence is what two parabolas through neighbours, blended, say: exact
for the parabola that it is near its maximum. So the integral is right where Laplace's is, and also
where a size is hardly known or lies at the end of what is possible.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

DENSE = 48
"""places between two evaluations"""

NEAR, BRACKET, WIDE = 0.2, 1.5, 3.0
"""standard deviations: an evaluation this near a maximum is at it; where its shape is looked at;
and a neighbour no farther away than this need not be evaluated again"""


@dataclass(frozen=True)
class SizeCurve:
    """What is known of a size on its scale.

    `evidence` is the log of the evidence's mean over the faulty sizes, all equally likely; `best`
    the likeliest place; `low` and `high` are the ends of the likeliest that hold 95 %; `spread` is
    the standard deviation.
    """

    evidence: float
    best: float
    low: float
    high: float
    spread: float


def between(places: np.ndarray, values: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Blended parabolas through values (place, …) at ascending places, at others within them."""
    if places.size == 1:
        return np.repeat(values, wanted.size, axis=0)
    if places.size == 2:
        share = (wanted - places[0]) / (places[1] - places[0])
        return _column(1 - share, values) * values[0] + _column(share, values) * values[1]
    left = np.clip(np.searchsorted(places, wanted, side="right") - 1, 0, places.size - 2)
    share = (wanted - places[left]) / (places[left + 1] - places[left])
    first = np.clip(left, 1, places.size - 2)
    second = np.clip(left + 1, 1, places.size - 2)
    below = _parabola(places, values, first, wanted)
    above = _parabola(places, values, second, wanted)
    return _column(1 - share, values) * below + _column(share, values) * above


def dense(places: np.ndarray, stretches: Sequence[tuple[float, float]]) -> np.ndarray:
    """Places within stretches, close together where evaluations are."""
    ends = np.unique(np.concatenate([places, np.ravel(stretches)]))
    share = np.linspace(0, 1, DENSE, endpoint=False)
    all_of_them = np.append((ends[:-1, None] + np.diff(ends)[:, None] * share).ravel(), ends[-1])
    inside = np.zeros(all_of_them.shape, bool)
    for low, high in stretches:
        inside |= (all_of_them >= low) & (all_of_them <= high)
    within = inside & (all_of_them >= places[0]) & (all_of_them <= places[-1])
    return np.unique(all_of_them[within])  # ends that nearly meet leave some twice


def size_curve(
    places: np.ndarray, logs: np.ndarray, stretches: Sequence[tuple[float, float]]
) -> SizeCurve:
    """What evaluations (place,), ascending, say over the stretches that are faults."""
    wanted = dense(places, stretches)
    height = between(places, logs, wanted)
    top = float(height.max())
    density = np.exp(height - top)
    widths = np.diff(wanted)
    gap = np.zeros(widths.shape, bool)
    for _, high in stretches[:-1]:
        gap |= (wanted[:-1] <= high) & (wanted[1:] > high)
    pieces = np.where(gap, 0.0, widths * (density[:-1] + density[1:]) / 2)
    total = float(pieces.sum())
    low, high = _densest(wanted, pieces / total, widths)
    mean = float(pieces @ (wanted[:-1] + wanted[1:]) / 2) / total
    variance = float(pieces @ (((wanted[:-1] + wanted[1:]) / 2 - mean) ** 2)) / total
    possible = sum(b - a for a, b in stretches)
    mean_log = top + float(np.log(total / possible))
    return SizeCurve(
        min(mean_log, float(logs.max())),  # a parabola may rise over what was ever found
        float(wanted[np.argmax(height)]),
        float(low),
        float(high),
        float(np.sqrt(variance)),
    )


def explored(
    evaluate: Callable[[float], float],
    places: Sequence[float],
    logs: Sequence[float],
    stretches: Sequence[tuple[float, float]],
    most: int,
) -> tuple[SizeCurve, list[float], list[float]]:
    """The curve after looking where its maximum and its shape are, `most` times at most.

    Returns:
        It, and all places and their logs.
    """
    known = dict(zip(places, logs, strict=True))
    for _ in range(most):
        x = np.array(sorted(known))
        curve = size_curve(x, np.array([known[p] for p in x]), stretches)
        following = _next(x, curve, stretches)
        if following is None:
            break
        known[following] = evaluate(following)
    x = np.array(sorted(known))
    y = np.array([known[p] for p in x])
    return size_curve(x, y, stretches), x.tolist(), y.tolist()


HELD = 0.95
"""share that the ends of a size hold"""


def _densest(places: np.ndarray, shares: np.ndarray, widths: np.ndarray) -> tuple[float, float]:
    """Ends (low, high) of the likeliest pieces that together hold `HELD`.

    They hold the likeliest size also where that is the least that counts as a fault, which lies
    outside of what leaves as much below as above.
    """
    order = np.argsort(-shares / widths, kind="stable")
    count = int(np.searchsorted(np.cumsum(shares[order]), HELD)) + 1
    held = order[:count]
    return float(places[held.min()]), float(places[held.max() + 1])


def _next(
    places: np.ndarray, curve: SizeCurve, stretches: Sequence[tuple[float, float]]
) -> float | None:
    spread = max(curve.spread, 1e-9)
    apart = np.abs(places - curve.best)
    if apart.min() > NEAR * spread:
        return curve.best
    for sign in (-1, 1):
        wanted = curve.best + sign * BRACKET * spread
        inside = any(low <= wanted <= high for low, high in stretches)
        side = (places - curve.best) * sign
        there = side[side > NEAR * spread]
        if inside and (there.size == 0 or there.min() > WIDE * spread):
            return wanted
    return None


def _parabola(
    places: np.ndarray, values: np.ndarray, middle: np.ndarray, wanted: np.ndarray
) -> np.ndarray:
    x0, x1, x2 = places[middle - 1], places[middle], places[middle + 1]
    one = (wanted - x1) * (wanted - x2) / ((x0 - x1) * (x0 - x2))
    two = (wanted - x0) * (wanted - x2) / ((x1 - x0) * (x1 - x2))
    three = (wanted - x0) * (wanted - x1) / ((x2 - x0) * (x2 - x1))
    return (
        _column(one, values) * values[middle - 1]
        + _column(two, values) * values[middle]
        + _column(three, values) * values[middle + 1]
    )


def _column(share: np.ndarray, values: np.ndarray) -> np.ndarray:
    return share.reshape(-1, *([1] * (values.ndim - 1)))
