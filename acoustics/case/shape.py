"""The body of a cabinet and the pistons on it."""

from __future__ import annotations

import numpy as np

from acoustics.cabinet import (
    Body,
    EdgeCut,
    Piston,
    Round,
    RoundedBody,
    body_from_corners,
    chamfered,
    face_named,
    place_on_face,
    plate,
    sloped_front,
    truncated_pyramid,
)
from acoustics.case.model import Cabinet, Case, Driver


def body_of(cabinet: Cabinet) -> Body | RoundedBody:
    """The body of a cabinet, its front face's centre at the origin.

    Raises:
        GeometryError: sizes that make no such body.
    """
    solid = uncut_body(cabinet)
    if cabinet.chamfers:
        cuts = [EdgeCut(cut.edge, cut.setbacks, cut.far_setbacks) for cut in cabinet.chamfers]
        solid = chamfered(solid, cuts)
    if cabinet.rounds:
        return RoundedBody(solid, tuple(Round(item.edge, item.radius) for item in cabinet.rounds))
    return solid


def flat_body(cabinet: Cabinet) -> Body:
    """The body with what stays flat of its faces: those of the uncut body, in its order, then cuts.

    Raises:
        GeometryError: sizes that make no such body.
    """
    body = body_of(cabinet)
    return body if isinstance(body, Body) else body.flat_parts()


def uncut_body(cabinet: Cabinet) -> Body:
    """The body before edges are cut or rounded: its faces keep their centres whatever is cut.

    Raises:
        GeometryError: sizes that make no such body.
    """
    width, height, depth = cabinet.width, cabinet.height, cabinet.depth
    if cabinet.shape == "plate":
        return plate(width=width, height=height, thickness=depth)
    if cabinet.shape == "sloped front":
        lean = float(np.deg2rad(cabinet.lean))
        return sloped_front(width=width, height=height, depth=depth, lean=lean, hinge=cabinet.hinge)
    if cabinet.shape == "pyramid":
        assert cabinet.front is not None
        # The case says where the front lies before the back, the body where the back lies.
        right, up = cabinet.shift
        return truncated_pyramid(
            front=cabinet.front, back=(width, height), depth=depth, shift=(-right, -up)
        )
    if cabinet.shape == "corners":
        return body_from_corners(cabinet.corners)
    return Body.box(width=width, height=height, depth=depth)


def pistons_of(case: Case) -> tuple[Piston, ...]:
    """The piston of every driver of a case, in its order, where its face carries it.

    Raises:
        GeometryError: a face that the body does not have.
    """
    solid = uncut_body(case.cabinet)
    return tuple(_piston(solid, driver) for driver in case.drivers)


def _piston(solid: Body, driver: Driver) -> Piston:
    return Piston(
        radius=driver.piston_diameter / 2,
        centre=place_on_face(solid, driver.face, *driver.position),
        profile=driver.profile,
        # The centre lies on both faces of a plate without thickness.
        face=face_named(solid, driver.face) if solid.thin else None,
    )
