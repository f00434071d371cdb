"""A cabinet that stands on a hard floor: it and its mirror image as one body in free space."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from acoustics.cabinet.body import Body
from acoustics.cabinet.half_spaces import body_of, solid_behind
from acoustics.cabinet.names import face_named, face_title
from acoustics.cabinet.piston import Piston
from acoustics.conventions import GeometryError

ON_THE_FLOOR = 1e-6
"""m: a base nearer to the floor than this stands on it."""

UPRIGHT = 1e-6
"""Vertical part of the unit normal of a face that counts as vertical."""

ADVICE = "let it stand clear and add the floor's reflection from its mirror image instead"


def mirrored_in_floor(body: Body, base_y: float) -> Body:
    """Join a body that stands on a rigid floor and its mirror image into one convex body.

    The rigid floor is then exact: solve in free space, with `mirrored_piston` beside every piston
    in the same phase, above y = base_y. It takes a base flat on the floor and no face that looks
    downward beside it: walls square to the floor go on into their image, walls that lean back
    meet theirs in an edge.

    Args:
        body: the cabinet.
        base_y: height of the floor, m.

    Returns:
        A body of twice the height: the cabinet's faces in their order without the base, then the
        mirror images of those that are not vertical.

    Raises:
        GeometryError: a base that is not level, above or below the floor, or a face that looks
            downward (a bevel at the bottom, a wall that leans outward).
    """
    base = face_named(body, "bottom")
    level = np.array([0.0, -1.0, 0.0])
    if np.linalg.norm(body.normals[base] - level) > UPRIGHT:
        raise GeometryError(
            f"the bottom face is not level, so the cabinet does not stand flat; {ADVICE}"
        )
    gap = -float(body.offsets[base]) - base_y
    if abs(gap) > ON_THE_FLOOR:
        where = "above" if gap > 0 else "below"
        raise GeometryError(
            f"the base lies {1e3 * abs(gap):.4g} mm {where} the floor; put it on the floor, or "
            f"{ADVICE}"
        )
    others = [face for face in range(len(body.faces)) if face != base]
    rising = body.normals[others, 1]
    if rising.min() < -UPRIGHT:
        face = others[int(rising.argmin())]
        tilt = math.degrees(math.asin(-rising.min()))
        raise GeometryError(
            f"{face_title(body, face)} looks downward by {tilt:.3g}°, so the cabinet and its "
            f"mirror image make a hollow; make it square to the base, or {ADVICE}"
        )
    normals, offsets = body.normals[others], body.offsets[others]
    mirrored = [index for index, up in enumerate(rising) if up > UPRIGHT]
    flip = np.array([1.0, -1.0, 1.0])
    # n·p = d holds for p exactly if (flip n)·p' = d + 2 base_y (flip n)_y does for its image p'.
    images = normals[mirrored] * flip
    titles = [face_title(body, face) for face in others]
    solid = solid_behind(
        np.concatenate([normals, images]),
        np.concatenate([offsets, offsets[mirrored] + 2 * base_y * images[:, 1]]),
    )
    if solid is None:
        raise GeometryError(f"the cabinet and its mirror image make no body; {ADVICE}")
    return body_of(solid, titles + [f"the mirror image of {titles[index]}" for index in mirrored])


def mirrored_piston(piston: Piston, base_y: float) -> Piston:
    """The mirror twin of a piston in a floor at y = base_y (m).

    Raises:
        GeometryError: a piston in the floor or below it.
    """
    x, y, z = piston.centre
    if y <= base_y + ON_THE_FLOOR:
        raise GeometryError(
            f"the piston centred at {piston.centre} m is not above the floor (y = {base_y:g} m); "
            "a driver in the base of a cabinet on the floor has nowhere to radiate"
        )
    return replace(piston, centre=(x, 2 * base_y - y, z))
