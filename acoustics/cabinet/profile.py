"""How a piston moves and how deep it is, over its radius.

The field of a shallow dome or cone is taken to be that of a flat disc in the face whose every ring
moves with its own velocity and is heard later by its own depth (Kates, J. Audio Eng. Soc. 25, 1977,
735, for domes; from memory). It leaves out that parts of a deep cone hide one another and reflect
sound, so it is good for depths well under the radius. Waveguides and horns are beyond it: measure
such a driver instead.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from acoustics.conventions import GeometryError

LOWEST = 1e-9
"""of its radius: a dome that is lower is a disc; the sphere that it is cut from has no numbers"""

MOST_DEPTH = 1.0
"""Depth over radius: a cone or dome deeper than this is a horn or a bell."""

NO_HORNS = (
    "horns and waveguides are not solved; measure such a driver and use its measured response"
)

RINGS = 17
"""Radii that carry a curved depth; straight between them."""


@dataclass(frozen=True)
class Profile:
    """Velocity and depth at radii, straight between them.

    `radii` are parts of the piston's radius, ascending to 1; the first is 0, or above 0 for an
    annular piston, inside which nothing moves. `velocity` is relative, `depth` in metres behind
    the face (negative in front of it).
    """

    radii: tuple[float, ...] = (0.0, 1.0)
    velocity: tuple[float, ...] = (1.0, 1.0)
    depth: tuple[float, ...] = (0.0, 0.0)

    def __post_init__(self) -> None:
        numbers = (*self.radii, *self.velocity, *self.depth)
        if not len(self.radii) == len(self.velocity) == len(self.depth) >= 2:
            raise GeometryError("a profile has radii, velocities and depths, two or more of each")
        if not all(math.isfinite(number) for number in numbers):
            raise GeometryError("a profile's radii, velocities and depths must be finite numbers")
        steps = np.diff(self.radii)
        if self.radii[0] < 0 or self.radii[-1] != 1 or steps.min() <= 0:
            raise GeometryError(
                "a profile's radii are parts of the piston's radius, ascending from 0 or more to 1"
            )
        if abs(self.volume_velocity) < 1e-9 * max(map(abs, self.velocity), default=0.0) or not any(
            self.velocity
        ):
            raise GeometryError("a profile must move air: its mean velocity is 0")

    @property
    def flat(self) -> bool:
        """Whether this is the flat piston of one velocity."""
        return (
            self.radii[0] == 0 and set(self.velocity) == {self.velocity[0]} and not any(self.depth)
        )

    @property
    def from_behind(self) -> Profile:
        """The same cone or dome seen from its rear side: what was deep stands out."""
        return replace(self, depth=tuple(-depth for depth in self.depth))

    @property
    def volume_velocity(self) -> float:
        """∫ v dA over πa²: 1 for the flat piston of unit velocity."""
        r, v = np.array(self.radii), np.array(self.velocity)
        # ∫ v·2r dr, v straight between the radii.
        low, high = r[:-1], r[1:]
        slope = np.diff(v) / (high - low)
        start = v[:-1] - slope * low
        return float(np.sum(start * (high**2 - low**2) + 2 / 3 * slope * (high**3 - low**3)))


FLAT = Profile()


def dome(height: float, radius: float) -> Profile:
    """A spherical cap of the given height that moves as one; negative for a concave one.

    Args:
        height: of its top above the face, m.
        radius: of its rim, m.

    Raises:
        GeometryError: a height beyond the radius (a hemisphere).
    """
    _require_shallow(height, radius, "dome")
    x = np.linspace(0.0, 1.0, RINGS)
    depth = np.zeros(RINGS)
    if abs(height) > LOWEST * radius:
        curvature = (radius**2 + height**2) / (2 * abs(height))
        depth = -np.sign(height) * (
            np.sqrt(curvature**2 - (radius * x) ** 2) - np.sqrt(curvature**2 - radius**2)
        )
    return Profile(tuple(x), (1.0,) * RINGS, tuple(depth))


def cone(depth: float, radius: float, cap: float = 0.0) -> Profile:
    """A straight cone that moves as one, closed by a flat cap.

    Args:
        depth: of its apex or cap behind the face, m.
        radius: of its rim, m.
        cap: radius of the cap, m.

    Raises:
        GeometryError: a depth beyond the radius, or a cap as wide as the cone.
    """
    _require_shallow(depth, radius, "cone")
    if not 0 <= cap < radius:
        raise GeometryError(
            f"a cone's cap has a radius from 0 to under {radius:g} m, not {cap:g} m"
        )
    if cap == 0:
        return Profile((0.0, 1.0), (1.0, 1.0), (depth, 0.0))
    return Profile((0.0, cap / radius, 1.0), (1.0,) * 3, (depth, depth, 0.0))


def annulus(inner: float, radius: float) -> Profile:
    """A flat ring that moves as one, from an inner radius to the rim (m)."""
    if not 0 < inner < radius:
        raise GeometryError(
            f"a ring's inner radius lies between 0 and {radius:g} m, not at {inner:g} m"
        )
    return Profile((inner / radius, 1.0), (1.0, 1.0), (0.0, 0.0))


def _require_shallow(depth: float, radius: float, what: str) -> None:
    if not abs(depth) <= MOST_DEPTH * radius:
        raise GeometryError(
            f"a {what} {abs(depth):g} m deep is deeper than its radius, {radius:g} m: {NO_HORNS}"
        )
