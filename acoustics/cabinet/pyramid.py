"""A truncated pyramid: front and back face upright, parallel, and of different size."""

from __future__ import annotations

import math

from acoustics.cabinet.body import BOX_LOOPS, Body, Face
from acoustics.conventions import GeometryError


def truncated_pyramid(
    *,
    front: tuple[float, float],
    back: tuple[float, float],
    depth: float,
    shift: tuple[float, float] = (0.0, 0.0),
) -> Body:
    """Make a body between two upright rectangles, the front one centred on the origin in z = 0.

    Args:
        front: (width, height) of the front face, m.
        back: of the back face, larger or smaller, m.
        depth: between them, m.
        shift: how far the back face's centre lies [right, up] from the front face's as the
            listener sees them, m.

    Raises:
        GeometryError: a length that is not positive, or a shift that is not a number.
    """
    named = {
        "front width": front[0],
        "front height": front[1],
        "back width": back[0],
        "back height": back[1],
        "depth": depth,
    }
    for name, value in named.items():
        if not (math.isfinite(value) and value > 0):
            raise GeometryError(
                f"truncated pyramid: {name} must be positive, not {value:g} m (for a pyramid that "
                "ends in a point or a ridge give its corners)"
            )
    if not all(math.isfinite(value) for value in shift):
        raise GeometryError(f"truncated pyramid: the shift must be two numbers, not {shift!r} m")
    corners = tuple(
        (middle_x + x * width / 2, middle_y + y * height / 2, z)
        for (width, height), (middle_x, middle_y), z in (
            (front, (0.0, 0.0), 0.0),
            (back, shift, -depth),
        )
        for y in (-1, 1)
        for x in (-1, 1)
    )
    return Body(corners, tuple(Face(loop) for loop in BOX_LOOPS))
