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
from acoustics.prediction.fields import Fields, Solve, fields_of, floor_of_one_body, heard_at
from acoustics.prediction.filters import Filters, filters_of, realised_arrays
from acoustics.prediction.labels import attributes_of, coordinates_of, labelled
from acoustics.prediction.layout import Layout, layout_of
from acoustics.prediction.microphones import JOINS, AtMicrophones, with_measured
from acoustics.prediction.moving import impedances, moved, movers
from acoustics.prediction.passive import passive_arrays
from acoustics.prediction.receivers import (
    Receivers,
    at_heights,
    every_point,
    receivers_of,
    reflections_of,
    unique_points,
)
from acoustics.source.drive import Drive, drive_of

if TYPE_CHECKING:
    from acoustics.case.design.model import Case

Arrays = dict[str, np.ndarray]


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
    settings: dict[str, Any] = {
        "air": case.air,
        "accuracy": case.accuracy,
        "memory": case.memory,
        "progress": progress,
    }
    layout, receivers, points, places = _asked(case, receivers, build)
    solved = solve(layout.body, layout.turned, points, frequency, **settings)

    fields = fields_of(layout, solved, places)
    drive, inferred = _source(case, frequency, fields, solve, settings)
    if build is not None:
        drive = replace(drive, source=drive.source * build.factor)
    reflection = reflections_of(case, receivers, layout.radiator_centres, frequency)
    straight = PLANES.index("horizontal"), int(np.argmin(np.abs(receivers.angles)))
    cone_field = fields.values["arc"][: layout.drivers, *straight]
    fields = fields.without("microphone").reflected(reflection).per_driver(drive.shares)
    if case.floor is not None and case.floor.mirrors_cabinet:
        whole = floor_of_one_body(case, layout, receivers, drive.shares, frequency, solve, settings)
        fields = fields.with_floor(*whole)

    on_axis = fields.values["arc"][:, *straight]
    low_ends = heard_low_end(drive.low_end, on_axis, cone_field)
    fixed = None if build is None else build.fixed
    filters = filters_of(case, frequency, drive, on_axis, layout.centres, low_ends, fixed)

    arrays = {
        "filter": filters.filters,
        "source": drive.source,
        "strength": filters.strength,
        "reflection": reflection[: layout.drivers],
        "cone_field": cone_field,
        **products(filters.filters * drive.source * DRIVE_VOLTAGE, fields.values),
        "seat_position": receivers.seat,
        "height_position": receivers.height,
        "aside_position": receivers.aside,
    }
    coordinates = coordinates_of(case, layout, receivers, frequency)
    if fields.errors:
        coordinates["error_estimate"] = largest_error(solved).values
    attributes = attributes_of(case, layout, receivers, frequency, filters.strength)
    for variables, names in (
        _of_sources(case, layout, drive, inferred, frequency),
        _of_filters(case, filters),
    ):
        arrays |= variables
        coordinates |= names
    variables, names, said = realised_arrays(case, filters)
    arrays |= variables | fields.level_errors
    return labelled(arrays, coordinates | names, attributes | said)


def _asked(
    case: Case, receivers: Receivers | None, build: Build | None
) -> tuple[Layout, Receivers, np.ndarray, dict[str, np.ndarray]]:
    """What is solved: the layout, its receivers, their points, and which point each is."""
    layout = layout_of(case)
    receivers = receivers_of(case) if receivers is None else receivers
    if build is None:
        return layout, receivers, *unique_points(receivers, layout.side)
    if build.heights is not None:
        receivers = at_heights(case, receivers, build.heights, build.aside_ear)
    return replace(layout, side=1.0), receivers, *every_point(receivers)


def _source(
    case: Case, frequency: np.ndarray, fields: Fields, solve: Solve, settings: dict[str, Any]
) -> tuple[Drive, Arrays]:
    """Sources by the model or, where drivers were measured, as inferred from that; and how."""
    drive = drive_of(case, frequency, solve)
    if case.measured_in is not None:
        heard = heard_at(case.measured_in, frequency, solve, settings)
    else:
        field = fields.values["microphone"]
        error = fields.errors.get("microphone", np.zeros(field.shape))
        heard = AtMicrophones(case, drive, field, error)
    return with_measured(case, drive, heard, frequency)


def _of_sources(
    case: Case, layout: Layout, drive: Drive, inferred: Arrays, frequency: np.ndarray
) -> tuple[Arrays, dict[str, Any]]:
    """Variables and coordinates of what moves, and of sources that follow from measurements."""
    arrays, coordinates = dict(inferred), dict[str, Any]()
    if inferred:
        coordinates["join"] = np.array(JOINS)
    if any(driver.small_signal is not None for driver in case.drivers):
        arrays |= moved(case, drive.motion, frequency)
        coordinates |= movers(case, layout, drive.motion)
    if any(driver.small_signal or driver.impedance for driver in case.drivers):
        arrays |= impedances(case, drive.motion, frequency)
    return arrays, coordinates


def _of_filters(case: Case, filters: Filters) -> tuple[Arrays, dict[str, Any]]:
    """Variables and coordinates of targets and of a passive crossover, where there are some."""
    arrays: Arrays = {} if filters.targets is None else {"target": filters.targets}
    if filters.passive is None:
        return arrays, {}
    variables, names = passive_arrays(case, filters.passive)
    return arrays | variables, names


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
