"""Multiply filter, source and field of every driver, and sum."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
import xarray as xr

from acoustics.conventions import DRIVE_VOLTAGE, PLANES
from acoustics.field.estimate import largest_error
from acoustics.prediction.filters import filters_of
from acoustics.prediction.labels import attributes_of, coordinates_of, labelled
from acoustics.prediction.layout import Layout, layout_of, over_the_floor
from acoustics.prediction.receivers import (
    Receivers,
    receivers_of,
    reflections_of,
    unique_points,
)
from acoustics.source.constant import constant_sensitivity

if TYPE_CHECKING:
    from acoustics.case.model import Case

Solve = Callable[..., xr.DataArray]


def predict(
    case: Case, *, solve: Solve | None = None, progress: Callable[..., Any] | None = None
) -> xr.Dataset:
    """Predict what a design does on the arcs, at the seats, over height and sideways.

    Args:
        case: the design.
        solve: what computes the field, with the signature of `acoustics.field.solve_field`
            (the default).
        progress: handed to `solve`.

    Returns:
        Dataset with the variables of `conventions.VARIABLES`: filter (V/V), source (m³/s per V),
        fields (Pa per m³/s) and rms pressures (Pa) per driver and summed, complex128; positions
        (m). Angles are in degrees about the reference point, 0 on the reference axis, positive to
        the right or up. `error_estimate` (frequency), dB, is there if the solver gives one, and
        `target` if a driver has acoustic slopes; `listening.unreached` says where a driver stays
        below its target.

    Raises:
        GeometryError: a driver or receiver that cannot be where the case puts it.
        RoundoverError: a filter of an order its alignment does not have.

    Example:
        >>> import acoustics as ac
        >>> prediction = ac.predict(ac.read_case("case.toml"))  # doctest: +SKIP
        >>> prediction.seat_total.sel(surroundings="with reflections")  # doctest: +SKIP
    """
    if solve is None:
        from acoustics.field import solve_field

        solve = solve_field

    frequency = case.frequencies.values()
    layout = layout_of(case)
    receivers = receivers_of(case)
    how: dict[str, Any] = {"air": case.air, "accuracy": case.accuracy, "progress": progress}
    points, places = unique_points(receivers, layout.side)
    solved = solve(layout.body, layout.turned, points, frequency, **how)
    field = layout.per_driver(by_receiver(solved))
    fields = {
        name: np.where(where[None, ..., None] < 0, np.nan, field[:, where, :])
        for name, where in places.items()
    }
    reflection = reflections_of(case, receivers, layout.centres, frequency)
    fields["seat"] *= reflection
    if case.floor is not None and case.floor.mirrors_cabinet:
        together = floor_of_one_body(case, layout, receivers, frequency, solve, how)
        fields["seat"][:, :, :, 1] = together - fields["seat"][:, :, :, 0]

    sources = np.array([constant_sensitivity(d, frequency, case.air) for d in case.drivers])
    straight = int(np.argmin(np.abs(receivers.angles)))
    on_axis = fields["arc"][:, PLANES.index("horizontal"), straight]
    filters, targets, strength = filters_of(case, frequency, sources, on_axis, layout.centres)

    arrays = {
        "filter": filters,
        "source": sources,
        "strength": strength,
        "reflection": reflection,
        **products(filters * sources * DRIVE_VOLTAGE, fields),
        "seat_position": receivers.seat,
        "height_position": receivers.height,
        "aside_position": receivers.aside,
    }
    if targets is not None:
        arrays["target"] = targets
    coordinates = coordinates_of(case, layout, receivers, frequency)
    if "error_estimate" in solved.coords:
        coordinates["error_estimate"] = largest_error(solved).values
    return labelled(
        arrays, coordinates, attributes_of(case, layout, receivers, frequency, strength)
    )


def by_receiver(solved: xr.DataArray) -> np.ndarray:
    """The field as a bare array in the product's order, (piston, receiver, frequency)."""
    return np.swapaxes(solved.transpose("piston", "frequency", "receiver").values, 1, 2)


def floor_of_one_body(
    case: Case,
    layout: Layout,
    receivers: Receivers,
    frequency: np.ndarray,
    solve: Solve,
    how: dict[str, Any],
) -> np.ndarray:
    """Field at the seats with the cabinet and its image in the floor as one body.

    Returns:
        Direct sound and floor together, (driver, speaker, seat, ear_height, frequency).
    """
    both = over_the_floor(layout, case.cabinet.floor_level)
    ears = receivers.seat[:, :, 0]
    points = ears.reshape(-1, 3) * ([layout.side, 1, 1] if layout.side else [1, 1, 1])
    field = by_receiver(solve(both.body, both.turned, points, frequency, **how))
    above, below = np.split(field, 2)
    together = layout.per_driver(above + below)
    return together.reshape(together.shape[0], *ears.shape[:-1], frequency.size)


def products(drive: np.ndarray, fields: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Pressures of each driver and of all, beside the fields they come from.

    Args:
        drive: volume velocity of each driver, m³/s, shape (driver, frequency).
        fields: Pa per m³/s, shape (driver, …, frequency), for "arc", "seat", "height", "aside".
    """
    arrays: dict[str, np.ndarray] = {}
    for name, field in fields.items():
        arrays[f"{name}_field"] = field
        spread = drive.reshape(drive.shape[0], *(1,) * (field.ndim - 2), drive.shape[1])
        arrays[f"{name}_pressure"] = spread * field
        arrays[f"{name}_total"] = arrays[f"{name}_pressure"].sum(axis=0)
    by_path = arrays["seat_total"]  # (speaker, seat, path, ear_height, frequency)
    arrays["seat_total"] = np.stack([by_path[:, :, 0], by_path.sum(axis=2)])
    return arrays
