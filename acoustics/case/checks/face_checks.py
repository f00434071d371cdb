"""Checks of the faces: what is on them, drivers apart, and the arcs clear of the body."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import combinations

import numpy as np

from acoustics.cabinet import edge_distances
from acoustics.cabinet.names import direction_text, face_title, face_words, faces_toward
from acoustics.case.checks.outside import Outside
from acoustics.case.checks.plan import MEETS
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.units import in_unit
from acoustics.conventions import GeometryError

# Common practice, no source: less wood than this beside a cut-out breaks away.
PISTON_MARGIN = 1e-3
ARC_MARGIN = 50e-3

_SIDES = ((0, -1, "left"), (0, 1, "right"), (1, -1, "bottom"), (1, 1, "top"))
_ACROSS_AND_UP = {
    "front": (0, 1),
    "back": (0, 1),
    "left": (2, 1),
    "right": (2, 1),
    "top": (0, 2),
    "bottom": (0, 2),
}
"""Axes of the cabinet along which the faces of a square body reach."""

_OPPOSITE = {"front": "back", "back": "front"}


def named_faces(
    outside: Outside, drivers: Mapping[str, Values]
) -> tuple[dict[str, Values], list[Problem]]:
    """The drivers with the names of their faces, and directions in which no face looks.

    A face that is not known is left out of a driver's values.
    """
    named, problems = {}, []
    for name, driver in drivers.items():
        named[name], wrong = named_face(outside, driver, ("drivers", name))
        problems += wrong
    return named, problems


def named_face(outside: Outside, given: Values, at: Path) -> tuple[Values, list[Problem]]:
    """Likewise of what stands at the path `at`."""
    values = dict(given)
    face = values.pop("face", None)
    if isinstance(face, str):
        values["face"] = face
    elif face is not None and outside.faces is not None:
        try:
            values["face"] = outside.faces.name(face)
        except GeometryError as error:
            return values, [Problem((*at, "face"), str(error))]
    return values, []


def driver_problems(outside: Outside, drivers: Mapping[str, Values]) -> Iterator[Problem]:
    """Drivers off their face, over an edge, too near one, or in each other's way."""
    for name, driver in drivers.items():
        if {"position", "face"} <= driver.keys():
            yield from place_problems(outside, ("drivers", name), driver)
    for (name, driver), (other_name, other) in combinations(drivers.items(), 2):
        if {"position", "frame_diameter", "face"} <= driver.keys() & other.keys():
            yield from _overlap(outside, name, driver, other_name, other)


def face_problems(
    outside: Outside, drivers: Mapping[str, Values], floor: Values
) -> Iterator[Problem]:
    """Drivers that cannot radiate as they are to from the face they are on."""
    for name, driver in drivers.items():
        face = driver.get("face", "front")
        if driver.get("both_sides") and outside.shape not in ("plate", ""):
            yield Problem(
                ("drivers", name, "both_sides"),
                f"a driver radiates from both sides of a plate only, and this cabinet is "
                f'"{outside.shape}"; leave the key out or write cabinet.shape = "plate"',
            )
        elif driver.get("both_sides") and face != "front":
            yield Problem(
                ("drivers", name, "face"),
                "a driver that radiates from both sides is counted on the front; leave face out",
            )
        if floor.get("mirrors_cabinet") and face == "bottom":
            yield Problem(
                ("drivers", name, "face"),
                "the bottom stands on the floor, so a driver there has nowhere to radiate; move "
                "it, or take floor.mirrors_cabinet out",
            )


def front_point(outside: Outside, point: list[float]) -> tuple[float, float]:
    """x and y (m) of a point [right, up] of the front face."""
    right, up = point
    if outside.solid is None or outside.square:
        return right, up
    x, y, _ = outside.frame("front").point(right, up)
    return x, y


