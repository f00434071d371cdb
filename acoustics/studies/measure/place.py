"""Where the microphone was, how far the sound came, and what sent it back first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np

from acoustics.cabinet import face_of, flat_parts
from acoustics.case.design.measurement_model import DriverMeasurement
from acoustics.case.design.model import Case, SurfaceName
from acoustics.case.geometry.shape import body_of, pistons_of
from acoustics.conventions import CaseError, Fault, RoundoverError
from acoustics.measurement.reflections import first_reflection
from acoustics.studies.measure.recorded import at_key, require_measurement


@dataclass(frozen=True, eq=False)
class Place:
    """Microphone and driver (m, in the cabinet's own coordinates, shape (3,)), and what follows.

    `distance` from the driver's centre to the microphone, m; `extra_path` of every surface, m,
    ascending, as `first_reflection` has it. `expected` is when the sound should come, s after it
    was sent: distance and depth of the acoustic centre over the speed of sound.
    """

    microphone: np.ndarray
    driver: np.ndarray
    distance: float
    extra_path: dict[SurfaceName, float]
    expected: float


def place_of(case: Case, measured: DriverMeasurement) -> Place:
    """Where everything was for the far recording of one driver.

    Raises:
        CaseError: surfaces that cut through cabinet or microphone.
    """
    number = next(n for n, driver in enumerate(case.drivers) if driver.name == measured.driver)
    piston = pistons_of(case)[number]
    centre = np.array(piston.centre, dtype=float)
    if measured.at == "driver":
        solid = flat_parts(body_of(case.cabinet))
        microphone = centre + measured.distance * solid.normals[face_of(solid, piston)]
    else:
        microphone = np.array([*case.reference.point, measured.distance])
    distance = float(np.linalg.norm(microphone - centre))
    depth = case.drivers[number].acoustic_depth
    expected = (distance + depth) / case.air.speed_of_sound
    return Place(microphone, centre, distance, extra_path_of(case, centre, microphone), expected)


def extra_path_of(
    case: Case, centre: np.ndarray, microphone: np.ndarray
) -> dict[SurfaceName, float]:
    """How much longer the way over each surface is than the direct one, m, ascending.

    Args:
        case: with a table [measurement].
        centre: of what plays, (x, y, z), m, in the cabinet's own coordinates.
        microphone: likewise.

    Raises:
        CaseError: surfaces that cut through cabinet or microphone.
    """
    measurement = require_measurement(case)
    distance = float(np.linalg.norm(microphone - centre))
    bottom = case.cabinet.floor_level + case.cabinet.base_height
    heights = [point[1] - bottom + measurement.base_height for point in (centre, microphone)]
    surfaces: dict[SurfaceName, float] = {"floor": 0.0}
    surfaces.update((cast(SurfaceName, name), away) for name, away in measurement.surfaces)
    try:
        return first_reflection(distance, heights[0], heights[1], surfaces)
    except RoundoverError as error:
        raise CaseError([at_key(case, ("measurement", "surfaces"), Fault(str(error)))]) from None
