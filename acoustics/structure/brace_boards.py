"""Braces as boards."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from scipy.spatial import ConvexHull

from acoustics.cabinet.half_spaces import Solid
from acoustics.case.design.structure_model import Brace, Structure
from acoustics.case.geometry.brace_solids import axes_of, region_of
from acoustics.case.geometry.shell import Shell
from acoustics.case.geometry.wall_boards import wall_names
from acoustics.structure.board_model import Board, BoardEdge, Hole
from acoustics.structure.outlines import bevel_of, outline_of
from acoustics.structure.walls import material_named

ENDS = 0.5
"""cosine of the angle to a bar's length from which on a side of it is an end"""

FROM_ABOVE = (np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, -1.0]), np.array([0.0, 1.0, 0.0]))
"""Right, up and outward of a shelf: seen from above, the front below."""


def brace_board(shell: Shell, structure: Structure, brace: Brace) -> Board:
    """The board of a brace.

    A bar's and a strut's is as thick as the smaller side of its section and as long as it is where
    it is longest; the opening of a shelf has the shelf's own shape about its middle.
    """
    material = material_named(structure, brace.material)
    solid = region_of(shell, brace).solid()
    assert solid is not None  # the checks of the case see to that
    volume = float(ConvexHull(solid.points).volume)
    mass = material.density * volume * (1 - brace.open)
    make = _shelf if brace.kind == "shelf" else _bar
    size, outline, edges, holes, thickness = make(shell, brace, solid)
    return Board(
        name=brace.name,
        size=size,
        thickness=thickness,
        material=material.name,
        outline=outline,
        volume=volume,
        mass=mass,
        edges=edges,
        holes=holes,
    )


_Made = tuple[
    tuple[float, float],
    tuple[tuple[float, float], ...],
    tuple[BoardEdge, ...],
    tuple[Hole, ...],
    float,
]


def _bar(shell: Shell, brace: Brace, solid: Solid) -> _Made:
    frame = shell.faces.frame(brace.walls[0])
    if brace.kind == "bar":
        along, across = axes_of(shell, brace)
        # Of the two sides of its section the smaller one is the board's thickness.
        broad = frame.outward if brace.height > brace.width else across
    else:
        along = frame.outward
        broad = frame.right if brace.width > brace.height else frame.up
    thin = np.cross(along, broad)
    points = np.stack([solid.points @ along, solid.points @ broad], axis=1)
    points -= points.min(axis=0)
    long, wide = (float(size) for size in points.max(axis=0))
    edges = tuple(
        edge
        for edge in _sides(shell, brace, solid, thin)
        if abs(region_of(shell, brace).normals[edge[0]] @ along) > ENDS
    )
    thickness = min(brace.width, brace.height)
    return (long, wide), outline_of(points), tuple(edge for _, edge in edges), (), thickness


def _shelf(shell: Shell, brace: Brace, solid: Solid) -> _Made:
    right, up, outward = FROM_ABOVE
    points = np.stack([solid.points @ right, solid.points @ up], axis=1)
    points -= points.min(axis=0)
    size = (float(points[:, 0].max()), float(points[:, 1].max()))
    outline = outline_of(points)
    edges = tuple(edge for _, edge in _sides(shell, brace, solid, outward))
    holes = (_opening(outline, brace.open),) if brace.open > 0 else ()
    return size, outline, edges, holes, brace.height


def _opening(outline: tuple[tuple[float, float], ...], share: float) -> Hole:
    """The hole that leaves a ring: the outline drawn to its middle, `share` of its area."""
    corners = np.array(outline)
    x, y = corners.T
    turned = x * np.roll(y, -1) - np.roll(x, -1) * y
    area = turned.sum() / 2
    # The centroid of a polygon; on a rectangle its middle.
    middle = ((corners + np.roll(corners, -1, axis=0)) * turned[:, None]).sum(axis=0) / (6 * area)
    inner = middle + math.sqrt(share) * (corners - middle)
    low, high = inner.min(axis=0), inner.max(axis=0)
    centre, size = (low + high) / 2, high - low
    return Hole(
        what="opening",
        kind="opening",
        centre=(float(centre[0]), float(centre[1])),
        size=(float(size[0]), float(size[1])),
        area=float(share * area),
    )


def _sides(
    shell: Shell, brace: Brace, solid: Solid, outward: np.ndarray
) -> Iterator[tuple[int, BoardEdge]]:
    """The sides of a brace that meet walls, each with the index of its plane."""
    normals = region_of(shell, brace).normals
    for plane, name in enumerate(wall_names(shell)):
        loop = solid.loops[plane]
        along = np.cross(normals[plane], outward)
        size = float(np.linalg.norm(along))
        if not loop or size < ENDS:
            continue
        length = float(np.ptp(solid.points[list(loop)] @ along)) / size
        yield plane, BoardEdge(name, length, bevel_of(normals[plane], outward))
