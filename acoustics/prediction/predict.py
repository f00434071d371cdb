"""Multiply filter, source and field of every driver, and sum."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import xarray as xr

from acoustics.conventions import DRIVE_VOLTAGE, PLANES
from acoustics.crossover.acoustic import heard_low_end
from acoustics.field.estimate import largest_error
from acoustics.prediction.built import Build
from acoustics.prediction.filters import filters_of, realised_arrays
from acoustics.prediction.labels import attributes_of, coordinates_of, labelled
from acoustics.prediction.layout import Layout, layout_of, over_the_floor
from acoustics.prediction.microphones import JOINS, AtMicrophones, microphone_points, with_measured
from acoustics.prediction.passive import passive_arrays
from acoustics.prediction.receivers import (
    Receivers,
    at_heights,
    every_point,
    receivers_of,
    reflections_of,
    unique_points,
)
from acoustics.prediction.source_half import impedances, moved, movers
from acoustics.prediction.together import together
from acoustics.source.drive import drive_of

if TYPE_CHECKING:
    from acoustics.case.model import Case

Solve = Callable[..., xr.DataArray]


def predict(
    case: Case,
    *,
    solve: Solve | None = None,
    progress: Callable[..., Any] | None = None,
    build: Build | None = None,
    receivers: Receivers | None = None,
) -> xr.Dataset:
    """Predict what a design does on the arcs, at the seats, over height and sideways.

    Args:
        case: the design.
        solve: what computes the field, with the signature of `acoustics.field.solve_field`
            (the default).
        progress: handed to `solve`.
        build: what a built loudspeaker of a design has of it, `case` being that loudspeaker. Its
            field is asked for as it stands, not mirrored and with every receiver in its place, so
            that builds are alike: one may be lopsided whose design is not.
        receivers: where it is heard, shaped as `receivers_of` has them; None for all of these.

    Returns:
        Dataset with the variables of `conventions.VARIABLES`: filter (V/V), source (m³/s per V),
        fields (Pa per m³/s) and rms pressures (Pa) per driver and summed, complex128; positions
        (m). Angles are in degrees about the reference point, 0 on the reference axis, positive to
        the right or up. If the solver estimates its error, `error_estimate` (frequency) is the
        largest, and `arc_error` … those of every level of the fields, dB. `target` is there if a
        driver has acoustic slopes; `listening.unreached` says where a driver stays below it. Where
        some driver has small-signal parameters, what moves, impedance and limits are there too;
        where an impedance is measured, that one, and `impedance_extrapolated` if it may go past the
        ends of its table; where drivers were measured on the cabinet, how their sources follow from
        that; where some branch is passive, the input impedance, and voltage and
        current of every part; where a processor realises computed filters, their taps and the
        filters as they are needed.

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
    receivers = receivers_of(case) if receivers is None else receivers
    how: dict[str, Any] = {
        "air": case.air,
        "accuracy": case.accuracy,
        "memory": case.memory,
        "progress": progress,
    }
    if build is None:
        points, places = unique_points(receivers, layout.side)
    else:
        layout = replace(layout, side=1.0)
        if build.heights is not None:
            receivers = at_heights(case, receivers, build.heights, build.aside_ear)
        points, places = every_point(receivers)
    solved = solve(layout.body, layout.turned, points, frequency, **how)
    drive = drive_of(case, frequency, solve)
    fields = placed(layout.per_radiator(by_receiver(solved)), places)
    at_microphones = fields.pop("microphone")
    errors: dict[str, np.ndarray] = {}
    if "error_estimate" in solved.coords:
        off = layout.per_radiator(by_receiver(possible_error(solved)), size=True)
        errors = placed(off, places)
    no_error = np.zeros(at_microphones.shape)
    heard = AtMicrophones(case, drive, at_microphones, errors.pop("microphone", no_error))
    if case.measured_in is not None:
        heard = heard_at(case.measured_in, frequency, solve, how)
    drive, inferred = with_measured(case, drive, heard, frequency)
    if build is not None:
        drive = replace(drive, source=drive.source * build.factor)
    reflection = reflections_of(case, receivers, layout.radiator_centres, frequency)
    fields["seat"] *= reflection
    if errors:
        errors["seat"] *= np.abs(reflection)
    straight = PLANES.index("horizontal"), int(np.argmin(np.abs(receivers.angles)))
    cone_field = fields["arc"][: layout.drivers, *straight]
    fields = {name: together(each, drive.shares) for name, each in fields.items()}
    errors = {name: together(each, np.abs(drive.shares)) for name, each in errors.items()}
    if case.floor is not None and case.floor.mirrors_cabinet:
        whole, whole_off = floor_of_one_body(
            case, layout, receivers, drive.shares, frequency, solve, how
        )
        fields["seat"][:, :, :, 1] = whole - fields["seat"][:, :, :, 0]
        if errors:
            errors["seat"][:, :, :, 1] = whole_off + errors["seat"][:, :, :, 0]

    on_axis = fields["arc"][:, *straight]
    low_ends = heard_low_end(drive.low_end, on_axis, cone_field)
    fixed = None if build is None else build.fixed
    found = filters_of(case, frequency, drive, on_axis, layout.centres, low_ends, fixed)
    filters, targets, strength, passive = found[:4]

    arrays = {
        "filter": filters,
        "source": drive.source,
        "strength": strength,
        "reflection": reflection[: layout.drivers],
        "cone_field": cone_field,
        **products(filters * drive.source * DRIVE_VOLTAGE, fields),
        "seat_position": receivers.seat,
        "height_position": receivers.height,
        "aside_position": receivers.aside,
    }
    if targets is not None:
        arrays["target"] = targets
    coordinates = coordinates_of(case, layout, receivers, frequency)
    if inferred:
        arrays |= inferred
        coordinates["join"] = np.array(JOINS)
    if any(driver.small_signal is not None for driver in case.drivers):
        arrays |= moved(case, drive.motion, frequency)
        coordinates |= movers(case, layout, drive.motion)
    if any(driver.small_signal or driver.impedance for driver in case.drivers):
        arrays |= impedances(case, drive.motion, frequency)
    if passive is not None:
        more, names = passive_arrays(case, passive)
        arrays |= more
        coordinates |= names
    more, names, said = realised_arrays(case, found)
    arrays |= more
    coordinates |= names
    if errors:
        coordinates["error_estimate"] = largest_error(solved).values
        arrays |= {f"{name}_error": level_errors(fields[name], errors[name]) for name in fields}
    return labelled(
        arrays, coordinates, attributes_of(case, layout, receivers, frequency, strength) | said
    )


