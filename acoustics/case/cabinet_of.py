"""From the values of [cabinet] to the cabinet of the model."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from acoustics.cabinet import Body, body_from_corners, face_frame, face_named
from acoustics.case import model
from acoustics.case.cabinet_table import ChamferTable, RoundTable
from acoustics.case.shape import uncut_body
from acoustics.case.sound import Values


def cabinet_of(values: Values) -> model.Cabinet:
    """The cabinet that the values of a complete table describe.

    Raises:
        GeometryError: corners that make no convex body, or one without a front.
    """
    if values["shape"] == "corners":
        return _from_corners(values)
    front = values.get("front_width"), values.get("front_height")
    shift = values.get("shift") or [0.0, 0.0]
    depth = (values.get("thickness") or 0.0) if values["shape"] == "plate" else values["depth"]
    cabinet = model.Cabinet(
        width=values["width"],
        height=values["height"],
        depth=depth,
        base_height=values["base_height"],
        shape=values["shape"],
        chamfers=tuple(chamfers_of(values.get("chamfers") or ())),
        rounds=tuple(rounds_of(values.get("rounds") or ())),
        lean=values.get("lean") or 0.0,
        hinge=values.get("hinge") or "bottom",
        front=None if front[0] is None or front[1] is None else (front[0], front[1]),
        shift=(shift[0], shift[1]),
    )
    if cabinet.shape == "pyramid":
        return replace(cabinet, bottom=_lowest(uncut_body(cabinet)))
    return cabinet


def chamfers_of(tables: Sequence[ChamferTable]) -> Iterator[model.Chamfer]:
    """The chamfers of some tables, one for each edge."""
    for table in tables:
        near = table.setbacks or [table.setback or 0.0] * 2
        far = table.far_setbacks
        for edge in table.edges:
            yield model.Chamfer(edge, (near[0], near[1]), None if far is None else (far[0], far[1]))


def rounds_of(tables: Sequence[RoundTable]) -> Iterator[model.Rounding]:
    """The rounded edges of some tables."""
    for table in tables:
        for edge in table.edges:
            yield model.Rounding(edge, table.radius)


def _from_corners(values: Values) -> model.Cabinet:
    """The body moved so that its front face's centre is the origin."""
    body = body_from_corners(values["corners"])
    points = body.points - face_frame(body, face_named(body, "front")).centre
    width, height, depth = (float(size) for size in np.ptp(points, axis=0))
    return model.Cabinet(
        width=width,
        height=height,
        depth=depth,
        base_height=values["base_height"],
        shape="corners",
        corners=tuple((float(x), float(y), float(z)) for x, y, z in points),
        bottom=float(points[:, 1].min()),
    )


def _lowest(body: Body) -> float:
    return float(body.points[:, 1].min())
