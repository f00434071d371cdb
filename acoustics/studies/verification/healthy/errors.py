"""What a stack of values may be off by though nothing strayed: its noise, and the prediction's."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.linalg as sl

from acoustics.case.design.model import Case
from acoustics.listening.error import NEPER
from acoustics.studies.verification.misfit.allowances import Allowances
from acoustics.studies.verification.misfit.model_error import matern, response_error
from acoustics.studies.verification.readings.readings import ResponseReading
from acoustics.studies.verification.strays.stacked import Rows, noise_of


@dataclass(frozen=True, eq=False)
class Errors:
    """Normal errors of a stack (nepers and radians), alike only within a part of one reading.

    Attributes:
        parts: where the levels, and where the phases of each reading stand.
        roots: lower triangular L of each part, L·Lᵀ its covariance.
    """

    parts: tuple[slice, ...]
    roots: tuple[np.ndarray, ...]

    @property
    def size(self) -> int:
        """How many values there are."""
        return sum(len(root) for root in self.roots)

    @property
    def deviation(self) -> np.ndarray:
        """Standard deviation of every value, (value,)."""
        return np.concatenate([np.linalg.norm(root, axis=1) for root in self.roots])

    def precise(self, stack: np.ndarray) -> np.ndarray:
        """(L·Lᵀ)⁻¹ of stacks, (value, …)."""
        return self._each(
            stack, lambda root, part: sl.cho_solve((root, True), part, check_finite=False)
        )

    def coloured(self, white: np.ndarray) -> np.ndarray:
        """L of stacks of independent values of standard deviation 1, (value, …)."""
        return self._each(white, lambda root, part: root @ part)

    def transposed(self, stack: np.ndarray) -> np.ndarray:
        """Lᵀ of stacks, (value, …)."""
        return self._each(stack, lambda root, part: root.T @ part)

    def _each(
        self, stack: np.ndarray, does: Callable[[np.ndarray, np.ndarray], np.ndarray]
    ) -> np.ndarray:
        answer = np.empty(stack.shape)
        for part, root in zip(self.parts, self.roots, strict=True):
            answer[part] = does(root, stack[part])
        return answer


def errors_of(rows: Sequence[Rows], case: Case, allowances: Allowances) -> Errors:
    """Each value's own uncertainty, and the prediction's: levels and phases alike, over octaves.

    Args:
        rows: of the readings.
        case: the design, which says to where flat pistons can be trusted.
        allowances: how far a prediction may be off.
    """
    noise, parts, roots = noise_of(rows), [], []
    for row in rows:
        if isinstance(row.reading, ResponseReading):
            model = NEPER * response_error(row.reading, case, row.frequency, allowances)
        else:
            model = np.full(row.frequency.shape, allowances.impedance)
        alike = np.outer(model, model) * matern(np.log2(row.frequency), allowances.octaves)
        for part in row.parts:
            parts.append(part)
            roots.append(np.linalg.cholesky(alike + np.diag(noise[part] ** 2)))
    return Errors(tuple(parts), tuple(roots))
