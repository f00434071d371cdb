"""Fields solved round a design, in a folder, so that a study that goes on need not solve again."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from acoustics.conventions import SCHEMA, SOLVER
from acoustics.files import write_bytes
from acoustics.prediction.predict import Solve
from acoustics.studies.remembered import field_digest

DIGITS = 32
"""of a digest in a file's name"""


class KeptFields:
    """A field solver that keeps what it has solved, named by digests of question and content.

    What stands in for the field solver is told from it by its name. Only the pressure is kept, not
    the estimate of its error, which builds have no use for.
    """

    def __init__(self, folder: Path, solve: Solve) -> None:
        self.folder, self._solve = folder, solve
        self._names = set[str]()

    def __call__(
        self, body: Any, pistons: Any, receivers: np.ndarray, frequency: np.ndarray, **how: Any
    ) -> xr.DataArray:
        """As `solve_field`.

        Raises:
            RoundoverError: a field that cannot be written; what is solved before it is safe.
        """
        who = getattr(self._solve, "__qualname__", type(self._solve).__qualname__)
        asked = (body, tuple(pistons), receivers, frequency, how)
        name = field_digest(SCHEMA, SOLVER, who, *asked)[:DIGITS]
        found = self._read(name)
        if found is None:
            solved = self._solve(body, pistons, receivers, frequency, **how)
            found = solved.transpose("piston", "frequency", "receiver").values
            content = io.BytesIO()
            np.save(content, found, allow_pickle=False)
            data = content.getvalue()
            file = f"{name}-{_short(data)}.npy"
            write_bytes(data, self.folder / file)
            self._names.add(file)
        return xr.DataArray(found, dims=("piston", "frequency", "receiver"))

    def _read(self, name: str) -> np.ndarray | None:
        """A field; None where there is none or its file is damaged."""
        for path in sorted(self.folder.glob(f"{name}-*.npy")):
            try:
                data = path.read_bytes()
                if path.stem.split("-")[1] != _short(data):
                    continue
                field: np.ndarray = np.load(io.BytesIO(data), allow_pickle=False)
            except (OSError, ValueError):
                continue
            self._names.add(path.name)
            return field
        return None

    def clear(self) -> None:
        """Remove fields that were not asked for."""
        for path in self.folder.glob("*.npy"):
            if path.name not in self._names:
                path.unlink(missing_ok=True)


def _short(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:DIGITS]
