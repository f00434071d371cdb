"""Checks of the front face: drivers on it, apart from each other, and the arcs clear of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import combinations

from acoustics.case.faults import Problem
from acoustics.case.plan import MEETS
from acoustics.case.sound import Values
from acoustics.case.units import in_unit

# Common practice, no source: less wood than this beside a cut-out breaks away.
PISTON_MARGIN = 1e-3
ARC_MARGIN = 50e-3

_SIDES = ((0, -1, "left"), (0, 1, "right"), (1, -1, "bottom"), (1, 1, "top"))


def driver_problems(cabinet: Values, drivers: Mapping[str, Values]) -> Iterator[Problem]:
    """Drivers off the face, over an edge, too near one, or in each other's way."""
    if {"width", "height"} <= cabinet.keys():
        half = (cabinet["width"] / 2, cabinet["height"] / 2)
        for name, driver in drivers.items():
            if "position" in driver:
                yield from _edge_problems(name, driver, half)
    for (name, driver), (other_name, other) in combinations(drivers.items(), 2):
        if {"position", "frame_diameter"} <= driver.keys() & other.keys():
            yield from _overlap(name, driver, other_name, other)


def arc_problems(cabinet: Values, point: tuple[float, float], distance: float) -> Iterator[Problem]:
    """Arcs of radius `distance` about `point` that pass through or close to the cabinet."""
    # Horizontal and vertical section of the box through the point: the farther back corner. A
    # size that is not known counts as nothing: the corner is no nearer than that.
    width, height, depth = (cabinet.get(size, 0.0) for size in ("width", "height", "depth"))
    farthest = max(
        math.hypot(width / 2 + abs(point[0]), depth),
        math.hypot(height / 2 + abs(point[1]), depth),
    )
    known = {"width", "height", "depth"} <= cabinet.keys()
    if distance < farthest + ARC_MARGIN:
        least = math.ceil((farthest + ARC_MARGIN) * 100) / 100
        yield Problem(
            ("reference", "distance"),
            f"at {in_unit(distance, 'm')} the circle round the reference point passes through the "
            f"cabinet, whose corner is {'' if known else 'at least '}"
            f"{in_unit(farthest, 'm', digits=3)} away; write "
            f'"{least:.2f} m" or more',
        )


def point_problems(cabinet: Values, point: tuple[float, float]) -> Iterator[Problem]:
    """A reference point off the front face."""
    if not {"width", "height"} <= cabinet.keys():
        return
    for axis, (size, word) in enumerate((("width", "right"), ("height", "up"))):
        limit = cabinet[size] / 2
        if abs(point[axis]) > limit:
            yield Problem(
                ("reference", "point", axis),
                f"{in_unit(point[axis], 'mm')} is off the front face; the way {word} may be "
                f"{in_unit(-limit, 'mm')} to {in_unit(limit, 'mm')}",
            )


def _edge_problems(name: str, driver: Values, half: tuple[float, float]) -> Iterator[Problem]:
    position = driver["position"]
    if any(abs(position[axis]) >= half[axis] for axis in (0, 1)):
        yield Problem(
            ("drivers", name, "position"),
            f"the driver is off the front face: its centre ({in_unit(position[0], 'mm')}, "
            f"{in_unit(position[1], 'mm')}) must lie within {in_unit(half[0], 'mm')} to each side "
            f"of the face's centre and {in_unit(half[1], 'mm')} above and below it",
        )
        return
    frame = driver.get("frame_diameter", 0.0) / 2
    piston = driver.get("piston_diameter", 0.0) / 2
    for axis, sign, side in _SIDES:
        room = half[axis] - sign * position[axis]
        if room - frame <= MEETS:
            touches = room - frame >= -MEETS
            found = f"the frame ({in_unit(2 * frame, 'mm')}) {'touches' if touches else 'crosses'}"
            move = "" if touches else f" more than {in_unit(frame - room, 'mm')}"
        elif piston + PISTON_MARGIN - room > MEETS:
            least = in_unit(PISTON_MARGIN, "mm")
            found = f"the piston ({in_unit(2 * piston, 'mm')}) is less than {least} from"
            move = f" {in_unit(piston + PISTON_MARGIN - room, 'mm')}"
        else:
            continue
        yield Problem(
            ("drivers", name, "position"),
            f"{found} the {side} edge of the front face; move the driver{move} away from it, "
            "take a smaller driver or a larger cabinet",
        )


def _overlap(name: str, driver: Values, other_name: str, other: Values) -> Iterator[Problem]:
    needed = (driver["frame_diameter"] + other["frame_diameter"]) / 2
    apart = math.dist(driver["position"], other["position"])
    if apart - needed <= MEETS:
        verb = "touches" if apart - needed >= -MEETS else "overlaps"
        yield Problem(
            ("drivers", other_name, "position"),
            f"the frame {verb} that of '{name}': the centres are {in_unit(apart, 'mm')} apart and "
            f"must be more than {in_unit(needed, 'mm')}; move one of the two",
        )
