"""Where a microphone stood before the finished loudspeaker, and what sent the sound back first."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from acoustics.cabinet import flat_parts
from acoustics.case.design.model import Case, SurfaceName
from acoustics.case.design.verification_model import TakenResponse
from acoustics.case.geometry.shape import body_of, pistons_of
from acoustics.studies.measure.place import Place, extra_path_of


def microphone_at(case: Case, taken: TakenResponse) -> tuple[float, float, float]:
    """The stated place of the microphone, (x, y, z), m, in the cabinet's own coordinates.

    It lies `up` above the horizontal plane through the reference point and, seen from above,
    `right` of the axis, so that with one of the two it lies on an arc of a prediction.
    """
    x, y = case.reference.point
    right, up = math.radians(taken.right), math.radians(taken.up)
    return (
        x + taken.distance * math.sin(right) * math.cos(up),
        y + taken.distance * math.sin(up),
        taken.distance * math.cos(right) * math.cos(up),
    )


def is_inside(case: Case, place: Sequence[float]) -> bool:
    """Whether a place (x, y, z), m, is within the cabinet or on it."""
    solid = flat_parts(body_of(case.cabinet))
    return bool(solid.heights_above_faces(np.array([place])).max() <= 0)


def heard_from(case: Case, place: Sequence[float], playing: Sequence[int]) -> Place:
    """Geometry of some drivers that are recorded together.

    The sound comes from the nearest, and a surface's reflection when the first of any driver's
    does.

    Args:
        case: with a table [measurement].
        place: of the microphone, (x, y, z), m.
        playing: numbers of the drivers.

    Raises:
        CaseError: surfaces that cut through cabinet or microphone.
    """
    microphone, pistons = np.array(place), pistons_of(case)
    centres = [np.array(pistons[number].centre, dtype=float) for number in playing]
    ways = [float(np.linalg.norm(microphone - centre)) for centre in centres]
    nearest = int(np.argmin(ways))
    over = dict[SurfaceName, float]()
    for centre, way in zip(centres, ways, strict=True):
        for surface, extra in extra_path_of(case, centre, microphone).items():
            over[surface] = min(over.get(surface, math.inf), way + extra)
    first = min(
        way + case.drivers[number].acoustic_depth for number, way in zip(playing, ways, strict=True)
    )
    later = {surface: way - ways[nearest] for surface, way in over.items()}
    return Place(
        microphone=microphone,
        driver=centres[nearest],
        distance=ways[nearest],
        extra_path=dict(sorted(later.items(), key=lambda item: item[1])),
        expected=first / case.air.speed_of_sound,
    )
