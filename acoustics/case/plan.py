"""The cabinets seen from above, as far as the case file says where they stand.

In the room x counts to the right from the middle and z from the plane of the front-face centres
toward the listener; see `model.Placement`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from acoustics.case.model import SurfaceName
from acoustics.case.room_tables import PAIR
from acoustics.case.sound import Values

Point = tuple[float, float]
Surfaces = Mapping[SurfaceName, Values]
"""Sound values of the surfaces that are in the file."""
MEETS = 1e-7
"""m: lengths given in inches and in millimetres may meet exactly."""


@dataclass(frozen=True)
class Plan:
    """Outlines of the cabinets: sizes in metres, `turn` in radians."""

    width: float
    depth: float
    pair: bool
    spacing: float
    turn: float

    @property
    def drawn(self) -> tuple[Point, ...]:
        """Corners (x, z) of the cabinet as drawn: the left one of a pair, or the single one."""
        across, back = self.width / 2, -self.depth
        local = ((-across, 0.0), (across, 0.0), (across, back), (-across, back))
        sine, cosine = math.sin(self.turn), math.cos(self.turn)
        return tuple(
            (x * cosine + z * sine - self.spacing / 2, z * cosine - x * sine) for x, z in local
        )

    @property
    def corners(self) -> tuple[Point, ...]:
        """Corners (x, z) of every cabinet."""
        return self.drawn + (tuple((-x, z) for x, z in self.drawn) if self.pair else ())

    def clearance(self, x: float, z: float) -> float:
        """Distance (m) of a point from the nearest cabinet; 0 inside one."""
        return min(self._from_drawn(x, z), self._from_drawn(-x, z) if self.pair else math.inf)

    def _from_drawn(self, x: float, z: float) -> float:
        across = x + self.spacing / 2
        sine, cosine = math.sin(self.turn), math.cos(self.turn)
        right, ahead = across * cosine - z * sine, across * sine + z * cosine
        beside = max(abs(right) - self.width / 2, 0.0)
        before = max(ahead, -self.depth - ahead, 0.0)
        return math.hypot(beside, before)


def plan_of(cabinet: Values, placement: Values) -> Plan | None:
    """The plan, from sound values; None where they do not say enough."""
    known = {"width", "depth"} <= cabinet.keys() and {"cabinets", "toe_in"} <= placement.keys()
    if not known:
        return None
    pair = placement["cabinets"] == PAIR
    spacing = placement.get("spacing") if pair else 0.0
    if spacing is None:
        return None
    turn = math.radians(placement["toe_in"])
    return Plan(cabinet["width"], cabinet["depth"], pair, spacing, turn)
