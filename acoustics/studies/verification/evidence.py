"""How likely the readings are of one build, whatever strays: fitted, and integrated over.

What strays is Gaussian, delays and levels are free. A prediction is multiplied by the exponential
of all their changes, which Gauss and Newton's method fits; the integral over them is that of the
Gaussian about the fit (Laplace's approximation, exact where the prediction is linear: MacKay,
Bayesian interpolation, Neural Computation 4, 1992, 415; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.linalg as sl

from acoustics.studies.verification.alignment import Alignment
from acoustics.studies.verification.misfit import Misfit

MOST = 2.0
"""nepers by which all that strays together may change a prediction: beyond, it is a null's"""

STEPS, SETTLED = 8, 1e-3
"""steps of a fit at most; where the evidence changes by less it ends"""


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
    bound = np.ones(len(changes))
    bound[len(changes) - free :] = 0.0
    predicted = lined.applied(misfit.points, row)
    shares = np.zeros(len(changes)) if start is None else start.copy()
    now = predicted * factor_of(changes, shares)
    rest = misfit.measured - misfit.white(now)
    height = _height(rest, shares, bound)
    for step in range(steps + 1):
        slopes = misfit.white_change(now, changes)
        factor = sl.cho_factor(slopes @ slopes.T + np.eye(len(changes)), lower=True)
        if step == steps:
            break
        by = sl.cho_solve(factor, slopes @ rest - bound * shares)
        gain = 0.0
        for _ in range(5):
            tried = predicted * factor_of(changes, shares + by)
            left = misfit.measured - misfit.white(tried)
            gain = _height(left, shares + by, bound) - height
            if gain > 0:
                shares, now, rest, height = shares + by, tried, left, height + gain
                break
            by = by / 3
        if gain < SETTLED:
            break
    spread = np.sqrt(np.diag(sl.cho_solve(factor, np.eye(len(changes)))))
    evidence = height - float(np.log(np.diag(factor[0])).sum()) - misfit.log_size
    return Fit(evidence, shares, spread, row, lined, now, rest, changes, slopes, factor)


def factor_of(changes: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """By what all that strays multiplies a prediction, shape (point,)."""
    exponent = shares @ changes
    answer: np.ndarray = np.exp(np.clip(exponent.real, -MOST, MOST) + 1j * exponent.imag)
    return answer


def _height(rest: np.ndarray, shares: np.ndarray, bound: np.ndarray) -> float:
    return -0.5 * float(rest @ rest) - 0.5 * float(bound @ shares**2)
