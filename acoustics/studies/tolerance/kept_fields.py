"""Fields solved round a design, kept so that a study that goes on need not solve again."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr

from acoustics.prediction.fields import Solve
from acoustics.studies.kept_files import KeptFiles

FIELD = "field"


class KeptFields:
    """A field solver that keeps what it has solved.

    What stands in for the field solver is told from it by its name. Only the pressure is kept, not
    the estimate of its error, which builds have no use for.
    """

    def __init__(self, files: KeptFiles, solve: Solve) -> None:
        self._files, self._solve = files, solve

    def __call__(
        self, body: Any, pistons: Any, receivers: np.ndarray, frequency: np.ndarray, **how: Any
    ) -> xr.DataArray:
        """As `solve_field`.

        Raises:
            RoundoverError: a field that cannot be written; what is solved before it is safe.
        """
        who = getattr(self._solve, "__qualname__", type(self._solve).__qualname__)
        asked = (who, body, tuple(pistons), receivers, frequency, how)
        found = self._files.read(*asked)
        if found is None:
            solved = self._solve(body, pistons, receivers, frequency, **how)
            found = {"pressure": solved.transpose("piston", "frequency", "receiver").values}
            self._files.write(found, *asked)
        return xr.DataArray(found["pressure"], dims=("piston", "frequency", "receiver"))
