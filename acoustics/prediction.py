"""prediction = filter × source × field, labelled: one Dataset that explains itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import metadata
from typing import TYPE_CHECKING, Any

import numpy as np
import xarray as xr

from acoustics.cabinet.body import Body
from acoustics.cabinet.piston import Piston
from acoustics.conventions import (
    COORDINATES,
    DRIVE_VOLTAGE,
    PATHS,
    PLANES,
    SCHEMA,
    SOLVER,
    STANDARD_NAMES,
    SURROUNDINGS,
    VARIABLES,
)
from acoustics.crossover.branch import crossover_response
from acoustics.crossover.crossings import crossings
from acoustics.source.constant import constant_sensitivity

if TYPE_CHECKING:
    from acoustics.case.model import Case

LOWEST_HEIGHT, HIGHEST_HEIGHT, HEIGHT_STEP = 0.3, 2.0, 0.05
"""m: ears of a small child on the floor to those of a tall person standing, and the step."""

HEIGHT_MARGIN = 0.3
"""m: how far the heights reach beyond every ear height of the case."""

RECEIVER_DECIMALS = 9
"""Receivers that agree to a nanometre are one receiver."""

CONVENTIONS = (
    "Time dependence exp(+jwt): an outgoing wave is exp(-jkR). x to the right as the listener sees "
    "the cabinet, y up, z out of the front face; origin at the centre of the front face. SI units. "
    "Pressures are rms for drive_voltage at the input; pressure = filter * source * field * "
    "drive_voltage. Filters are pure transfer functions: polarity is inverted only where the "
    "design says so."
)

Solve = Callable[..., xr.DataArray]


@dataclass(frozen=True)
class Receivers:
    """Where a case is heard, every group with its own shape, the last axis being (x, y, z) in m."""

    angles: np.ndarray
    """degrees, shape (angle,)"""
    heights: np.ndarray
    """m above the floor, shape (height,)"""
    arcs: np.ndarray
    """shape (plane, angle, 3)"""
    seat: np.ndarray
    """shape (path, ear_height, 3); the floor path is heard at the seat's mirror image"""
    line: np.ndarray
    """shape (height, 3)"""


def predict(
    case: Case, *, solve: Solve | None = None, progress: Callable[..., Any] | None = None
) -> xr.Dataset:
    """Predict what a design does on the arcs, at the seat and over height.

    Args:
        case: the design.
        solve: what computes the field, with the signature of `acoustics.field.solve_field`
            (the default).
        progress: handed to `solve`.

    Returns:
        Dataset with the variables of `conventions.VARIABLES`, complex128: filter (V/V), source
        (m³/s per V), fields (Pa per m³/s) and rms pressures (Pa) per driver and summed. Angles
        are in degrees about the reference point, 0 on the reference axis, positive to the right
        or up. `error_estimate` (frequency), dB, is there if the solver gives one.

    Raises:
        GeometryError: a driver or receiver that cannot be where the case puts it.
        RoundoverError: a filter of an order its alignment does not have.

    Example:
        >>> import acoustics as ac
        >>> prediction = ac.predict(ac.read_case("case.toml"))  # doctest: +SKIP
        >>> prediction.seat_total.sel(surroundings="with floor")  # doctest: +SKIP
    """
    if solve is None:
        from acoustics.field import solve_field

        solve = solve_field

    frequency = case.frequencies.values()
    filters = crossover_response(case, frequency)
    sources = np.array([constant_sensitivity(d, frequency, case.air) for d in case.drivers])

    receivers = receivers_of(case)
    body = Body.box(width=case.cabinet.width, height=case.cabinet.height, depth=case.cabinet.depth)
    pistons = [
        Piston(radius=d.piston_diameter / 2, centre=(*d.position, 0.0)) for d in case.drivers
    ]
    points, places = unique_points(receivers)
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
    fields["seat"][:, PATHS.index("floor")] *= floor_reflection(case)

    arrays = products(filters, sources, fields)
    coordinates = {
        "driver": np.array([driver.name for driver in case.drivers]),
        "frequency": frequency,
        "plane": np.array(PLANES),
        "angle": receivers.angles,
        "ear_height": np.array(case.seat.ear_heights, dtype=float),
        "height": receivers.heights,
        "path": np.array(PATHS),
        "surroundings": np.array(SURROUNDINGS),
        "driver_x": np.array([driver.position[0] for driver in case.drivers]),
        "driver_y": np.array([driver.position[1] for driver in case.drivers]),
        "piston_diameter": np.array([driver.piston_diameter for driver in case.drivers]),
        "frame_diameter": np.array([driver.frame_diameter for driver in case.drivers]),
    }
    if "error_estimate" in solved.coords:
        coordinates["error_estimate"] = np.asarray(solved.error_estimate.values, dtype=float)
    attributes = attributes_of(case, frequency, np.abs(filters * sources))
    return labelled(arrays, coordinates, attributes)


