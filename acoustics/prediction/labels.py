"""Names, units and meanings: from bare arrays to a Dataset that explains itself."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from importlib import metadata
from typing import Any

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.conventions import (
    AXES,
    COORDINATES,
    DIRECT,
    DRIVE_VOLTAGE,
    PLANES,
    SCHEMA,
    SOLVER,
    STANDARD_NAMES,
    SURROUNDINGS,
    VARIABLES,
    Variable,
)
from acoustics.crossover.crossings import crossings
from acoustics.prediction.layout import Layout, face_frames
from acoustics.prediction.receivers import Receivers
from acoustics.room.placement import speakers

CONVENTIONS = (
    "Time dependence exp(+jwt): an outgoing wave is exp(-jkR). x to the right as the listener sees "
    "the cabinet, y up, z out of the front face; origin at the centre of the front face; the right "
    "cabinet of a pair is the mirror image of the one described. SI units, angles in degrees. "
    "Pressures are rms for drive_voltage at the input; pressure = filter * source * field * "
    "drive_voltage. Filters are pure transfer functions: polarity is inverted only where the "
    "design says so."
)


def coordinates_of(
    case: Case, layout: Layout, receivers: Receivers, frequency: np.ndarray
) -> dict[str, Any]:
    """Every coordinate of a prediction by name, the solver's error estimate apart."""
    drivers, centres, faces = case.drivers, layout.centres, face_frames(case)
    return {
        "driver": np.array([driver.name for driver in drivers]),
        "frequency": frequency,
        "plane": np.array(PLANES),
        "angle": receivers.angles,
        "speaker": np.array(speakers(case.placement)),
        "seat": np.array([place.name for place in case.seat.places]),
        "ear_height": np.array(case.seat.ear_heights, dtype=float),
        "height": receivers.heights,
        "aside": receivers.asides,
        "path": np.array([DIRECT, *(surface.name for surface in case.surfaces)]),
        "surroundings": np.array(SURROUNDINGS),
        "axis": np.array(AXES),
        "driver_x": centres[:, 0],
        "driver_y": centres[:, 1],
        "driver_z": centres[:, 2],
        "driver_face": np.array([driver.face for driver in drivers]),
        "driver_both_sides": np.array([driver.both_sides for driver in drivers]),
        "driver_right": np.array([driver.position[0] for driver in drivers]),
        "driver_up": np.array([driver.position[1] for driver in drivers]),
        "piston_diameter": np.array([driver.piston_diameter for driver in drivers]),
        "frame_diameter": np.array([driver.frame_diameter for driver in drivers]),
        "trusted_to": np.array([d.trusted_to(case.air.speed_of_sound) for d in drivers]),
        "face": np.array(list(faces)),
        "face_centre": np.array([frame.centre for frame in faces.values()]),
        "face_normal": np.array([frame.outward for frame in faces.values()]),
        "body_corner": layout.corners,
    }


def attributes_of(
    case: Case,
    layout: Layout,
    receivers: Receivers,
    frequency: np.ndarray,
    strength: np.ndarray,
) -> dict[str, Any]:
    """State what a reader must know beyond the arrays: conventions, air, geometry, origin.

    Args:
        case: the design.
        layout: its body.
        receivers: where it is heard.
        frequency: Hz, shape (frequency,).
        strength: of each driver by itself, Pa m, shape (driver, frequency).
    """
    points = crossings(frequency, strength)
    names = [driver.name for driver in case.drivers]
    front_right, front_up = layout.front_outline(case).T
    return {
        **origin_of(case),
        "temperature": case.temperature,
        "speed_of_sound": case.air.speed_of_sound,
        "density": case.air.density,
        "accuracy": case.accuracy,
        "cabinet_shape": case.cabinet.shape,
        "cabinet_width": case.cabinet.width,
        "cabinet_height": case.cabinet.height,
        "cabinet_depth": case.cabinet.depth,
        "cabinet_base_height": case.cabinet.base_height,
        "floor_level": case.cabinet.floor_level,
        "front_right": front_right,
        "front_up": front_up,
        "placement": "mirrored pair" if case.placement.pair else "single",
        "spacing": case.placement.spacing,
        "toe_in": case.placement.toe_in,
        "reference_x": case.reference.point[0],
        "reference_y": case.reference.point[1],
        "reference_distance": case.reference.distance,
        "seat_distance": case.seat.main.distance,
        "seat_aside": case.seat.main.aside,
        "aside_ear_height": receivers.aside_ear_height,
        "crossover_frequencies": np.array([point.frequency for point in points]),
        "crossover_pairs": "; ".join(f"{names[p.lower]} to {names[p.upper]}" for p in points),
        **_wanted(case),
        **_amplifier(case),
    }


def _wanted(case: Case) -> dict[str, float]:
    """What the brief asks of the level at the seat (dB) and the reach (Hz), for the figures."""
    if case.brief is None:
        return {}
    asked = {"wanted_seat_level": case.brief.seat_level, "wanted_reach": case.brief.reach}
    return {name: value for name, value in asked.items() if value is not None}


def _amplifier(case: Case) -> dict[str, float]:
    """The least impedance (ohm) that the amplifier is made for, beside a passive crossover."""
    least = None if case.amplifier is None else case.amplifier.lowest_impedance
    passive = any(branch.slopes == "passive" for branch in case.crossover)
    return {"lowest_impedance": least} if passive and least is not None else {}


def labelled(
    arrays: dict[str, np.ndarray],
    coordinates: dict[str, Any],
    attributes: dict[str, Any],
    table: Mapping[str, Variable] = VARIABLES | COORDINATES,
) -> xr.Dataset:
    """Make a Dataset whose dims, units and long names come from the tables in conventions."""
    return xr.Dataset(
        {name: (table[name].dims, array, _meaning(table[name])) for name, array in arrays.items()},
        coords={
            name: (table[name].dims, array, _meaning(table[name]))
            for name, array in coordinates.items()
        },
        attrs=attributes,
    )


def origin_of(case: Case) -> dict[str, Any]:
    """What any Dataset says of the design and the program that it comes from."""
    return {
        "title": case.title,
        "comment": case.note,
        "Conventions": "CF-1.11",
        "conventions": CONVENTIONS,
        "drive_voltage": DRIVE_VOLTAGE,
        "schema": SCHEMA,
        "solver": SOLVER,
        "source": f"roundover {package_version()}",
        "version": package_version(),
        "case_digest": case.digest,
    }


@lru_cache(1)
def package_version() -> str:
    """Look up the installed distribution's version."""
    try:
        return metadata.version("roundover")
    except metadata.PackageNotFoundError:
        return "not installed"


def _meaning(variable: Any) -> dict[str, str]:
    meaning = {"units": variable.units, "long_name": variable.long_name}
    if variable.units in STANDARD_NAMES:
        meaning["standard_name"] = STANDARD_NAMES[variable.units]
    return meaning
