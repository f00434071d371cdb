"""What is on no list: a deviation that nothing known makes, and how well it explains."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.special import logsumexp
from scipy.stats import chi2

from acoustics.listening.error import NEPER
from acoustics.studies.verification.diagnosis.explanation import Explanation
from acoustics.studies.verification.diagnosis.shared import Shared
from acoustics.studies.verification.misfit.evidence import Fit, fitted
from acoustics.studies.verification.misfit.misfit import Misfit, misfit_of

STEPS = 3

BUMPS = 6
"""per octave: where a local deviation may be"""

WIDTHS = (1 / 3, 1 / 12)
"""octaves, one standard deviation of its Gaussian shape"""

BROAD = 0.5
"""share of the odds of a deviation everywhere; the rest is of a local one"""


def unknown_weight(shared: Shared, known: Sequence[Explanation]) -> float:
    """Log of evidence times prior that something unknown is there, alone or beside a known fault.

    Either every reading deviates by a Gaussian process, of several sizes; or at one frequency all
    responses do, or all impedances, by a bump that is as large. Beside a fault it is as likely as a
    second known one in relation to the first.

    Args:
        shared: of the bench.
        known: explanations beside which it may be, the design (no blames) among them.
    """
    prior = math.log(shared.allowances.other)
    sizes = range(len(shared.allowances.unknown))
    wide = [misfit_of(shared.points, shared.allowances, unknown=size) for size in sizes]
    weights = []
    for one in known:
        beside = prior + (one.prior if one.blames else 0.0) + one.evidence - one.fit.evidence
        broad = logsumexp(_broad(shared, wide, one.fit)) + math.log(BROAD)
        local = logsumexp(_local(shared, one.fit)) + math.log(1 - BROAD)
        weights += [beside + broad, beside + local]
    return float(logsumexp(weights))


def chance_of_worse(fit: Fit, free: int, sized: int) -> float:
    """Share of readings of a build that would fit it worse, if all errors are as allowed.

    The sum of squares of all that is left and of all that strayed is χ² with as many degrees of
    freedom as there are numbers, less what was fitted: delays and levels, and sizes of faults.
    """
    strays = fit.shares[: len(fit.shares) - free]
    total = float(fit.rest @ fit.rest + strays @ strays)
    return float(chi2.sf(total, max(fit.rest.size - free - sized, 1)))


def _broad(shared: Shared, wide: Sequence[Misfit], near: Fit) -> list[float]:
    """With a deviation everywhere, of each size."""
    found = []
    for misfit in wide:
        fit = fitted(misfit, near.row, near.lined, near.moves, shared.free, near.shares, STEPS)
        found.append(fit.evidence - math.log(len(wide)))
    return found


def _local(shared: Shared, near: Fit) -> np.ndarray:
    """Of every bump, its size and its phase's integrated over: Gaussian, so in closed form.

    A rank-two change of the covariance: with v its white shapes, V those freed of all that strays,
    the evidence grows by ½ bᵀ(I + vVᵀ)⁻¹b − ½ log det(I + vVᵀ) where b = V·rest.
    """
    points, allowances = shared.points, shared.allowances
    shapes, sizes = [], []
    for acoustic, amounts in (
        (True, [amount * NEPER for amount in allowances.unknown]),
        (False, list(allowances.unknown_impedance)),
    ):
        own = points.acoustic == acoustic
        if not own.any():
            continue
        octave = np.log2(points.frequency)
        low, high = octave[own].min(), octave[own].max()
        for width in WIDTHS:
            for middle in np.arange(low, high + 1e-9, 1 / BUMPS):
                shapes.append(np.where(own, np.exp(-0.5 * ((octave - middle) / width) ** 2), 0.0))
                sizes.append(amounts)
    shape = np.array(shapes)
    both = [shared.misfit.white_change(near.predicted, turn * shape) for turn in (1.0, 1j)]
    freed = [near.unexplained(each) for each in both]
    pull = np.stack([each @ near.rest for each in freed], axis=1)
    inner = np.array([[(a * b).sum(axis=1) for b in freed] for a in both]).transpose(2, 0, 1)
    amount = np.array(sizes)[:, :, None, None] ** 2
    matrix = np.eye(2) + amount * inner[:, None]
    right = np.broadcast_to(pull[:, None, :, None], (*matrix.shape[:2], 2, 1))
    solved = np.linalg.solve(matrix, right)[..., 0]
    gain = 0.5 * amount[..., 0, 0] * (solved * pull[:, None]).sum(axis=-1)
    gain -= 0.5 * np.linalg.slogdet(matrix)[1]
    found: np.ndarray = near.evidence + gain.ravel() - math.log(gain.size)
    return found