def receivers_of(case: Case) -> Receivers:
    """Arcs, seat and line over height of a case."""
    angles = arc_angles(case.arc_step)
    turn = np.deg2rad(angles)
    x, y = case.reference.point
    aside, ahead = case.reference.distance * np.sin(turn), case.reference.distance * np.cos(turn)
    arcs = np.zeros((len(PLANES), angles.size, 3))
    arcs[PLANES.index("horizontal")] = np.stack((x + aside, np.full_like(turn, y), ahead), axis=-1)
    arcs[PLANES.index("vertical")] = np.stack((np.full_like(turn, x), y + aside, ahead), axis=-1)

    floor_level, distance = case.cabinet.floor_level, case.seat.distance
    ears = np.array(case.seat.ear_heights, dtype=float)
    heights = seat_heights(ears)
    images = ears if case.floor is None else -ears  # without a floor nothing more is solved
    seat = np.stack([_ahead(floor_level + ears, distance), _ahead(floor_level + images, distance)])
    return Receivers(angles, heights, arcs, seat, _ahead(floor_level + heights, distance))


def arc_angles(step: float) -> np.ndarray:
    """Angles of a full circle, ascending from above −180 to 180 degrees; 0 is among them."""
    count = round(360 / step)
    return step * np.arange(-((count - 1) // 2), count // 2 + 1)


def seat_heights(ears: np.ndarray) -> np.ndarray:
    """Heights above the floor (m), in steps of HEIGHT_STEP, well around every ear height."""
    low = max(min(LOWEST_HEIGHT, ears.min() - HEIGHT_MARGIN), 0.0)
    high = max(HIGHEST_HEIGHT, ears.max() + HEIGHT_MARGIN)
    first, last = np.floor(low / HEIGHT_STEP + 1e-9), np.ceil(high / HEIGHT_STEP - 1e-9)
    return np.round(HEIGHT_STEP * np.arange(first, last + 1), RECEIVER_DECIMALS)


def unique_points(receivers: Receivers) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Every receiver once, (point, 3), and where each group's points are found among them."""
    groups = {"arc": receivers.arcs, "seat": receivers.seat, "height": receivers.line}
    everything = np.concatenate([group.reshape(-1, 3) for group in groups.values()])
    everything = np.round(everything, RECEIVER_DECIMALS) + 0.0  # + 0.0 makes −0.0 a plain 0
    points, places = np.unique(everything, axis=0, return_inverse=True)
    ends = np.cumsum([group[..., 0].size for group in groups.values()])[:-1]
    parts = np.split(places.reshape(-1), ends)
    return points, {
        name: part.reshape(group.shape[:-1])
        for (name, group), part in zip(groups.items(), parts, strict=True)
    }


def floor_reflection(case: Case) -> float:
    """Pressure reflection factor of the floor; 0 when there is none."""
    return 0.0 if case.floor is None else case.floor.reflection


def products(
    filters: np.ndarray, sources: np.ndarray, fields: dict[str, np.ndarray]
) -> dict[str, np.ndarray]:
    """Multiply filter × source × field for each driver, and sum over drivers.

    Args:
        filters: V/V, shape (driver, frequency).
        sources: m³/s per V, shape (driver, frequency).
        fields: Pa per m³/s, shape (driver, …, frequency), for "arc", "seat" and "height".
    """
    drive = filters * sources * DRIVE_VOLTAGE
    arrays = {"filter": filters, "source": sources}
    for name, field in fields.items():
        arrays[f"{name}_field"] = field
        spread = drive.reshape(drive.shape[0], *(1,) * (field.ndim - 2), drive.shape[1])
        arrays[f"{name}_pressure"] = spread * field
    arrays["arc_total"] = arrays["arc_pressure"].sum(axis=0)
    arrays["height_total"] = arrays["height_pressure"].sum(axis=0)
    direct, floor = arrays["seat_pressure"].sum(axis=0)
    arrays["seat_total"] = np.stack([direct, direct + floor])
    return arrays


def attributes_of(case: Case, frequency: np.ndarray, strength: np.ndarray) -> dict[str, Any]:
    """State what a reader must know beyond the arrays: conventions, air, geometry, origin.

    Args:
        case: the design.
        frequency: Hz, shape (frequency,).
        strength: |filter × source| of each driver, shape (driver, frequency).
    """
    points = crossings(frequency, strength)
    names = [driver.name for driver in case.drivers]
    return {
        "title": case.title,
        "comment": case.note,
        "Conventions": "CF-1.11",
        "conventions": CONVENTIONS,
        "temperature": case.temperature,
        "speed_of_sound": case.air.speed_of_sound,
        "density": case.air.density,
        "drive_voltage": DRIVE_VOLTAGE,
        "accuracy": case.accuracy,
        "schema": SCHEMA,
        "solver": SOLVER,
        "source": f"roundover {package_version()}",
        "version": package_version(),
        "case_digest": case.digest,
        "cabinet_width": case.cabinet.width,
        "cabinet_height": case.cabinet.height,
        "cabinet_depth": case.cabinet.depth,
        "cabinet_base_height": case.cabinet.base_height,
        "reference_x": case.reference.point[0],
        "reference_y": case.reference.point[1],
        "reference_distance": case.reference.distance,
        "seat_distance": case.seat.distance,
        "floor_reflection": floor_reflection(case),
        "crossover_frequencies": np.array([point.frequency for point in points]),
        "crossover_pairs": "; ".join(f"{names[p.lower]} to {names[p.upper]}" for p in points),
    }


def labelled(
    arrays: dict[str, np.ndarray], coordinates: dict[str, np.ndarray], attributes: dict[str, Any]
) -> xr.Dataset:
    """Make a Dataset whose dims, units and long names come from the tables in conventions."""
    return xr.Dataset(
        {
            name: (VARIABLES[name].dims, array, _meaning(VARIABLES[name]))
            for name, array in arrays.items()
        },
        coords={
            name: (COORDINATES[name].dims, array, _meaning(COORDINATES[name]))
            for name, array in coordinates.items()
        },
        attrs=attributes,
    )


def package_version() -> str:
    """Look up the installed distribution's version."""
    try:
        return metadata.version("roundover")
    except metadata.PackageNotFoundError:
        return "not installed"


def _ahead(y: np.ndarray, distance: float) -> np.ndarray:
    """Points straight ahead of the cabinet's centre line, shape (…, 3), m."""
    return np.stack([np.zeros_like(y), y, np.full_like(y, distance)], axis=-1)


def _meaning(variable: Any) -> dict[str, str]:
    meaning = {"units": variable.units, "long_name": variable.long_name}
    if variable.units in STANDARD_NAMES:
        meaning["standard_name"] = STANDARD_NAMES[variable.units]
    return meaning
