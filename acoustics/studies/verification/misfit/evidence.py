"""Evidence for one build: how likely its readings are, with all that strays integrated over.

What strays is Gaussian, delays and levels are free. A prediction is multiplied by the exponential
of all their changes, which Gauss and Newton's method fits; the integral over them is that of the
Gaussian about the fit (Laplace's approximation, exact where the prediction is linear: MacKay,
Bayesian interpolation, Neural Computation 4, 1992, 415; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.linalg as sl

from acoustics.studies.verification.misfit.alignment import Alignment
from acoustics.studies.verification.misfit.misfit import Misfit

MOST = 2.0
"""nepers by which all that strays together may change a prediction: beyond, it is a null's"""

STEPS, SETTLED = 8, 1e-3
"""steps of a fit at most; where the evidence changes by less it ends"""

SHORTENED = 5
"""lengths that are tried for a step, each a third of the one before"""


@dataclass(frozen=True, eq=False)
class Fit:
    """A build fitted by what strays.

    Attributes:
        evidence: log probability density of the readings, white numbers' units.
        shares: of each stray, delay and level: what it was in units of its spread, and
            `spreads` their standard deviations, shape (stray + clock + level,).
        row, lined: what would be read of the build alone, shape (point,), and the delays and levels
            from which the shares of the free ones count.
        predicted: what would be read, with all of that in it, shape (point,).
        rest: readings less prediction, white, shape (number,).
        moves: change of the prediction's logarithm for one spread of each, shape (each, point).
        changes: what one spread of each does to the white prediction, shape (each, number).
        curvature: factor of the shares' information, for `scipy.linalg.cho_solve`.
    """

    evidence: float
    shares: np.ndarray
    spreads: np.ndarray
    row: np.ndarray
    lined: Alignment
    predicted: np.ndarray
    rest: np.ndarray
    moves: np.ndarray
    changes: np.ndarray
    curvature: tuple[np.ndarray, bool]

    def unexplained(self, direction: np.ndarray) -> np.ndarray:
        """White directions (…, number) times the inverse covariance of all that strays or errs."""
        inner = sl.cho_solve(self.curvature, self.changes @ direction.T)
        answer: np.ndarray = direction - inner.T @ self.changes
        return answer


def fitted(
    misfit: Misfit,
    row: np.ndarray,
    lined: Alignment,
    changes: np.ndarray,
    free: int,
    start: np.ndarray | None = None,
    steps: int = STEPS,
) -> Fit:
    """The fit of one prediction.

    Args:
        misfit: what it is held against.
        row: what would be read of the build, shape (point,).
        lined: delays and levels near enough to be fitted.
        changes: of its logarithm for one spread of each thing that strays, the free ones last,
            shape (each, point).
        free: how many are free: no value is likelier than another, near the start.
        start: shares to start from, shape (each,); zero for none.
        steps: at most.
    """
    shares = np.zeros(len(changes)) if start is None else start
    predicted = lined.applied(misfit.points, row)
    found = fits_of(misfit, predicted[None], changes, free, shares, steps)
    factor = (found.factor[0], True)
    spread = np.sqrt(np.diag(sl.cho_solve(factor, np.eye(len(changes)))))
    return Fit(
        float(found.evidence[0]),
        found.shares[0],
        spread,
        row,
        lined,
        found.predicted[0],
        found.rest[0],
        changes,
        found.slopes[0],
        factor,
    )


@dataclass(frozen=True, eq=False)
class Fits:
    """Several predictions fitted, each by itself: as `Fit` has it, one more dimension first.

    `slopes` are its `changes`, `factor` the lower triangles of its `curvature`.
    """

    evidence: np.ndarray
    shares: np.ndarray
    predicted: np.ndarray
    rest: np.ndarray
    slopes: np.ndarray
    factor: np.ndarray


def fits_of(
    misfit: Misfit,
    predicted: np.ndarray,
    changes: np.ndarray,
    free: int,
    start: np.ndarray,
    steps: int,
) -> Fits:
    """Fits of several predictions (prediction, point), delays and levels in them; see `fitted`.

    Arrays are so small that one call for all takes hardly longer than one for each.
    """
    bound = np.ones(len(changes))
    bound[len(changes) - free :] = 0.0
    shares = np.repeat(start[None], len(predicted), axis=0)
    now = predicted * factor_of(changes, start)
    rest = misfit.measured - misfit.white(now)
    height = _height(rest, shares, bound)
    slopes = np.empty((len(predicted), len(changes), misfit.measured.size))
    factor = np.empty((len(predicted), len(changes), len(changes)))
    going = np.arange(len(predicted))
    for step in range(steps + 1):
        slope = misfit.white_change(now[going], changes)
        known = slope @ slope.transpose(0, 2, 1) + np.eye(len(changes))
        slopes[going], factor[going] = slope, np.linalg.cholesky(known)
        if step == steps:
            break
        pull = (slope @ rest[going, :, None])[..., 0] - bound * shares[going]
        by = np.linalg.solve(known, pull[..., None])[..., 0]
        before, unmoved = height.copy(), going
        for _ in range(SHORTENED):
            moved = shares[unmoved] + by
            tried = predicted[unmoved] * factor_of(changes, moved)
            left = misfit.measured - misfit.white(tried)
            reached = _height(left, moved, bound)
            better = reached > height[unmoved]
            taken = unmoved[better]
            shares[taken], now[taken], rest[taken] = moved[better], tried[better], left[better]
            height[taken] = reached[better]
            unmoved, by = unmoved[~better], by[~better] / 3
            if not unmoved.size:
                break
        going = going[(height - before)[going] >= SETTLED]
        if not going.size:
            break
    logs = np.log(np.diagonal(factor, axis1=1, axis2=2)).sum(axis=1)
    return Fits(height - logs - misfit.log_size, shares, now, rest, slopes, factor)


def factor_of(changes: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """By what all that strays multiplies a prediction: shares (…, each) give (…, point)."""
    exponent = shares @ changes
    answer: np.ndarray = np.exp(np.clip(exponent.real, -MOST, MOST) + 1j * exponent.imag)
    return answer


def _height(rest: np.ndarray, shares: np.ndarray, bound: np.ndarray) -> np.ndarray:
    height: np.ndarray = -0.5 * (rest**2).sum(axis=-1) - 0.5 * (shares**2 @ bound)
    return height
