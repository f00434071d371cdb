"""How fine the rules must be for the accuracy asked for."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

SHALLOW = math.pi / 3
"""rad: faces that turn by less at an edge let sound pass almost straight on."""

NEEDLE, MOST_DIRECTIONS = 7.0 / 6.0, 2.5
"""basis functions of direction that a needle one radian wide takes, and the most there are, over
those that serve a square edge"""

CORNERS = math.sqrt(2.0)
"""times as many points halve what strength's root at the corners leaves, which goes as n^-2"""


PIECE = 24
"""Gauss points on a piece of a panel that serve any tolerance: with more, more of them go to
waste, because pieces are halves of halves."""


@dataclass(frozen=True)
class Resolution:
    """Numbers that set the fineness of every rule of the solver."""

    least_points: int
    """per panel, whatever the wavelength"""
    per_wavelength: float
    """more than π resolves what runs to and fro along an edge, twice as fast as a wave; it is weak,
    and the tier of 0.1 dB lets some of it pass"""
    extra_points: int
    directions: int
    """basis functions of direction on each side of an edge"""
    tolerance: float
    """a Gauss rule's error below which it resolves a rim or a receiver close to an edge"""
    sight: float
    """likewise, an edge close by"""
    update: float
    """the sweeps over the edges stop when what they leave is less than this, relative"""
    corner: float = 0.0
    """as `sight`, but of an edge that meets this one in a corner, where the strength dies out"""
    real: type[np.floating] = np.float32
    """precision of the sums over edge points; what they are made of is found in double"""

    def points(self, length: float, wavelength: float) -> int:
        """Gauss points on a panel of `length` at the shortest `wavelength` (both m)."""
        waves = length / wavelength
        return max(self.least_points, math.ceil(self.per_wavelength * waves) + self.extra_points)

    def on_pieces(self, wavenumber: float) -> tuple[int, float, int]:
        """Gauss points on pieces of a panel at a wavenumber (rad/m): least, per metre, and extra.

        Pieces are cut to what is close by and need none of the points that a panel has for how
        strength ends at its corners.
        """
        per_metre = self.per_wavelength * wavenumber / (2.0 * np.pi)
        return min(self.least_points, PIECE), per_metre, min(self.extra_points, PIECE)

    def for_turn(self, turn: float) -> Resolution:
        """Rules for a body whose faces turn by as little as `turn` (rad) at an edge.

        Sound passes a shallow edge almost straight on: what leaves it is a needle about as wide as
        the turn, which takes more directions. Measured on rounds of one to four facets; edges of
        60 degrees and more are served by any rule.
        """
        if turn > SHALLOW:
            return self
        more = min(max(NEEDLE / turn, 1.0), MOST_DIRECTIONS)
        return replace(self, directions=math.ceil(more * self.directions))

    def coarser(self) -> Resolution:
        """Rules somewhat worse than these, to measure by the difference what these leave.

        The sweeps end where they do here: what their end leaves is known without a second run.
        """
        return Resolution(
            least_points=round(self.least_points / CORNERS),
            per_wavelength=0.93 * self.per_wavelength,
            extra_points=self.extra_points - 1,
            directions=self.directions - 2,
            tolerance=10.0 * self.tolerance,
            sight=10.0 * self.sight,
            update=self.update,
            corner=2.0 * self.corner,
            real=self.real,
        )


TIERS = {
    0.1: Resolution(12, 2.6, 6, 10, 1e-3, 3e-3, 3e-3, 5e-2),
    0.03: Resolution(16, 3.3, 10, 15, 1e-7, 1e-7, 6e-4),
    0.01: Resolution(28, 3.5, 10, 16, 1e-8, 1e-9, 2e-4),
    0.003: Resolution(28, 4.5, 14, 20, 1e-9, 1e-9, 2e-6, real=np.float64),
    0.001: Resolution(96, 5.0, 76, 38, 1e-13, 1e-11, 2e-8, real=np.float64),
}
"""Rules by the error in dB that they keep to; DEVELOPERS.md has the measurements behind them."""


def resolution_for(accuracy: float) -> Resolution:
    """The coarsest tier that keeps the error within `accuracy` (dB), or the finest there is."""
    good = [tier for tier in TIERS if tier <= accuracy * (1 + 1e-9)]
    return TIERS[max(good) if good else min(TIERS)]
