"""A field solver that does not solve again what it has solved."""

from __future__ import annotations

import dataclasses
import hashlib
from typing import Any

import numpy as np
import xarray as xr

from acoustics.prediction.fields import Solve

KEPT = 5
"""fields: a case needs one, one for the air load of its drivers, one more for a floor that mirrors
the cabinet, and two for the design in which drivers were measured"""


class Remembered:
    """A solver with the fields last asked of it; `count` says how often it had to solve.

    Fields are found by a digest of all that they depend on, so a case that shares body, drivers'
    places, receivers, frequencies and air with the one before is not solved again.
    """

    def __init__(self, solve: Solve | None, known: dict[str, xr.DataArray], **how: Any) -> None:
        if solve is None:
            from acoustics.field import solve_field

            solve = solve_field
        self._solve, self._how = solve, how
        self.known = dict(known)
        self.count = 0

    def __call__(
        self, body: Any, pistons: Any, receivers: np.ndarray, frequency: np.ndarray, **how: Any
    ) -> xr.DataArray:
        """As `solve_field`."""
        rest = {name: value for name, value in how.items() if name != "progress"}
        key = field_digest(body, tuple(pistons), receivers, frequency, rest)
        field = self.known.pop(key, None)
        if field is None:
            self.count += 1
            field = self._solve(body, pistons, receivers, frequency, **how, **self._how)
        self.known[key] = field
        while len(self.known) > KEPT:
            del self.known[next(iter(self.known))]
        return field


def field_digest(*what: Any) -> str:
    """SHA-256 (hex) of the values of dataclasses, arrays, tuples, dicts and plain values."""
    found = hashlib.sha256()
    _feed(found, what)
    return found.hexdigest()


def _feed(found: Any, what: Any) -> None:
    if dataclasses.is_dataclass(what):
        found.update(type(what).__name__.encode())
        _feed(found, [getattr(what, field.name) for field in dataclasses.fields(what)])
    elif isinstance(what, np.ndarray):
        found.update(f"{what.dtype}{what.shape}".encode())
        found.update(np.ascontiguousarray(what).tobytes())
    elif isinstance(what, dict):
        _feed(found, sorted(what.items()))
    elif isinstance(what, tuple | list):
        found.update(f"({len(what)}".encode())
        for part in what:
            _feed(found, part)
    else:
        found.update(f"{type(what).__name__} {what!r};".encode())
