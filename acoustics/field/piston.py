"""A piston as a source: its direct sound, and the points that light the edges."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Body, Piston, edge_distances, face_of
from acoustics.cabinet.body import PLANE_TOLERANCE
from acoustics.cabinet.profile import FLAT, Profile
from acoustics.field import kernels
from acoustics.field.quadrature import gauss_rule


@dataclass(frozen=True)
class Source:
    """A piston on its face of the body."""

    centre: np.ndarray
    radius: float
    face: int
    normal: np.ndarray
    across: np.ndarray
    """(2, 3): unit vectors in the face's plane"""
    margin: float
    """distance from the rim to the nearest edge of the face, m"""
    profile: Profile = FLAT


def place_source(body: Body, piston: Piston) -> Source:
    """Find the face a piston sits on.

    Raises:
        GeometryError: it sits on none, or touches an edge.
    """
    face = face_of(body, piston)
    centre = np.asarray(piston.centre, dtype=float)
    loop = body.points[list(body.faces[face].corners)]
    first = (loop[1] - loop[0]) / np.linalg.norm(loop[1] - loop[0])
    normal = body.normals[face]
    return Source(
        centre=centre,
        radius=piston.radius,
        face=face,
        normal=normal,
        across=np.array([first, np.cross(normal, first)]),
        margin=float(edge_distances(body, face, centre).min()) - piston.radius,
        profile=piston.profile,
    )


def rim_points(source: Source, count: int = 48) -> np.ndarray:
    """Points evenly round a piston's rim, (count, 3), m."""
    rim: np.ndarray = source.centre + source.radius * _circle(count) @ source.across
    return rim


@cache
def _circle(count: int) -> np.ndarray:
    angles = 2.0 * np.pi * np.arange(count) / count
    return np.stack([np.cos(angles), np.sin(angles)], axis=1)


class Light(NamedTuple):
    """Points on a piston, (point, 3) in m; what each counts for, sum 1; how deep it is, m."""

    points: np.ndarray
    weights: np.ndarray
    depths: np.ndarray


def source_points(source: Source, wavenumber: float, tolerance: float) -> Light:
    """Points whose weighted sum is the mean over the piston, weighted by velocity.

    Rings at Gauss points, evenly spaced round each ring. Enough for exp(jka cosφ), whose Bessel
    series has died out past ka + 4·(ka)^⅓, and for the nearest edge: for it half the digits of the
    tolerance serve (with a rim 1 mm from an edge, six times as many points changed no level by
    0.001 dB).
    """
    ka = wavenumber * source.radius
    reach = 1.0 + source.margin / source.radius
    ellipse = reach + math.sqrt(reach**2 - 1.0)
    round_ring = max(
        math.ceil(ka + 4.0 * ka ** (1 / 3) + 3),
        math.ceil(-0.5 * math.log(tolerance) / math.log(ellipse)),
        6,
    )
    rings = max(math.ceil(ka / 4 + 2), math.ceil(round_ring / 6), 2)
    profile = source.profile
    part, share = _ring_rule(profile, rings)
    share = share * np.interp(part, profile.radii, profile.velocity) / profile.volume_velocity
    angles = 2.0 * np.pi * (np.arange(round_ring) + 0.5) / round_ring
    circle = np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    plane = (source.radius * part[:, None, None] * circle[None, :, :]).reshape(-1, 2)
    return Light(
        source.centre + plane @ source.across,
        np.repeat(share / round_ring, round_ring),
        np.repeat(np.interp(part, profile.radii, profile.depth), round_ring),
    )


def _ring_rule(profile: Profile, rings: int) -> tuple[np.ndarray, np.ndarray]:
    """Radii over the piston's and their shares of the disc's area.

    In the squared radius for the flat piston; in the radius, in which they are straight, between
    the radii of any other profile.
    """
    if profile.flat:
        rule = gauss_rule(rings)
        return np.sqrt(0.5 * (1.0 + rule.x)), 0.5 * rule.w
    radius, share = [], []
    for low, high in pairwise(profile.radii):
        rule = gauss_rule(max(2, math.ceil(2 * rings * (high - low))))
        part = low + 0.5 * (high - low) * (1.0 + rule.x)
        radius.append(part)
        share.append((high - low) * rule.w * part)
    return np.concatenate(radius), np.concatenate(share)