def arc_problems(
    outside: Outside, point: tuple[float, float], distance: float
) -> Iterator[Problem]:
    """Arcs of radius `distance` about `point` (x, y) that pass through or close to the cabinet."""
    # The body's corners in the arcs' planes. A size that is not known counts as nothing: the
    # corner is no nearer than that.
    spans = [outside.span(axis) for axis in range(3)]
    x, y, z = (span or (0.0, 0.0) for span in spans)
    if outside.solid is not None:
        apart = outside.solid.points - np.array([*point, 0.0])
        farthest = float(np.hypot(np.abs(apart[:, :2]), apart[:, 2:]).max())
    else:
        across = max(point[0] - x[0], x[1] - point[0])
        along = max(point[1] - y[0], y[1] - point[1])
        farthest = max(math.hypot(across, z[0]), math.hypot(along, z[0]))
    if distance < farthest + ARC_MARGIN:
        least = math.ceil((farthest + ARC_MARGIN) * 100) / 100
        yield Problem(
            ("reference", "distance"),
            f"at {in_unit(distance, 'm')} the circle round the reference point passes through the "
            f"cabinet, whose corner is {'at least ' if None in spans else ''}"
            f"{in_unit(farthest, 'm', digits=3)} away; write "
            f'"{least:.2f} m" or more',
        )


def point_problems(
    outside: Outside, point: list[float], at: Path = ("reference", "point")
) -> Iterator[Problem]:
    """A point off the front face; it stands at the path `at`."""
    if not outside.square:
        yield from _point_off_polygon(outside, point, at)
        return
    half = _half_sizes(outside, "front")
    if half is None:
        return
    for axis, word in enumerate(("right", "up")):
        limit = half[axis]
        if abs(point[axis]) > limit:
            yield Problem(
                (*at, axis),
                f"{in_unit(point[axis], 'mm')} is off the front face; the way {word} may be "
                f"{in_unit(-limit, 'mm')} to {in_unit(limit, 'mm')}",
            )


def _point_off_polygon(outside: Outside, point: list[float], at: Path) -> Iterator[Problem]:
    rooms = _rooms_in_polygon(outside, "front", point)
    room, side = min(rooms, default=(0.0, ""))
    if room < -MEETS:
        yield Problem(
            at,
            f"the point is off the front face, {in_unit(-room, 'mm')} beyond {side}; move it "
            "inside",
        )


def _half_sizes(outside: Outside, face: str) -> tuple[float, float] | None:
    """Half the width and half the height of a square body's face, m."""
    across, up = (outside.size(axis) for axis in _ACROSS_AND_UP[face])
    return None if across is None or up is None else (across / 2, up / 2)


def _rooms_in_polygon(
    outside: Outside, face: str, position: list[float]
) -> list[tuple[float, str]]:
    """Distance (m) of a position from each edge of what is flat of a face, and the edge's name.

    Raises:
        GeometryError: the body has no such face.
    """
    solid, flat = outside.solid, outside.flat
    if solid is None or flat is None:
        return []
    index = outside.index(face)
    point = np.array(outside.frame(face).point(*position))
    beside = [edge.faces[1 - edge.faces.index(index)] for edge in flat.edges if index in edge.faces]
    count = len(solid.faces)
    sides = [
        f"the cut edge '{outside.cut_edges[other - count]}'"
        if other >= count
        else f"the edge of the {face_words(face)} at {face_title(solid, other)}"
        for other in beside
    ]
    return [
        (float(room), side)
        for room, side in zip(edge_distances(flat, index, point), sides, strict=True)
    ]


def rooms_on_face(outside: Outside, face: str, position: list[float]) -> list[tuple[float, str]]:
    """Distance (m) of a position from each edge of what is flat of a face, and the edge's name.

    Raises:
        GeometryError: the body has no such face.
    """
    if not outside.square or (outside.cut_edges and outside.flat):
        return _rooms_in_polygon(outside, face, position)
    half = _half_sizes(outside, face)
    return [] if half is None else _rooms_in_rectangle(half, face, position)


def _rooms_in_rectangle(
    half: tuple[float, float], face: str, position: list[float]
) -> list[tuple[float, str]]:
    return [
        (half[axis] - sign * position[axis], f"the {side} edge of the {face} face")
        for axis, sign, side in _SIDES
    ]


