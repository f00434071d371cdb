"""Where on its face a driver may go: the places of a map, and why some are forbidden."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet import Body, Piston, edge_distances, face_of
from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.model import Case, Driver
from acoustics.case.geometry.shape import faces_of, flat_body_of, pistons_of
from acoustics.case.text.phrases import choice
from acoustics.case.text.units import in_unit
from acoustics.conventions import RoundoverError

ALLOWED, OVER_EDGE, IN_THE_WAY = 0, 1, 2
ZONES = ("allowed", "over_an_edge", "in_the_way")
"""what a place is, by its number: the frame would reach over an edge, or overlap another's"""

MEETS = 1e-7
"""m: frames that come this close touch"""

LEAST_ROOM, MOST_ROOM = 1e-3, 5e-3
"""m: places are mapped where the piston keeps this far from the edges: as far as its frame keeps
it, and between these two"""

SPACING = 5e-3
"""m: between the places of a map, unless told"""

SLOW_PLACES = 400
"""places of a map by default on a face that is no rectangle, where each is solved by itself"""

MOST_PLACES = 100_000

WIDEST_STEP = 0.5
"""of the way that the driver has: with a wider spacing there is no map"""


@dataclass(frozen=True)
class FacePlaces:
    """The places of a map on a face, counted from the face's centre, m.

    `driver` is the index of the moved one, `face` that of its face, `corners` (corner, 2) those of
    its flat part; `zone` (up, right) holds
    indices of `ZONES`, and `there` (up, right) says where the piston fits on the face.
    """

    driver: int
    face: int
    frame: FaceFrame
    corners: np.ndarray
    right: np.ndarray
    up: np.ndarray
    zone: np.ndarray
    there: np.ndarray

    @property
    def allowed(self) -> np.ndarray:
        """(up, right): where the driver may go."""
        answer: np.ndarray = (self.zone == ALLOWED) & self.there
        return answer


def driver_index(case: Case, name: str) -> int:
    """Index of a driver.

    Raises:
        RoundoverError: none is called so.
    """
    names = [driver.name for driver in case.drivers]
    if name not in names:
        raise RoundoverError(f"{case.path}: no driver is called '{name}'; {choice(names, name)}")
    return names.index(name)


def face_places(
    case: Case, name: str, spacing: float | None = None, gap: float = 0.0
) -> FacePlaces:
    """Lay the places of a driver on its face.

    Args:
        case: the design.
        name: of the driver.
        spacing: of the places, m; 5 mm if left out, and on a face that is no rectangle what makes
            about 400 places.
        gap: m that frames keep between each other and from the edges, at least.

    Raises:
        RoundoverError: no such driver, a spacing that makes too many places or no map, a gap below
            0, a driver too large for its face, or no place where it is allowed.
    """
    index = driver_index(case, name)
    driver = case.drivers[index]
    if not (math.isfinite(gap) and gap >= 0):
        raise RoundoverError(f"a gap of {in_unit(gap, 'mm')} is none; give 0 mm or more")
    solid, pistons = flat_body_of(case.cabinet), pistons_of(case)
    face = face_of(solid, pistons[index])
    frame = faces_of(case.cabinet).frame(driver.face)
    corners = solid.points[list(solid.faces[face].corners)] - frame.centre
    spans = [
        (float(line.min()), float(line.max()))
        for line in (corners @ frame.right, corners @ frame.up)
    ]
    radius, frame_radius = driver.piston_diameter / 2, driver.frame_diameter / 2
    room = radius + min(max(frame_radius - radius, LEAST_ROOM), MOST_ROOM)
    step = spacing
    if step is None:
        step = _default_spacing(spans, room, is_rectangle(corners, frame))
    lines = _lines(spans, room, step, driver, name)
    right, up = lines
    across, upward = np.meshgrid(right, up)
    points = frame.points(across, upward)
    margin = edge_distances(solid, face, points).min(axis=-1)
    there = margin - room >= -MEETS
    if not there.any():
        raise _too_large(driver, name, float(margin.max()), room)
    zone = np.where(margin - frame_radius - gap <= MEETS, OVER_EDGE, ALLOWED)
    for other, piston in zip(case.drivers, pistons, strict=True):
        if other is not driver and _shares(solid, driver, pistons[index], other, piston):
            away = np.asarray(piston.centre) - points
            away = away - (away @ frame.outward)[..., None] * frame.outward
            needed = frame_radius + other.frame_diameter / 2 + gap
            zone[np.linalg.norm(away, axis=-1) - needed <= MEETS] = IN_THE_WAY
    outline = np.stack([corners @ frame.right, corners @ frame.up], axis=-1)
    lattice = FacePlaces(index, face, frame, outline, right, up, zone, there)
    if not lattice.allowed.any():
        raise _nowhere(driver, name, margin, gap, step)
    return lattice


