"""From the values of [cabinet] to the cabinet of the model."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from acoustics.cabinet import (
    Body,
    RoundedBody,
    body_from_corners,
    face_frame,
    face_named,
    outlined_plate,
)
from acoustics.case.design import model
from acoustics.case.geometry.shape import body_of
from acoustics.case.tables.cabinet_table import ChamferTable, RoundTable
from acoustics.case.tables.sound import Values

FACETS = 8
"""of each rounded edge where the lowest point is sought: good to a hundredth of the radius"""


def cabinet_of(values: Values) -> model.Cabinet:
    """The cabinet that the values of a complete table describe.

    Raises:
        GeometryError: corners or an outline that make no convex body, or one without a front;
            of a body whose base may lean, cuts that it has no room for.
    """
    if values["shape"] == "corners":
        cabinet = _from_corners(values)
    elif values.get("outline"):
        cabinet = _from_outline(values)
    else:
        cabinet = _from_sizes(values)
    cabinet = replace(
        cabinet,
        chamfers=tuple(chamfers_of(values.get("chamfers") or ())),
        rounds=tuple(rounds_of(values.get("rounds") or ())),
        wall_thickness=values.get("wall_thickness"),
    )
    if cabinet.shape == "pyramid" or cabinet.corners or cabinet.outline:
        return replace(cabinet, bottom=_lowest(body_of(cabinet)))
    return cabinet


def _from_sizes(values: Values) -> model.Cabinet:
    front = values.get("front_width"), values.get("front_height")
    shift = values.get("shift") or [0.0, 0.0]
    depth = (values.get("thickness") or 0.0) if values["shape"] == "plate" else values["depth"]
    return model.Cabinet(
        width=values["width"],
        height=values["height"],
        depth=depth,
        base_height=values["base_height"],
        shape=values["shape"],
        lean=values.get("lean") or 0.0,
        hinge=values.get("hinge") or "bottom",
        front=None if front[0] is None or front[1] is None else (front[0], front[1]),
        shift=(shift[0], shift[1]),
    )


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
    )


def _from_outline(values: Values) -> model.Cabinet:
    """The plate moved so that the middle of its outline's extent is the origin."""
    thickness = values.get("thickness") or 0.0
    outlined_plate(values["outline"], thickness)
    points = np.array(values["outline"])
    points = points - (points.min(axis=0) + points.max(axis=0)) / 2
    width, height = (float(size) for size in np.ptp(points, axis=0))
    return model.Cabinet(
        width=width,
        height=height,
        depth=thickness,
        base_height=values["base_height"],
        shape="plate",
        outline=tuple((float(x), float(y)) for x, y in points),
    )


def _lowest(body: Body | RoundedBody) -> float:
    points = body.points if isinstance(body, Body) else body.corners(FACETS)
    return float(points[:, 1].min())