def place_problems(
    outside: Outside, path: Path, driver: Values, what: str = "driver"
) -> Iterator[Problem]:
    """A driver, or `what` else has a frame and a piston, that its face does not carry."""
    face, position = driver["face"], driver["position"]
    at = (*path, "position")
    where = f"({in_unit(position[0], 'mm')}, {in_unit(position[1], 'mm')})"
    thin = outside.solid.thin if outside.solid else outside.size(2) == 0
    if thin and face not in _OPPOSITE:
        yield Problem(
            (*path, "face"),
            f"a plate without thickness has no {face} face; use front or back, or give the plate "
            "a thickness",
        )
        return
    if outside.square and not (outside.cut_edges and outside.flat):
        half = _half_sizes(outside, face)
        if half is None:
            return
        if any(abs(position[axis]) >= half[axis] for axis in (0, 1)):
            yield Problem(
                at,
                f"the {what} is off the {face} face: its centre {where} must lie within "
                f"{in_unit(half[0], 'mm')} to each side of the face's centre and "
                f"{in_unit(half[1], 'mm')} above and below it",
            )
            return
        rooms = _rooms_in_rectangle(half, face, position)
    else:
        try:
            rooms = _rooms_in_polygon(outside, face, position)
        except GeometryError as error:
            yield Problem((*path, "face"), f"{error}{by_direction(outside, face)}")
            return
        room, side = min(rooms, default=(math.inf, ""))
        if room <= 0:
            yield Problem(
                at,
                f"the {what} is off the flat part of the {face_words(face)}: its centre {where} "
                f"lies {in_unit(-room, 'mm')} beyond {side}; move it inside",
            )
            return
    for room, side in rooms:
        yield from _edge_problems(at, driver, what, room, side)


def by_direction(outside: Outside, face: str) -> str:
    """How to name each of the faces that a name fits equally."""
    solid = outside.solid
    if solid is None:
        return ""
    ways = " or ".join(direction_text(solid.normals[i]) for i in faces_toward(solid, face))
    return f", or give where it looks: face = {ways}"


def _edge_problems(
    at: Path, driver: Values, what: str, room: float, side: str
) -> Iterator[Problem]:
    """A driver whose centre is `room` from an edge and that does not fit there."""
    frame = driver.get("frame_diameter", 0.0) / 2
    piston = driver.get("piston_diameter", 0.0) / 2
    if room - frame <= MEETS:
        touches = room - frame >= -MEETS
        found = f"the frame ({in_unit(2 * frame, 'mm')}) {'touches' if touches else 'crosses'}"
        move = "" if touches else f" more than {in_unit(frame - room, 'mm')}"
    elif piston + PISTON_MARGIN - room > MEETS:
        least = in_unit(PISTON_MARGIN, "mm")
        found = f"the piston ({in_unit(2 * piston, 'mm')}) is less than {least} from"
        move = f" {in_unit(piston + PISTON_MARGIN - room, 'mm')}"
    else:
        return
    yield Problem(
        at,
        f"{found} {side}; move the {what}{move} away from it, "
        f"take a smaller {what} or a larger cabinet",
    )


def _overlap(
    outside: Outside, name: str, driver: Values, other_name: str, other: Values
) -> Iterator[Problem]:
    places, others = _footprints(outside, driver), _footprints(outside, other)
    shared = [face for face in places if face in others]
    if not shared:
        return
    needed = (driver["frame_diameter"] + other["frame_diameter"]) / 2
    apart = math.dist(places[shared[0]], others[shared[0]])
    if apart - needed <= MEETS:
        verb = "touches" if apart - needed >= -MEETS else "overlaps"
        through = ""
        if driver["face"] != other["face"] and outside.shape == "plate":
            both = name if driver.get("both_sides") else other_name
            through = f" on the other side of the plate ('{both}' radiates from both sides)"
        yield Problem(
            ("drivers", other_name, "position"),
            f"the frame {verb} that of '{name}'{through}: the centres are "
            f"{in_unit(apart, 'mm')} apart and must be more than {in_unit(needed, 'mm')}; move one "
            "of the two",
        )


def _footprints(outside: Outside, driver: Values) -> dict[int | str, tuple[float, float]]:
    """Where a driver's frame is, by the face: two faces if it radiates from both sides."""
    right, up = driver["position"]
    found = {face_key(outside, driver["face"]): (right, up)}
    if driver.get("both_sides") and driver["face"] in _OPPOSITE and outside.shape == "plate":
        found[face_key(outside, _OPPOSITE[driver["face"]])] = (-right, up)
    return found


def face_key(outside: Outside, face: str) -> int | str:
    """The face's index where two names may mean the same face, else its name."""
    if outside.solid is None or outside.square:
        return face
    try:
        return outside.index(face)
    except GeometryError:  # said where the driver's place is checked
        return face
