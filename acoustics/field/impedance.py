"""What a cabinet does to the air load of its drivers."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import xarray as xr

from acoustics.cabinet import Piston, flat_parts
from acoustics.conventions import Air
from acoustics.field.checks import checked_frequency
from acoustics.field.piston import place_source, source_points
from acoustics.field.plan import Shape
from acoustics.field.solve import solve_field

LIFT = 1e-8
"""m: just beyond what counts as in a face's plane."""

POINTS = 1e-8
"""Tolerance of the rule over a piston's face; pressure on it is smooth but for its rim."""


def radiation_impedance(
    body: Shape,
    pistons: Sequence[Piston],
    frequency: np.ndarray,
    *,
    air: Air | None = None,
    accuracy: float = 0.1,
    progress: Callable[[int, int], None] | None = None,
    solve: Callable[..., xr.DataArray] | None = None,
) -> xr.DataArray:
    """Mean pressure on each piston per volume velocity of each: self and mutual impedance.

    The mean is weighted by the receiving piston's velocity, whose rings are late by their depth, so
    that power is ½·Re Σ U_i* Z_ij U_j for peak volume velocities U. For flat pistons it is
    symmetric by reciprocity.

    Args:
        body: a convex body.
        pistons: on its faces.
        frequency: (frequency,), Hz.
        air: as in `solve_field`.
        accuracy: likewise.
        progress: likewise.
        solve: in place of `solve_field`.

    Returns:
        Complex (receiving, radiating, frequency), Pa s/m³.

    Raises:
        What `solve_field` raises.

    Example:
        >>> import acoustics as ac
        >>> body = ac.Body.box(width=0.22, height=0.38, depth=0.30)
        >>> woofer = ac.Piston(radius=0.06, centre=(0.0, -0.02, 0.0))
        >>> load = ac.radiation_impedance(body, [woofer], [100.0, 200.0])
        >>> load.dims
        ('receiving', 'radiating', 'frequency')
    """
    frequency = checked_frequency(frequency)
    speed = (air or Air()).speed_of_sound
    top = 2 * np.pi * frequency.max() / speed
    solid = flat_parts(body)
    sources = [place_source(solid, piston) for piston in pistons]
    lights = [source_points(source, top, POINTS) for source in sources]
    # On a plate without thickness a point is heard on the front: lift it off the face it is on.
    lift = LIFT if solid.thin else 0.0
    points = [
        light.points + lift * source.normal for light, source in zip(lights, sources, strict=True)
    ]
    field = (solve or solve_field)(
        body,
        pistons,
        np.concatenate(points),
        frequency,
        air=air,
        accuracy=accuracy,
        progress=progress,
    )
    ends = np.cumsum([light.points.shape[0] for light in lights])[:-1]
    parts = np.split(field.values, ends, axis=-1)
    wavenumber = 2 * np.pi * frequency / speed
    mean = [
        (part * light.weights * np.exp(1j * np.outer(wavenumber, light.depths))).sum(axis=-1)
        for part, light in zip(parts, lights, strict=True)
    ]
    return xr.DataArray(
        np.array(mean),
        dims=("receiving", "radiating", "frequency"),
        coords={"frequency": frequency},
        name="radiation_impedance",
        attrs={"units": "Pa s m-3", "long_name": "mean pressure per volume velocity"},
    )
