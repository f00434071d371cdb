"""Mirror images in plane surfaces."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import Surface

PLANES: dict[str, tuple[int, float]] = {
    "floor": (1, 1.0),
    "ceiling": (1, 1.0),
    "front wall": (2, -1.0),
    "rear wall": (2, 1.0),
    "left wall": (0, -1.0),
    "right wall": (0, 1.0),
}
"""Each surface's normal in the room: its axis, and the side of the origin it is on."""


def mirrored(points: np.ndarray, surface: Surface) -> np.ndarray:
    """Mirror images of points of the room, m, shape (…, 3)."""
    axis, side = PLANES[surface.name]
    images = np.array(points, dtype=float)
    images[..., axis] = 2 * side * surface.position - images[..., axis]
    return images


def incidence(surface: Surface, sources: np.ndarray, images: np.ndarray) -> np.ndarray:
    """Cosine of the angle from the surface's normal at which sound meets it.

    Args:
        surface: where it is reflected.
        sources: points of the room, m, shape (…, 3).
        images: mirror images of where it is heard, m, shape broadcast with that of `sources`.

    Returns:
        Shape (…).
    """
    axis, _ = PLANES[surface.name]
    way = images - sources
    answer: np.ndarray = np.abs(way[..., axis]) / np.linalg.norm(way, axis=-1)
    return answer
