"""The cabinets seen from above, as far as the case file says where they stand.

In the room x counts to the right from the middle and z from the plane of the front-face centres
toward the listener; see `model.Placement`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from acoustics.case.checks.outside import Outside, Span
from acoustics.case.design.model import SurfaceName
from acoustics.case.tables.room_tables import PAIR
from acoustics.case.tables.sound import Values

Point = tuple[float, float]
Surfaces = Mapping[SurfaceName, Values]
"""Sound values of the surfaces that are in the file."""
MEETS = 1e-7
"""m: lengths given in inches and in millimetres may meet exactly."""


@dataclass(frozen=True)
class Plan:
    """Outlines of the cabinets, the rectangles round them: metres, `turn` in radians.

    `across` and `ahead` say from where to where the drawn cabinet reaches along x and z.
    """

    across: Span
    ahead: Span
    pair: bool
    spacing: float
    turn: float

    @property
    def drawn(self) -> tuple[Point, ...]:
        """Corners (x, z) of the cabinet as drawn: the left one of a pair, or the single one."""
        (left, right), (back, front) = self.across, self.ahead
        local = ((left, front), (right, front), (right, back), (left, back))
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
        beside = max(right - self.across[1], self.across[0] - right, 0.0)
        before = max(ahead - self.ahead[1], self.ahead[0] - ahead, 0.0)
        return math.hypot(beside, before)


def plan_of(outside: Outside, placement: Values) -> Plan | None:
    """The plan, from sound values; None where they do not say enough."""
    across, ahead = outside.span(0), outside.span(2)
    if across is None or ahead is None or not {"cabinets", "toe_in"} <= placement.keys():
        return None
    pair = placement["cabinets"] == PAIR
    spacing = placement.get("spacing") if pair else 0.0
    if spacing is None:
        return None
    return Plan(across, ahead, pair, spacing, math.radians(placement["toe_in"]))
