"""Stand-ins for the field solver whose answers are known in closed form."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import xarray as xr

from acoustics.cabinet.body import Body
from acoustics.cabinet.piston import Piston
from acoustics.conventions import Air


def solve_free_field(
    body: Body,
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    frequency: np.ndarray,
    *,
    air: Air,
    **_: Any,
) -> xr.DataArray:
    """Every piston as a point source in free space: jωρ/(4πR)·e^(−jkR), Pa per m³/s."""
    omega = 2 * np.pi * np.asarray(frequency)[None, :, None]
    distance = _distances(pistons, receivers)
    field = (1j * omega * air.density / (4 * np.pi * distance)) * np.exp(
        -1j * omega / air.speed_of_sound * distance
    )
    return _labelled(field, frequency, pistons, receivers)


def solve_baffled_piston(
    body: Body,
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    frequency: np.ndarray,
    *,
    air: Air,
    **_: Any,
) -> xr.DataArray:
    """Every piston's far field in an infinite baffle, mirrored to the rear: 2·free·2J₁(x)/x.

    x = ka·sinθ, θ from the normal through the piston's centre (Kinsler, Frey, Coppens & Sanders,
    Fundamentals of Acoustics, ch. 7).
    """
    from scipy.special import j1

    free = solve_free_field(body, pistons, receivers, frequency, air=air).values
    k = 2 * np.pi * np.asarray(frequency)[None, :, None] / air.speed_of_sound
    radii = np.array([piston.radius for piston in pistons])[:, None, None]
    away = np.array([np.asarray(receivers)[:, :2] - np.array(p.centre)[:2] for p in pistons])
    sine = np.hypot(away[..., 0], away[..., 1])[:, None, :] / _distances(pistons, receivers)
    x = np.maximum(k * radii * sine, 1e-9)
    return _labelled(2 * free * 2 * j1(x) / x, frequency, pistons, receivers)


EDGE = (0.11, 0.05, 0.0)
"""m: where `solve_with_echo` has its echo from"""


def solve_with_echo(
    body: Body,
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    frequency: np.ndarray,
    *,
    air: Air,
    **_: Any,
) -> xr.DataArray:
    """As `solve_free_field`, and a third of it over one point of an edge, as edges send it back."""
    free = solve_free_field(body, pistons, receivers, frequency, air=air)
    point = Piston(1e-6, EDGE)
    to_edge = np.linalg.norm(np.array([piston.centre for piston in pistons]) - EDGE, axis=-1)
    wave = 2 * np.pi * np.asarray(frequency) / air.speed_of_sound
    late = np.exp(-1j * np.outer(to_edge, wave))[..., None]
    return free + solve_free_field(body, [point], receivers, frequency, air=air).values * late / 3


def _distances(pistons: Sequence[Piston], receivers: np.ndarray) -> np.ndarray:
    """On a piston itself its radius, so that what it feels of its own sound stays finite."""
    centres = np.array([piston.centre for piston in pistons])
    radii = np.array([piston.radius for piston in pistons])
    apart = np.linalg.norm(np.asarray(receivers)[None] - centres[:, None], axis=-1)
    return np.maximum(apart, radii[:, None])[:, None, :]


def _labelled(
    field: np.ndarray, frequency: np.ndarray, pistons: Sequence[Piston], receivers: np.ndarray
) -> xr.DataArray:
    centres, points = np.array([piston.centre for piston in pistons]), np.asarray(receivers)
    return xr.DataArray(
        field,
        dims=("piston", "frequency", "receiver"),
        coords={
            "frequency": frequency,
            **{axis: ("receiver", points[:, i]) for i, axis in enumerate("xyz")},
            **{f"piston_{axis}": ("piston", centres[:, i]) for i, axis in enumerate("xyz")},
        },
    )
