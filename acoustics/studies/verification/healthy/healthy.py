"""What is to be expected of a healthy build once level, delay and microphone are set right.

A stack of values differs from the design's by y = J·θ + e, with θ the unknowns, each normal with
standard deviation 1 in its own measure, and e what values and prediction are off by themselves.
Setting the alignment right takes J_a·M·y away, which leaves (1 − J_a·M)·y: how far that spreads is
what is kept here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.studies.verification.healthy.errors import Errors


@dataclass(frozen=True, eq=False)
class Healthy:
    """Of a stack of values (nepers and radians).

    Attributes:
        tangent: J, change of every value per standard deviation of an unknown, (value, unknown).
        errors: of the values, e.
        aligned: how many of the unknowns, the first ones, are set right.
        estimator: M of these, (aligned, value).
    """

    tangent: np.ndarray
    errors: Errors
    aligned: int
    estimator: np.ndarray

    @property
    def deviation(self) -> np.ndarray:
        """Standard deviation of every value after the alignment, (value,)."""
        ways = self.tangent[:, : self.aligned]
        known = self._left(self.tangent)
        passed = self.errors.transposed(self.estimator.T)
        through = np.einsum("va,va->v", ways, self.errors.coloured(passed))
        carried = np.einsum("va,ab,vb->v", ways, passed.T @ passed, ways)
        own = self.errors.deviation**2 - 2 * through + carried
        answer: np.ndarray = np.sqrt(np.maximum((known**2).sum(axis=1) + own, 0.0))
        return answer

    def draws(self, count: int, seed: int) -> np.ndarray:
        """What healthy builds would leave after the alignment, (value, count)."""
        rng = np.random.default_rng(seed)
        unknown = rng.standard_normal((self.tangent.shape[1], count))
        errors = self.errors.coloured(rng.standard_normal((self.errors.size, count)))
        return self._left(self.tangent @ unknown + errors)

    def _left(self, stack: np.ndarray) -> np.ndarray:
        """What the alignment leaves of stacks, (value, …)."""
        answer: np.ndarray = stack - self.tangent[:, : self.aligned] @ (self.estimator @ stack)
        return answer
