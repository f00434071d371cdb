"""Where the live page listens to a design, in the cabinet's own coordinates."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import PLANES
from acoustics.listening.standard_curves import LISTENING_WINDOW, Direction
from acoustics.prediction.receivers import Receivers, arc_points, at_heights, receivers_of
from acoustics.studies.driver_map.moved import images_in_floor
from acoustics.studies.live.grid import AXIS_ANGLES

ASIDE: tuple[Direction, ...] = tuple(("horizontal", angle) for angle in AXIS_ANGLES)

DIRECTIONS: tuple[Direction, ...] = tuple(dict.fromkeys((*LISTENING_WINDOW, *ASIDE)))
"""all that are listened to: those of the window first, of these the reference axis"""

SIDES = np.array([DIRECTIONS.index(each) for each in ASIDE])


@dataclass(frozen=True)
class Where:
    """Points by what they hang on, all (…, 3) in m; of a pair those of the first cabinet.

    axis (direction,): those of `DIRECTIONS`, which move with the reference axis. seat: at the main
    seat the heights and then the ears' ways, the direct one first. floor: the ears and their image,
    if floor and cabinet are one body. `heights` is how many of the seat's are heights.
    """

    receivers: Receivers
    axis: np.ndarray
    seat: np.ndarray
    floor: np.ndarray | None
    heights: int

    @property
    def groups(self) -> dict[str, np.ndarray]:
        """The points that are there, by their kind."""
        found = {"axis": self.axis, "seat": self.seat}
        return found if self.floor is None else {**found, "floor": self.floor}


def axis_points(case: Case) -> np.ndarray:
    """The points of `DIRECTIONS` about the reference point of a case, m, (direction, 3)."""
    arcs = arc_points(case, np.array([angle for _, angle in DIRECTIONS]))
    planes = [PLANES.index(plane) for plane, _ in DIRECTIONS]
    answer: np.ndarray = arcs[planes, np.arange(len(DIRECTIONS))]
    return answer


def where_of(case: Case, heights: np.ndarray) -> Where:
    """Where a draft is heard.

    Args:
        case: the draft, posed: with one seat and one height of ears.
        heights: m above the floor.
    """
    receivers = at_heights(case, receivers_of(replace(case, arc_step=10.0)), tuple(heights), None)
    ways = receivers.seat[0, 0, :, 0]
    floor = None
    if case.floor is not None and case.floor.mirrors_cabinet:
        floor = np.concatenate([ways[:1], images_in_floor(ways[:1], case.cabinet.floor_level)])
    seat = np.concatenate([receivers.height[0, 0], ways])
    return Where(receivers, axis_points(case), seat, floor, len(heights))
