"""Fields of a design where it is heard, and by how much each may be off."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.prediction.layout import Layout, layout_of, over_the_floor
from acoustics.prediction.microphones import AtMicrophones, microphone_points
from acoustics.prediction.receivers import Receivers
from acoustics.prediction.together import together
from acoustics.source.drive import drive_of

Solve = Callable[..., xr.DataArray]
"""What computes a field, with the signature of `acoustics.field.solve_field`."""


@dataclass(frozen=True)
class Fields:
    """Fields by where they are heard, and their errors.

    Args:
        values: Pa per m³/s, complex, each (radiator or driver, …, frequency).
        errors: by how much each of them may be off, likewise; none where the solver does not say.
    """

    values: dict[str, np.ndarray]
    errors: dict[str, np.ndarray]

    def without(self, name: str) -> Fields:
        """All but those heard in one place."""
        values, errors = (
            {each: found for each, found in part.items() if each != name}
            for part in (self.values, self.errors)
        )
        return Fields(values, errors)

    def reflected(self, reflection: np.ndarray) -> Fields:
        """At the seats by every way there: times what the surfaces of each way leave of it."""
        values, errors = dict(self.values), dict(self.errors)
        values["seat"] = values["seat"] * reflection
        if errors:
            errors["seat"] = errors["seat"] * np.abs(reflection)
        return Fields(values, errors)

    def per_driver(self, shares: np.ndarray) -> Fields:
        """Of each driver with all that it moves; `shares` (radiator, driver, frequency)."""
        return Fields(
            {name: together(each, shares) for name, each in self.values.items()},
            {name: together(each, np.abs(shares)) for name, each in self.errors.items()},
        )

    def with_floor(self, whole: np.ndarray, error: np.ndarray) -> Fields:
        """At the seats with the way by the floor: what is there beside the direct sound.

        Args:
            whole: direct sound and floor together, (driver, speaker, seat, ear_height, frequency).
            error: by how much that may be off.
        """
        seat = self.values["seat"].copy()
        seat[:, :, :, 1] = whole - seat[:, :, :, 0]
        errors = dict(self.errors)
        if errors:
            errors["seat"] = errors["seat"].copy()
            errors["seat"][:, :, :, 1] = error + errors["seat"][:, :, :, 0]
        return Fields(self.values | {"seat": seat}, errors)

    @property
    def level_errors(self) -> dict[str, np.ndarray]:
        """Error of every level, dB, by the name of its variable."""
        return {
            f"{name}_error": level_errors(self.values[name], error)
            for name, error in self.errors.items()
        }


def fields_of(layout: Layout, solved: xr.DataArray, places: dict[str, np.ndarray]) -> Fields:
    """Fields of every radiator by where they are heard.

    Args:
        layout: what was solved.
        solved: its field at all points.
        places: numbers of the points of each group of receivers, −1 where there is none.
    """
    values = placed(layout.per_radiator(by_receiver(solved)), places)
    errors: dict[str, np.ndarray] = {}
    if "error_estimate" in solved.coords:
        off = layout.per_radiator(by_receiver(possible_error(solved)), size=True)
        errors = placed(off, places)
    return Fields(values, errors)


def heard_at(
    case: Case, frequency: np.ndarray, solve: Solve, settings: dict[str, Any]
) -> AtMicrophones:
    """What is heard where the drivers of a case were measured, and only there."""
    layout, points = layout_of(case), microphone_points(case)
    there = np.isfinite(points[:, 0])
    solved = solve(layout.body, layout.pistons, points[there], frequency, **settings)
    places = {"": np.where(there, np.cumsum(there) - 1, -1)}
    field, error = (
        placed(layout.per_radiator(by_receiver(each), size=size), places)[""]
        for each, size in ((solved, False), (possible_error(solved), True))
    )
    return AtMicrophones(case, drive_of(case, frequency, solve), field, error)


def floor_of_one_body(
    case: Case,
    layout: Layout,
    receivers: Receivers,
    shares: np.ndarray,
    frequency: np.ndarray,
    solve: Solve,
    settings: dict[str, Any],
) -> tuple[np.ndarray, np.ndarray]:
    """Field at the seats with the cabinet and its image in the floor as one body.

    Returns:
        Direct sound and floor together, and by how much that may be off; both (driver, speaker,
        seat, ear_height, frequency).
    """
    both = over_the_floor(layout, case.cabinet.floor_level)
    ears = receivers.seat[:, :, 0]
    points = ears.reshape(-1, 3) * ([layout.side, 1, 1] if layout.side else [1, 1, 1])
    solved = solve(both.body, both.turned, points, frequency, **settings)

    def at_the_seats(field: xr.DataArray, size: bool) -> np.ndarray:
        above, below = np.split(by_receiver(field), 2)
        each = layout.per_radiator(above + below, size=size)
        whole = together(each, np.abs(shares) if size else shares)
        return whole.reshape(whole.shape[0], *ears.shape[:-1], frequency.size)

    return at_the_seats(solved, False), at_the_seats(possible_error(solved), True)


def by_receiver(solved: xr.DataArray) -> np.ndarray:
    """The field as a bare array in the product's order, (piston, receiver, frequency)."""
    return np.swapaxes(solved.transpose("piston", "frequency", "receiver").values, 1, 2)


def possible_error(solved: xr.DataArray) -> xr.DataArray:
    """By how much the pressure may be off where the solver estimates it (else 0), like `solved`."""
    estimate = solved.coords.get("error_estimate", xr.zeros_like(solved, dtype=float))
    return np.abs(solved) * (10 ** (estimate / 20) - 1)


def level_errors(field: np.ndarray, error: np.ndarray) -> np.ndarray:
    """Error of every level in dB, from by how much each pressure may be off."""
    answer: np.ndarray = 20 * np.log10(1 + error / np.maximum(np.abs(field), np.finfo(float).tiny))
    return answer


def placed(field: np.ndarray, places: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """A field (driver, point, frequency) on the arcs, at the seats and so on; NaN where none is."""
    found = {}
    for name, where in places.items():
        found[name] = field[:, where, :]
        found[name][:, where < 0] = np.nan
    return found
