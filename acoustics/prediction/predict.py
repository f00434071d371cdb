"""Multiply filter, source and field of every driver, and sum."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
import xarray as xr

from acoustics.cabinet.body import Body
from acoustics.cabinet.piston import Piston
from acoustics.conventions import DRIVE_VOLTAGE, PLANES
from acoustics.prediction.filters import filters_of
from acoustics.prediction.labels import attributes_of, coordinates_of, labelled
from acoustics.prediction.receivers import (
    drawn_side,
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
    receivers = receivers_of(case)
    body = Body.box(width=case.cabinet.width, height=case.cabinet.height, depth=case.cabinet.depth)
    side = drawn_side(case)
    pistons = [
        Piston(radius=d.piston_diameter / 2, centre=(side * d.position[0], d.position[1], 0.0))
        for d in case.drivers
    ]
    points, places = unique_points(receivers, side)
    solved = solve(
        body,
        pistons,
        points,
        frequency,
        air=case.air,
        accuracy=case.accuracy,
        progress=progress,
    )
    # (piston, frequency, receiver) → (driver, receiver, frequency): the product's order.
    field = np.swapaxes(solved.transpose("piston", "frequency", "receiver").values, 1, 2)
    fields = {name: field[:, where, :] for name, where in places.items()}
    reflection = reflections_of(case, receivers, frequency)
    fields["seat"] *= reflection

    sources = np.array([constant_sensitivity(d, frequency, case.air) for d in case.drivers])
    straight = int(np.argmin(np.abs(receivers.angles)))
    on_axis = fields["arc"][:, PLANES.index("horizontal"), straight]
    filters, targets, strength = filters_of(case, frequency, sources, on_axis)

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
    coordinates = coordinates_of(case, receivers, frequency)
    if "error_estimate" in solved.coords:
        coordinates["error_estimate"] = np.asarray(solved.error_estimate.values, dtype=float)
    return labelled(arrays, coordinates, attributes_of(case, receivers, frequency, strength))


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
