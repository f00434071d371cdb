"""Lines along which a field is solved at a few places and known between them.

The interpolation is polynomial through Chebyshev points of the second kind, in barycentric form
(Berrut & Trefethen, SIAM Rev. 46, 2004, 501; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

TURN = np.deg2rad(20.0)
"""How far the lines to the right and up reach, as seen from the reference point."""

SPARE_NODES = 10
"""beside two for every turn that the phase makes along a line"""

MOST_NODES = 49


@dataclass(frozen=True, eq=False)
class Line:
    """One way to go from a place: `ahead` its unit vector, `reach` (m) how far the nodes go.

    A line over distance is laid out in its logarithm: `distance` (m) is that of the place itself,
    None for lines across. changes: of the field without flight between a node and the place,
    complex, shape (node, piston, frequency).
    """

    ahead: np.ndarray
    reach: float
    distance: float | None
    changes: np.ndarray

    def at(self, offset: float) -> np.ndarray:
        """What the field without flight changes by over an offset (m), (piston, frequency)."""
        weights = weights_at(self._along(offset), len(self.changes))
        # Not as a matrix product, whose threads would wait for each other longer than it takes.
        answer: np.ndarray = np.einsum("n,npf->pf", weights, self.changes)
        return answer

    def held(self, offset: float) -> float:
        """The offset (m), not beyond the ends."""
        ends = offsets_at(np.array([-1.0, 1.0]), self.reach, self.distance)
        return float(np.clip(offset, *ends))

    def _along(self, offset: float) -> float:
        if self.distance is None:
            return float(np.clip(offset / self.reach, -1.0, 1.0))
        factor = self.distance / (self.distance - self.reach)
        return float(np.log1p(offset / self.distance) / np.log(factor))


def weights_at(along: float, count: int) -> np.ndarray:
    """What the values at Chebyshev points count for in the polynomial through them.

    Args:
        along: from −1 to 1.
        count: of the points.
    """
    nodes = nodes_of(count)
    apart = along - nodes
    hit = np.flatnonzero(np.abs(apart) < 1e-14)
    if hit.size:
        return np.eye(count)[hit[0]]
    terms = (-1.0) ** np.arange(count) / apart
    terms[[0, -1]] /= 2
    answer: np.ndarray = terms / terms.sum()
    return answer


def offsets_at(along: np.ndarray, reach: float, distance: float | None) -> np.ndarray:
    """Offsets (m) of points from −1 to 1 of a line; see `Line`."""
    if distance is None:
        return reach * along
    factor = distance / (distance - reach)
    answer: np.ndarray = distance * np.expm1(along * np.log(factor))
    return answer


def count_of(wave: float, size: float, reach: float, distance: float | None) -> int:
    """How many nodes a line needs, an odd number.

    Args:
        wave: the highest wavenumber, rad/m.
        size: of the body, m: from so far apart its sound comes.
        reach: m, and
        distance: m, as in `Line`.
    """
    if distance is None:
        turn = wave * size * 2 * np.sin(TURN)
    else:
        # What comes from the rim comes later than what comes from the middle, the more the nearer.
        ends = distance + offsets_at(np.array([-1.0, 1.0]), reach, distance)
        late = np.hypot(ends, size / 2) - ends
        turn = wave * float(late[0] - late[1]) / 2
    needed = int(turn) + SPARE_NODES
    return min(needed + 1 - needed % 2, MOST_NODES)


def nodes_of(count: int) -> np.ndarray:
    """Chebyshev points of the second kind from −1 to 1; 0 is among an odd number of them."""
    answer: np.ndarray = np.sin(np.pi * (np.arange(count) - (count - 1) / 2) / (count - 1))
    return answer
