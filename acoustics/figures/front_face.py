"""The front face as it is drawn: how far it reaches, and where the reference axis leaves it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import xarray as xr

from acoustics.listening.body_shape import frame_of, reference_point, seen_in

MM = 1000.0

CUT_EDGES = ("box", "plate")
"""Shapes whose front face may be smaller than the cabinet for cut or rounded edges."""


class Extent(NamedTuple):
    """From where to where something reaches, mm."""

    left: float
    right: float
    bottom: float
    top: float


def front_extent(prediction: xr.Dataset) -> Extent:
    """From where to where the front face reaches from its centre, before its edges are cut."""
    given = prediction.attrs
    if given["cabinet_shape"] in CUT_EDGES:
        right, up = (MM * float(given[f"cabinet_{size}"]) / 2 for size in ("width", "height"))
        return Extent(-right, right, -up, up)
    return extent_of(MM * np.stack([given["front_right"], given["front_up"]], axis=-1))


def reference_place(prediction: xr.Dataset) -> tuple[float, float]:
    """Where the reference axis leaves the front face, from its lower left, mm."""
    face = front_extent(prediction)
    right, up = MM * seen_in(frame_of(prediction), reference_point(prediction))
    return float(right) - face.left, float(up) - face.bottom


def extent_of(points: np.ndarray) -> Extent:
    """Of points, shape (point, 2)."""
    (left, bottom), (right, top) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    return Extent(left, right, bottom, top)