def direct_sound(
    source: Source, receivers: np.ndarray, on_face: np.ndarray, wavenumber: np.ndarray
) -> np.ndarray:
    """Direct sound of a piston in its own plane's front half space, else nothing.

    In units where a free point source of its volume velocity gives exp(−jkR)/R. A profile is a
    sum of flat discs, v(r) = v(a) − ∫ v'(s)·[r < s] ds − v(b)·[r < b] with b its inner radius,
    and each disc is exact (`disc_sound`); the depth enters v as the phase exp(−jk·depth).

    Args:
        source: the piston.
        receivers: (receiver, 3), m.
        on_face: (receiver,), whether the receiver lies on the source's face.
        wavenumber: (frequency,), rad/m.

    Returns:
        (receiver, frequency), complex.
    """
    profile = source.profile
    if profile.flat:
        return disc_sound(source, source.radius, receivers, on_face, wavenumber)
    total = np.zeros((receivers.shape[0], wavenumber.size), dtype=complex)
    for radius, amount in _discs(profile, source.radius, wavenumber):
        share = amount * radius**2 / profile.volume_velocity
        disc = disc_sound(source, radius * source.radius, receivers, on_face, wavenumber)
        total += share * disc
    return total


def _discs(profile: Profile, size: float, wavenumber: np.ndarray) -> list[tuple[float, np.ndarray]]:
    """Discs whose sum is the profile: radius over the piston's, velocity (frequency,)."""

    def phase(depth: float) -> np.ndarray:
        return np.exp(-1j * wavenumber * depth)

    radii, velocity, depth = profile.radii, profile.velocity, profile.depth
    discs = [(1.0, velocity[-1] * phase(depth[-1]))]
    if radii[0] > 0:
        discs.append((radii[0], -velocity[0] * phase(depth[0])))
    for i in range(len(radii) - 1):
        wide = radii[i + 1] - radii[i]
        rise, sink = velocity[i + 1] - velocity[i], depth[i + 1] - depth[i]
        if rise == 0 and sink == 0:
            continue
        turns = wavenumber.max() * max(abs(sink), wide * size)
        rule = gauss_rule(3 + math.ceil(turns))
        for x, w in zip(0.5 * (1 + rule.x), 0.5 * rule.w, strict=True):
            # d/ds of v·exp(−jk·depth), both straight in s.
            slope = rise - 1j * wavenumber * sink * (velocity[i] + rise * x)
            discs.append((radii[i] + wide * x, -w * slope * phase(depth[i] + sink * x)))
    return discs


def disc_sound(
    source: Source,
    radius: float,
    receivers: np.ndarray,
    on_face: np.ndarray,
    wavenumber: np.ndarray,
) -> np.ndarray:
    """Direct sound of a flat disc about a source's centre in its plane's front half space.

    In units where a free point source gives exp(−jkR)/R. Exact for a flat piston:
    p = (2/πa²)·(1/jk)·∮ (exp(−jkz) − exp(−jkR))·(a²−ar cosφ)/(a²+r²−2ar cosφ) dφ (the surface
    integral turned into one round the rim, the first term being 2π·exp(−jkz) inside it and
    nothing outside; on axis it is the closed form exp(−jkz) − exp(−jk√(z²+a²)), Kinsler et al.,
    Fundamentals of Acoustics, 4th ed. 2000, ch. 7). Exactly in the plane beyond the face the
    mean of both sides holds, half of it; on the face itself the whole.

    Args:
        source: for its centre and plane.
        radius: of the disc, m.
        receivers: (receiver, 3), m.
        on_face: (receiver,), whether the receiver lies on the source's face.
        wavenumber: (frequency,), rad/m.

    Returns:
        (receiver, frequency), complex.
    """
    offset = receivers - source.centre
    height = offset @ source.normal
    height[np.abs(height) < PLANE_TOLERANCE] = 0.0
    lateral = np.linalg.norm(offset - height[:, None] * source.normal, axis=1)
    out = np.zeros((receivers.shape[0], wavenumber.size), dtype=complex)
    lit = np.flatnonzero(height >= 0.0)
    if lit.size == 0:
        return out
    height, lateral = height[lit], lateral[lit]
    # φ = δ·sinh(t) gathers the points where the rim passes close to the receiver's foot.
    gap = np.abs(lateral - radius) / np.sqrt(radius * np.maximum(lateral, radius))
    delta = np.maximum(gap, 1e-9)
    reach = np.arcsinh(np.pi / delta)
    rule = gauss_rule(16 + math.ceil(wavenumber.max() * radius + 3.0 * reach.max()))
    t = 0.5 * reach[:, None] * (1.0 + rule.x)
    phi = delta[:, None] * np.sinh(t)
    weight = 0.5 * reach[:, None] * rule.w * delta[:, None] * np.cosh(t)
    rim = np.empty((lit.size, 2, wavenumber.size))
    kernels.rim_integral(radius, lateral, height, wavenumber / np.pi, phi, weight, rim)
    pressure = (rim[:, 0] + 1j * rim[:, 1]) * (2.0 / (np.pi * radius**2 * 1j * wavenumber))
    share = np.where((height == 0.0) & ~on_face[lit], 0.5, 1.0)
    out[lit] = share[:, None] * pressure
    return out
