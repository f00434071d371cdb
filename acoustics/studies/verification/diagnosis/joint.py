"""Sizes of faults fitted together with all that strays: what one does, another may undo."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.diagnosis.shared import CLOSE, About, Shared, believed
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.size_scale import faulty, on_scale, size_at
from acoustics.studies.verification.misfit.evidence import Fit, fitted
from acoustics.studies.verification.strays.strayed import log_ratio

STEP = 0.001
"""of the whole range: by which a size is changed to see what it does"""

SETTLED = 0.1
"""of a standard deviation: a size that would move by less stays"""


@dataclass(frozen=True, eq=False)
class Joint:
    """Faults at places on their scales (0 without sizes), fitted.

    Attributes:
        faults: in the order of `places`.
        places: at which they were read.
        spreads: standard deviations of the places, everything else let free; 0 without sizes.
        evidence: log density of the readings, sizes integrated over.
        fit: at these places.
        about: from where what strays was reckoned.
    """

    faults: tuple[Fault, ...]
    places: np.ndarray
    spreads: np.ndarray
    evidence: float
    fit: Fit
    about: About


def jointly(
    shared: Shared,
    faults: Sequence[Fault],
    places: np.ndarray,
    rounds: int,
    near: Fit | None = None,
) -> Joint:
    """Gauss and Newton's steps of all sizes at once, everything that strays following.

    Args:
        shared: of the bench.
        faults: one or several.
        places: to start from.
        rounds: readings at sizes that the one before suggests, at most.
        near: a fit at these places, to look at what strays anew there; None: `Shared`'s.
    """
    faults = tuple(faults)
    sized = [n for n, fault in enumerate(faults) if fault.sizes is not None]
    best: Joint | None = None
    shares = shared.about.shares if near is None else shared.own(near.shares)
    if len(faults) > 1:
        shares = believed(shares)  # one fault alone may bend them
    for _ in range(rounds):
        built = placed(shared, faults, places)
        if near is None:
            about = replace(shared.about, shares=shares)
            row = shared.read(built, about)
        else:
            about, row = shared.read_anew(built, shares)
        found, wanted, shares = _step(shared, faults, places, sized, about, row)
        if best is not None and found.evidence <= best.evidence:
            break
        best = found
        still = np.all(np.abs(wanted - places) <= SETTLED * found.spreads)
        if still and (not shares.size or np.abs(shares - about.shares).max() < CLOSE):
            break
        places = wanted
    assert best is not None
    return best


def placed(shared: Shared, faults: Sequence[Fault], places: np.ndarray) -> Built:
    """What stands there with faults at places on their scales, one after the other."""
    built = shared.bench.design
    for fault, place in zip(faults, places, strict=True):
        size = 0.0 if fault.sizes is None else size_at(fault.sizes, float(place))
        built = fault.changed(built, size)
    return built


def _step(
    shared: Shared,
    faults: tuple[Fault, ...],
    places: np.ndarray,
    sized: list[int],
    about: About,
    row: np.ndarray,
) -> tuple[Joint, np.ndarray, np.ndarray]:
    """The fit at some places, and where the sizes would go with what strays.

    A size is free like a level, over the length of its range: what is missing in the evidence is
    that of a Gaussian against that of a uniform prior, √2π each.
    """
    built = placed(shared, faults, places)
    fit = shared.fit(built, row, about)
    moves = [fit.moves]
    lengths = np.zeros(len(faults))
    for number in sized:
        sizes = faults[number].sizes
        assert sizes is not None
        lengths[number] = _length(sizes)
        middle = (on_scale(sizes, sizes.lowest) + on_scale(sizes, sizes.highest)) / 2
        step = STEP * lengths[number] * (1 if places[number] < middle else -1)
        moved = places.copy()
        moved[number] += step
        there = shared.read(placed(shared, faults, moved), about)
        moves.append(log_ratio(there, row)[None] * (lengths[number] / step))
    together = np.concatenate(moves)
    free = shared.free + len(sized)
    start = np.concatenate([fit.shares, np.zeros(len(sized))])
    at = fitted(shared.misfit, fit.row, fit.lined, together, free, start, steps=0)
    gone = fitted(shared.misfit, fit.row, fit.lined, together, free, start)
    wanted, spreads = places.copy(), np.zeros(len(faults))
    for order, number in enumerate(sized, start=len(fit.shares)):
        sizes = faults[number].sizes
        assert sizes is not None
        by = float(gone.shares[order]) * lengths[number]
        wanted[number] = _allowed(sizes, places[number] + by)
        spreads[number] = float(at.spreads[order]) * lengths[number]
    evidence = at.evidence + len(sized) * 0.5 * math.log(2 * math.pi)
    return Joint(faults, places, spreads, evidence, fit, about), wanted, shared.own(gone.shares)


def _length(sizes: Sizes) -> float:
    """Of all that counts as a fault, on the scale of its sizes."""
    return sum(high - low for low, high in faulty(sizes))


def _allowed(sizes: Sizes, place: float) -> float:
    """The nearest place that counts as a fault."""
    ends = [min(max(place, low), high) for low, high in faulty(sizes)]
    return min(ends, key=lambda end: abs(end - place))
