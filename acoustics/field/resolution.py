"""How fine the rules must be for the accuracy asked for."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

SHALLOW = math.pi / 3
"""rad: faces that turn by less at an edge let sound pass almost straight on."""

NEEDLE, MOST_DIRECTIONS = 7.0 / 6.0, 3.0
"""basis functions of direction that a needle one radian wide takes, and the most there are, over
those that serve a square edge"""

SLOW = 10.0
"""how much less the last passage over shallow edges may add"""


@dataclass(frozen=True)
class Resolution:
    """Numbers that set the fineness of every rule of the solver."""

    least_points: int
    """per panel, whatever the wavelength"""
    per_wavelength: float
    """more than π: what runs to and fro along an edge turns twice as fast as a wave"""
    extra_points: int
    directions: int
    """basis functions of direction on each side of an edge"""
    tolerance: float
    """a Gauss rule's error below which a near point counts as resolved"""
    update: float
    """the passage between edges stops when it adds less than this, relative"""

    def points(self, length: float, wavelength: float) -> int:
        """Gauss points on a panel of `length` at the shortest `wavelength` (both m)."""
        waves = length / wavelength
        return max(self.least_points, math.ceil(self.per_wavelength * waves) + self.extra_points)

    def for_turn(self, turn: float) -> Resolution:
        """Rules for a body whose faces turn by as little as `turn` (rad) at an edge.

        Sound passes a shallow edge almost straight on: what leaves it is a needle about as wide as
        the turn, and is but little weaker after each edge. Measured on rounds of one to four
        facets; edges of 60 degrees and more are served by any rule.
        """
        if turn > SHALLOW:
            return self
        more = min(max(NEEDLE / turn, 1.0), MOST_DIRECTIONS)
        return replace(
            self, directions=math.ceil(more * self.directions), update=self.update / SLOW
        )

    def coarser(self) -> Resolution:
        """Rules somewhat worse than these, to measure by the difference what these leave.

        The passages end where they do here: what their end leaves is known without a second run.
        """
        return Resolution(
            least_points=self.least_points - max(1, self.least_points // 6),
            per_wavelength=0.93 * self.per_wavelength,
            extra_points=self.extra_points - 1,
            directions=self.directions - 2,
            tolerance=10.0 * self.tolerance,
            update=self.update,
        )


TIERS = {
    0.1: Resolution(10, 3.3, 8, 12, 1e-5, 5e-3),
    0.03: Resolution(14, 3.3, 9, 15, 1e-7, 3e-3),
    0.01: Resolution(20, 3.5, 10, 16, 1e-8, 2e-3),
    0.003: Resolution(28, 4.5, 14, 20, 1e-9, 1e-5),
    0.001: Resolution(96, 5.0, 76, 38, 1e-11, 1e-7),
}
"""Rules by the error in dB that they keep to; DEVELOPERS.md has the measurements behind them."""


def resolution_for(accuracy: float) -> Resolution:
    """The coarsest tier that keeps the error within `accuracy` (dB), or the finest there is."""
    good = [tier for tier in TIERS if tier <= accuracy * (1 + 1e-9)]
    return TIERS[max(good) if good else min(TIERS)]
