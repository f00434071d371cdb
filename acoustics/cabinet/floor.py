"""A cabinet that stands on a hard floor: it and its mirror image as one body in free space."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import overload

import numpy as np

from acoustics.cabinet.body import Body
from acoustics.cabinet.half_spaces import body_of, solid_behind
from acoustics.cabinet.names import edge_named, face_named, face_title
from acoustics.cabinet.piston import Piston
from acoustics.cabinet.rounds import Round, RoundedBody
from acoustics.conventions import GeometryError

ON_THE_FLOOR = 1e-6
"""m: a base nearer to the floor than this stands on it."""

UPRIGHT = 1e-6
"""Vertical part of the unit normal of a face that counts as vertical."""

ADVICE = "let it stand clear and add the floor's reflection from its mirror image instead"


@overload
def mirrored_in_floor(body: Body, base_y: float) -> Body: ...
@overload
def mirrored_in_floor(body: RoundedBody, base_y: float) -> RoundedBody: ...
def mirrored_in_floor(body: Body | RoundedBody, base_y: float) -> Body | RoundedBody:
    """Join a body that stands on a rigid floor and its mirror image into one convex body.

    The rigid floor is then exact: solve in free space, with `mirrored_piston` beside every piston
    in the same phase, above y = base_y. It takes a base flat on the floor and no face that looks
    downward beside it: walls square to the floor go on into their image, walls that lean back
    meet theirs in an edge. Rounded edges between walls square to the floor go on likewise, all
    others get a twin below.

    Args:
        body: the cabinet.
        base_y: height of the floor, m.

    Returns:
        A body of twice the height: the cabinet's faces in their order without the base, then the
        mirror images of those that are not vertical. A rounded body: that of its base, with its
        rounds in their order, then their twins.

    Raises:
        GeometryError: a base that is not level, above or below the floor, a face that looks
            downward (a bevel at the bottom, a wall that leans outward), or a rounded edge of the
            base.
    """
    if isinstance(body, Body):
        return _joined(body, base_y)
    return RoundedBody(_joined(body.base, base_y), _rounds_of_both(body))


def _joined(body: Body, base_y: float) -> Body:
    """A polyhedron and its mirror image, see `mirrored_in_floor`."""
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


def _rounds_of_both(body: RoundedBody) -> tuple[Round, ...]:
    """The rounds by the names that their edges have on body and image together, then the twins."""
    bottom = face_named(body.base, "bottom")
    above, below = [], []
    for item in body.rounds:
        words = item.edge.split()
        _, faces = edge_named(body.base, item.edge)
        if bottom in faces:
            raise GeometryError(
                f"edge {item.edge}: rounded at the base, the cabinet and its mirror image make a "
                f"hollow; leave this edge sharp (name only others under edges), or {ADVICE}"
            )
        if np.abs(body.base.normals[list(faces), 1]).max() <= UPRIGHT:
            above.append(item)
        elif len(words) > 2:
            raise GeometryError(f"edge {item.edge}: its mirror image has no name; {ADVICE}")
        elif "top" in words:
            above.append(item)
            below.append(replace(item, edge=item.edge.replace("top", "bottom")))
        else:
            above.append(replace(item, edge=f"upper {item.edge}"))
            below.append(replace(item, edge=f"lower {item.edge}"))
    return (*above, *below)


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