def heard_at(case: Case, frequency: np.ndarray, solve: Solve, how: dict[str, Any]) -> AtMicrophones:
    """What is heard where the drivers of a case were measured, and only there."""
    layout, points = layout_of(case), microphone_points(case)
    there = np.isfinite(points[:, 0])
    solved = solve(layout.body, layout.pistons, points[there], frequency, **how)
    places = {"": np.where(there, np.cumsum(there) - 1, -1)}
    field, off = (
        placed(layout.per_radiator(by_receiver(each), size=size), places)[""]
        for each, size in ((solved, False), (possible_error(solved), True))
    )
    return AtMicrophones(case, drive_of(case, frequency, solve), field, off)


def by_receiver(solved: xr.DataArray) -> np.ndarray:
    """The field as a bare array in the product's order, (piston, receiver, frequency)."""
    return np.swapaxes(solved.transpose("piston", "frequency", "receiver").values, 1, 2)


def possible_error(solved: xr.DataArray) -> xr.DataArray:
    """By how much the pressure may be off where the solver estimates it (else 0), like `solved`."""
    estimate = solved.coords.get("error_estimate", xr.zeros_like(solved, dtype=float))
    return np.abs(solved) * (10 ** (estimate / 20) - 1)


def level_errors(field: np.ndarray, off: np.ndarray) -> np.ndarray:
    """Error of every level in dB, from by how much each pressure may be off."""
    answer: np.ndarray = 20 * np.log10(1 + off / np.maximum(np.abs(field), np.finfo(float).tiny))
    return answer


def placed(field: np.ndarray, places: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """A field (driver, point, frequency) on the arcs, at the seats and so on; NaN where none is."""
    found = {}
    for name, where in places.items():
        found[name] = field[:, where, :]
        found[name][:, where < 0] = np.nan
    return found


def floor_of_one_body(
    case: Case,
    layout: Layout,
    receivers: Receivers,
    shares: np.ndarray,
    frequency: np.ndarray,
    solve: Solve,
    how: dict[str, Any],
) -> tuple[np.ndarray, np.ndarray]:
    """Field at the seats with the cabinet and its image in the floor as one body.

    Returns:
        Direct sound and floor together, and by how much that may be off; both (driver, speaker,
        seat, ear_height, frequency).
    """
    both = over_the_floor(layout, case.cabinet.floor_level)
    ears = receivers.seat[:, :, 0]
    points = ears.reshape(-1, 3) * ([layout.side, 1, 1] if layout.side else [1, 1, 1])
    solved = solve(both.body, both.turned, points, frequency, **how)

    def at_the_seats(field: xr.DataArray, size: bool) -> np.ndarray:
        above, below = np.split(by_receiver(field), 2)
        each = layout.per_radiator(above + below, size=size)
        whole = together(each, np.abs(shares) if size else shares)
        return whole.reshape(whole.shape[0], *ears.shape[:-1], frequency.size)

    return at_the_seats(solved, False), at_the_seats(possible_error(solved), True)


def products(volume_velocity: np.ndarray, fields: dict[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Pressures of each driver and of all, beside the fields they come from.

    Args:
        volume_velocity: of each driver, m³/s, shape (driver, frequency).
        fields: Pa per m³/s, shape (driver, …, frequency), for "arc", "seat", "height", "aside".
    """
    arrays: dict[str, np.ndarray] = {}
    drivers, frequencies = volume_velocity.shape
    for name, field in fields.items():
        arrays[f"{name}_field"] = field
        spread = volume_velocity.reshape(drivers, *(1,) * (field.ndim - 2), frequencies)
        arrays[f"{name}_pressure"] = spread * field
        arrays[f"{name}_total"] = arrays[f"{name}_pressure"].sum(axis=0)
    by_path = arrays["seat_total"]  # (speaker, seat, path, ear_height, frequency)
    arrays["seat_total"] = np.stack([by_path[:, :, 0], by_path.sum(axis=2)])
    return arrays
