"""The sound of a driver anywhere on its face, by reciprocity: listeners act as sources."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from acoustics.cabinet import Piston, face_of, flat_parts
from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.model import Case
from acoustics.field import FaceField, OneByOne, Places, face_field, field_over_face
from acoustics.field.plan import Progress
from acoustics.prediction.layout import Layout, over_the_floor
from acoustics.studies.driver_map.face_places import FacePlaces
from acoustics.studies.driver_map.scene import Scene


@dataclass(frozen=True)
class FaceFields:
    """Some listeners' fields over the faces from which a driver radiates.

    `faces`: the piston, what the field counts (−1 for the rear side), and the field over its face.
    """

    faces: tuple[tuple[Piston, float, FaceField], ...]

    def spread(self, lattice: FacePlaces, progress: Progress | None = None) -> Spread:
        """Prepare the field at all places of a map."""
        places = (lattice.right, lattice.up, lattice.there)
        return Spread(
            tuple(
                (
                    count,
                    field_over_face(heard, piston, in_plane(lattice.frame, piston), *places, told),
                )
                for (piston, count, heard), told in zip(
                    self.faces, shared(progress, len(self.faces)), strict=True
                )
            )
        )

    def exactly(self, lattice: FacePlaces, right: np.ndarray, up: np.ndarray) -> np.ndarray:
        """The field at a few places, each solved by itself: (place, receiver, frequency)."""
        there = np.eye(up.size, dtype=bool)
        sides = tuple(
            (count, OneByOne(heard, piston, in_plane(lattice.frame, piston), right, up, there))
            for piston, count, heard in self.faces
        )
        return Spread(sides).rows(slice(None))[there]


@dataclass(frozen=True)
class Spread:
    """The field of a driver at the places of a map, by what each side of it counts."""

    sides: tuple[tuple[float, Places | OneByOne], ...]

    def rows(self, which: slice) -> np.ndarray:
        """Pa per m³/s, complex, (up, right, receiver, frequency); NaN where no piston fits."""
        count, first = self.sides[0]
        total = count * first.rows(which)
        for count, places in self.sides[1:]:
            total += count * places.rows(which)
        return total


def ask(
    case: Case,
    layout: Layout,
    drivers: Sequence[int],
    points: np.ndarray,
    progress: Progress | None = None,
) -> tuple[FaceFields, ...]:
    """Let points act as sources, and keep what they send to the faces from which drivers radiate.

    A face that carries several of them is asked once.

    Args:
        case: for air, frequencies and the solver's settings.
        layout: the body and what radiates on it; may be one over its mirror image in the floor.
        drivers: indices of the drivers that are to be moved.
        points: (point, 3), m.
        progress: called from time to time with (frequencies done, all of them).
    """
    solid = flat_parts(layout.body)
    sides = {
        driver: [
            (layout.pistons[piston], share, face_of(solid, layout.pistons[piston]))
            for piston, share in layout.parts[driver]
        ]
        for driver in drivers
    }
    how: dict[str, Any] = {"air": case.air, "accuracy": case.accuracy, "memory": case.memory}
    frequency = case.frequencies.values()
    faces = sorted({face for parts in sides.values() for _, _, face in parts})
    asked = {
        face: face_field(layout.body, face, points, frequency, progress=told, **how)
        for face, told in zip(faces, shared(progress, len(faces)), strict=True)
    }
    return tuple(
        FaceFields(tuple((piston, share, asked[face]) for piston, share, face in sides[driver]))
        for driver in drivers
    )


Fields = tuple[np.ndarray, np.ndarray | None]
"""of a moved driver at every point, and at the ears and their images over a floor as one body"""


@dataclass(frozen=True)
class Radiation:
    """What listeners ask of a driver's faces: in free space, and over a floor as one body."""

    free: FaceFields
    floor: FaceFields | None

    def spread(
        self, lattice: FacePlaces, progress: Progress | None = None
    ) -> Callable[[slice], Fields]:
        """The field at all places of a map, to be asked for in rows."""
        free = self.free.spread(lattice, progress)
        floor = self.floor.spread(lattice) if self.floor is not None else None
        return lambda which: (free.rows(which), None if floor is None else floor.rows(which))

    def exactly(self, lattice: FacePlaces, right: np.ndarray, up: np.ndarray) -> Fields:
        """The field at a few places, each solved by itself, (place, receiver, frequency)."""
        floor = None if self.floor is None else self.floor.exactly(lattice, right, up)
        return self.free.exactly(lattice, right, up), floor


def radiations_of(
    scene: Scene, drivers: Sequence[int], progress: Progress | None = None
) -> tuple[Radiation, ...]:
    """What the listeners of a scene ask of the faces of some of the drivers taken out."""
    case, heard = scene.case, scene.heard
    free = ask(case, scene.layout, drivers, heard.points, progress)
    if case.floor is None or not case.floor.mirrors_cabinet:
        return tuple(Radiation(each, None) for each in free)
    joined = over_the_floor(scene.layout, case.cabinet.floor_level)
    floor = ask(case, joined, drivers, floor_points(scene))
    return tuple(Radiation(*both) for both in zip(free, floor, strict=True))


def floor_points(scene: Scene) -> np.ndarray:
    """The ears and then their images in the floor, m, (point, 3): what hears one body over it."""
    ears = scene.heard.points[scene.heard.seat[:, :, 0]].reshape(-1, 3)
    return np.concatenate([ears, images_in_floor(ears, scene.case.cabinet.floor_level)])


def in_plane(frame: FaceFrame, piston: Piston) -> FaceFrame:
    """A frame moved along its normal into the plane of a piston: a plate has two."""
    away = float((np.asarray(piston.centre) - frame.centre) @ frame.outward)
    return frame._replace(centre=frame.centre + away * frame.outward)


def shared(progress: Progress | None, parts: int) -> list[Progress | None]:
    """Progress of some parts of a work, one after the other, as that of the whole."""

    def of(number: int) -> Progress | None:
        if progress is None:
            return None
        return lambda done, total: progress(number * total + done, parts * total)

    return [of(number) for number in range(parts)]


def images_in_floor(points: np.ndarray, floor_level: float) -> np.ndarray:
    """Mirror images of points (…, 3) in the floor, m: they hear what a mirror twin sends up."""
    return points * [1.0, -1.0, 1.0] + [0.0, 2.0 * floor_level, 0.0]
