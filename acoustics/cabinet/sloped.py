"""A cabinet that stands upright and whose front face leans."""

from __future__ import annotations

import math
from typing import Literal

from acoustics.cabinet.body import BOX_LOOPS, Body, Face
from acoustics.conventions import GeometryError

STEEPEST = math.pi / 4
"""rad: beyond it the front face would look more up or down than forward."""


def sloped_front(
    *,
    width: float,
    height: float,
    depth: float,
    lean: float,
    hinge: Literal["bottom", "middle"] = "bottom",
) -> Body:
    """Make an upright box whose front face leans back about a level line in it.

    The cabinet keeps its axes: y is vertical and z level toward the listener, so floor, seats and
    angles mean the same as for any cabinet; the origin is the centre of the front face. Drivers
    on it are placed in the face (`place_on_face`): those above the centre have z < 0, which is
    what the slope is for. (Leaning the axes with the face would keep z = 0 there, but tilt the
    floor, every ear height and every arc instead.)

    Args:
        width: along x, m.
        height: of the cabinet, upright, m; the front face is height / cos(lean) long.
        depth: of the cabinet at the hinge, m.
        lean: positive where the front face leans back (its top further back), negative forward,
            rad.
        hinge: the line about which it leans: the face's lower edge or its middle.

    Raises:
        GeometryError: a length that is not positive, a lean of 45° or more, or one that uses up
            the depth.
    """
    for name, value in (("width", width), ("height", height), ("depth", depth)):
        if not (math.isfinite(value) and value > 0):
            raise GeometryError(f"sloped front: {name} must be positive, not {value:g} m")
    if not abs(lean) < STEEPEST:
        raise GeometryError(
            f"sloped front: the lean must be less than 45°, not {math.degrees(lean):g}°"
        )
    if hinge not in ("bottom", "middle"):
        raise GeometryError(f'sloped front: hinge is "bottom" or "middle", not {hinge!r}')
    right, top = width / 2, height / 2
    rise = top * math.tan(lean)
    back = (rise if hinge == "bottom" else 0.0) - depth
    if back >= -abs(rise):
        at, left = ("top", -rise - back) if lean > 0 else ("bottom", rise - back)
        raise GeometryError(
            f"sloped front: leaning by {math.degrees(lean):g}° leaves a depth of {1e3 * left:.4g} "
            f"mm at the {at}; make the cabinet deeper or lean it less"
        )
    corners = tuple(
        (x, y, z)
        for bottom_z, top_z in ((rise, -rise), (back, back))
        for y, z in ((-top, bottom_z), (top, top_z))
        for x in (-right, right)
    )
    return Body(corners, tuple(Face(loop) for loop in BOX_LOOPS))