def is_rectangle(corners: np.ndarray, frame: FaceFrame) -> bool:
    """Whether corners of a face, (corner, 3), make a rectangle along the axes of its frame."""
    sides = np.roll(corners, -1, axis=0) - corners
    along = np.abs(np.stack([sides @ frame.right, sides @ frame.up], axis=-1))
    return len(corners) == 4 and bool((along.min(axis=1) < MEETS).all())


def _default_spacing(spans: list[tuple[float, float]], room: float, rectangle: bool) -> float:
    if rectangle:
        return SPACING
    area = math.prod(max(high - low - 2 * room, SPACING) for low, high in spans)
    return max(SPACING, math.ceil(1e3 * math.sqrt(area / SLOW_PLACES)) / 1e3)


def _lines(
    spans: list[tuple[float, float]], room: float, step: float, driver: Driver, name: str
) -> list[np.ndarray]:
    """Places to the right and up: multiples of the spacing on which the piston stays in the box."""
    if not (math.isfinite(step) and step > 0):
        raise RoundoverError(f"a spacing of {in_unit(step, 'mm')} is none; give 5 mm, say")
    ways = [(low + room, high - room) for low, high in spans]
    if min(high - low for low, high in ways) < -MEETS:
        half = min(high - low for low, high in spans) / 2
        raise _too_large(driver, name, half, room)
    longest = max(high - low for low, high in ways)
    count = math.prod(max((high - low) / step, 1.0) for low, high in ways)
    if count > MOST_PLACES:
        least = math.sqrt(math.prod(max(high - low, step) for low, high in ways) / MOST_PLACES)
        raise RoundoverError(
            f"a spacing of {in_unit(step, 'mm', digits=3)} makes {count:.3g} places, and at most "
            f"{MOST_PLACES} are mapped; take {in_unit(least, 'mm', digits=3)} or more"
        )
    if step > WIDEST_STEP * longest and longest > MEETS:
        raise RoundoverError(
            f"a spacing of {in_unit(step, 'mm', digits=3)} makes no map: '{name}' has "
            f"{in_unit(longest, 'mm', digits=3)} to move in; take "
            f"{in_unit(WIDEST_STEP * longest, 'mm', digits=3)} or less"
        )
    slack = 1e-9
    lines = [
        step * np.arange(math.ceil(low / step - slack), math.floor(high / step + slack) + 1)
        for low, high in ways
    ]
    # Where the way is shorter than a step, its middle is the place.
    return [
        line if line.size else np.array([(low + high) / 2])
        for line, (low, high) in zip(lines, ways, strict=True)
    ]


def _shares(solid: Body, driver: Driver, piston: Piston, other: Driver, its: Piston) -> bool:
    """Whether two drivers need room on the same face, a plate's other side included."""
    faces = [
        {face_of(solid, one)} | (both_sides_of(solid) if who.both_sides else set())
        for who, one in ((driver, piston), (other, its))
    ]
    return bool(faces[0] & faces[1])


def both_sides_of(solid: Body) -> set[int]:
    """Front and back of a plate."""
    ahead = solid.normals[:, 2]
    return {int(ahead.argmax()), int(ahead.argmin())}


def _too_large(driver: Driver, name: str, most: float, room: float) -> RoundoverError:
    return RoundoverError(
        f"'{name}' is too large for its face: no point of it is more than "
        f"{in_unit(max(most, 0.0), 'mm', digits=3)} from an edge, and the piston "
        f"({in_unit(driver.piston_diameter, 'mm')}) needs {in_unit(room, 'mm', digits=3)}; take a "
        "smaller driver or a larger cabinet"
    )


def _nowhere(
    driver: Driver, name: str, margin: np.ndarray, gap: float, step: float
) -> RoundoverError:
    frame = driver.frame_diameter / 2 + gap
    apart = f" with {in_unit(gap, 'mm')} around it" if gap else ""
    if margin.max() <= frame:
        why = f"its frame ({in_unit(driver.frame_diameter, 'mm')}){apart} reaches over an edge"
    else:
        why = f"its frame ({in_unit(driver.frame_diameter, 'mm')}){apart} overlaps another's"
    return RoundoverError(
        f"there is no place for '{name}': wherever its centre is put, every "
        f"{in_unit(step, 'mm', digits=3)}, {why}; take a finer spacing, a smaller gap, or move the "
        "other drivers"
    )
