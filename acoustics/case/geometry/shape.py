"""The body of a cabinet and the pistons on it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from acoustics.cabinet import (
    Body,
    EdgeCut,
    Piston,
    Round,
    RoundedBody,
    body_from_corners,
    chamfered,
    edge_named,
    flat_parts,
    outlined_plate,
    plate,
    sloped_front,
    truncated_pyramid,
)
from acoustics.case.design.faces import Faces
from acoustics.case.design.model import Cabinet, Case, Driver
from acoustics.conventions import GeometryError

BODIES = 8
"""kept: one prediction asks for its cabinet's body some twenty times, and studies for few others"""


@lru_cache(BODIES)
def body_of(cabinet: Cabinet) -> Body | RoundedBody:
    """The body of a cabinet, its front face's centre at the origin.

    Raises:
        GeometryError: sizes that make no such body, edges that are not there or that the cuts
            leave no room for.
    """
    whole = solid = uncut_body(cabinet)
    if cabinet.chamfers:
        cuts = [EdgeCut(cut.edge, cut.setbacks, cut.far_setbacks) for cut in cabinet.chamfers]
        solid = chamfered(solid, cuts)
    if cabinet.rounds:
        for item in cabinet.rounds:
            _refuse_renamed(whole, solid, item.edge)
        return RoundedBody(solid, tuple(Round(item.edge, item.radius) for item in cabinet.rounds))
    return solid


def _refuse_renamed(whole: Body, cut: Body, edge: str) -> None:
    """Refuse an edge whose name means another on a body with chamfers, or none.

    A cut may look more to the left than the left face does where that one leans.
    """
    _, meant = edge_named(whole, edge)
    try:
        _, found = edge_named(cut, edge)
    except GeometryError:
        found = None
    if found != meant:
        raise GeometryError(
            f"edge {edge}: with the chamfers on, its name no longer means it, so it cannot be "
            "rounded; chamfer it too, or leave out the chamfers beside it"
        )


@lru_cache(BODIES)
def flat_body_of(cabinet: Cabinet) -> Body:
    """The flat parts of a cabinet's faces, as a body: what rounds leave for drivers to sit on.

    Raises:
        GeometryError: as `body_of`.
    """
    return flat_parts(body_of(cabinet))


@lru_cache(BODIES)
def uncut_body(cabinet: Cabinet) -> Body:
    """The body before edges are cut or rounded: its faces keep their centres whatever is cut.

    Raises:
        GeometryError: sizes that make no such body.
    """
    width, height, depth = cabinet.width, cabinet.height, cabinet.depth
    if cabinet.outline:
        return outlined_plate(cabinet.outline, depth)
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


@lru_cache(BODIES)
def faces_of(cabinet: Cabinet) -> Faces:
    """The flat faces of a cabinet.

    Raises:
        GeometryError: as `body_of`.
    """
    whole, body = uncut_body(cabinet), body_of(cabinet)
    edges = tuple(item.edge for items in (cabinet.chamfers, cabinet.rounds) for item in items)
    if isinstance(body, RoundedBody):
        return Faces(whole, body.base, body.flat_parts(), edges)
    return Faces(whole, body, body, edges)


def pistons_of(case: Case) -> tuple[Piston, ...]:
    """The piston of every driver of a case, in its order, where its face carries it.

    Raises:
        GeometryError: a face that the body does not have.
    """
    faces = faces_of(case.cabinet)
    return tuple(_piston(faces, driver) for driver in case.drivers)


def _piston(faces: Faces, driver: Driver) -> Piston:
    return Piston(
        radius=driver.piston_diameter / 2,
        centre=faces.frame(driver.face).point(*driver.position),
        profile=driver.profile,
        # The centre lies on both faces of a plate without thickness.
        face=faces.index(driver.face) if faces.whole.thin else None,
    )
