"""Surface meshes of a quarter of a box whose piston is in its front face.

The bodies are symmetric left to right and top to bottom, and so are their meshes: a quarter
(x ≥ 0, y ≥ 0) is meshed with gmsh, the other three are its images. Elements are smaller toward
sharp edges, on rounds and about the piston.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import gmsh
import numpy as np

PISTON_SIDES = 24


@dataclass(frozen=True)
class MeshedBox:
    """Lengths in m; `round_radius` 0 leaves the front edges sharp."""

    width: float
    height: float
    depth: float
    piston_radius: float
    piston_y: float
    round_radius: float = 0.0


@dataclass(frozen=True)
class Sizes:
    """Longest element edges, m, and how fast they may grow with distance."""

    faces: float = 0.010
    edges: float = 0.003
    rounds: float = 0.004
    piston: float = 0.003
    growth: float = 0.25

    def times(self, scale: float) -> Sizes:
        return Sizes(
            scale * self.faces,
            scale * self.edges,
            scale * self.rounds,
            min(scale, 1.0) * self.piston,
            self.growth,
        )


def quarter_mesh(box: MeshedBox, sizes: Sizes) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Vertices (vertex, 3), triangles (triangle, 3) turned outward, which of them move."""
    gmsh.initialize()
    gmsh.option.setNumber("General.Terminal", 0)
    for key in ("SizeExtendFromBoundary", "SizeFromPoints", "SizeFromCurvature"):
        gmsh.option.setNumber(f"Mesh.Mesh{key}", 0)
    gmsh.option.setNumber("Mesh.Algorithm", 6)
    solid, half_disc = _solid(box), _half_disc(box)
    gmsh.model.occ.fragment([(3, solid)], [(2, half_disc)])
    gmsh.model.occ.synchronize()
    gmsh.model.mesh.setSizeCallback(
        lambda _dim, _tag, x, y, z, _size: _size_at(box, sizes, np.array((x, y, z)))
    )
    gmsh.model.mesh.generate(2)
    tags, flat, _ = gmsh.model.mesh.getNodes()
    index = np.zeros(int(tags.max()) + 1, dtype=np.int64)
    index[tags.astype(np.int64)] = np.arange(len(tags))
    points = flat.reshape(-1, 3)
    triangles = np.concatenate(
        [
            index[gmsh.model.mesh.getElementsByType(2, tag)[1].astype(np.int64)].reshape(-1, 3)
            for _, tag in gmsh.model.getEntities(2)
        ]
    )
    gmsh.finalize()
    on_planes = np.abs(points[triangles][:, :, :2]).max(axis=1).min(axis=1) < 1e-9
    triangles = triangles[~on_planes]
    used = np.unique(triangles)
    renumbered = np.zeros(len(points), dtype=np.int64)
    renumbered[used] = np.arange(len(used))
    points, triangles = points[used].copy(), renumbered[triangles]
    points[:, :2][np.abs(points[:, :2]) < 1e-9] = 0.0
    triangles = _turned_outward(box, points, triangles)
    middle = points[triangles].mean(axis=1)
    from_piston = np.hypot(middle[:, 0], middle[:, 1] - box.piston_y)
    moving = (np.abs(middle[:, 2]) < 1e-9) & (from_piston < box.piston_radius)
    return points, triangles, moving


def polygon_radius(box: MeshedBox) -> float:
    """Of the regular polygon that has the piston's area."""
    turn = 2 * math.pi / PISTON_SIDES
    return box.piston_radius * math.sqrt(turn / math.sin(turn))


def _solid(box: MeshedBox) -> int:
    """A quarter box; its rounded front edges are those of two prisms, which meet in a mitre."""
    make, r = gmsh.model.occ, box.round_radius
    w, h, d = box.width / 2, box.height / 2, box.depth
    if not r:
        return make.addBox(0, 0, -d, w, h, d)

    def prism(across: float, along: float, vertical: bool) -> int:
        def point(t: float, z: float) -> int:
            return make.addPoint(*((t, 0, z) if vertical else (0, t, z)))

        a, b, c = point(0, 0), point(across - r, 0), point(across, -r)
        e, f, centre = point(across, -d), point(0, -d), point(across - r, -r)
        sides = [
            make.addLine(a, b),
            make.addCircleArc(b, centre, c),
            make.addLine(c, e),
            make.addLine(e, f),
            make.addLine(f, a),
        ]
        face = make.addPlaneSurface([make.addCurveLoop(sides)])
        way = (0, along, 0) if vertical else (along, 0, 0)
        return next(tag for dim, tag in make.extrude([(2, face)], *way) if dim == 3)

    upright, level = prism(w, h, True), prism(h, w, False)
    common, _ = make.intersect([(3, upright)], [(3, level)])
    make.remove([(dim, tag) for dim, tag in make.getEntities(2)], recursive=True)
    return common[0][1]


def _half_disc(box: MeshedBox) -> int:
    make, radius = gmsh.model.occ, polygon_radius(box)
    angles = np.linspace(-math.pi / 2, math.pi / 2, PISTON_SIDES // 2 + 1)
    corners = [
        make.addPoint(radius * math.cos(t) if abs(t) < 1.57 else 0.0,
                      box.piston_y + radius * math.sin(t), 0)
        for t in angles
    ]  # fmt: skip
    lines = [make.addLine(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True)]
    return make.addPlaneSurface([make.addCurveLoop(lines)])


def _size_at(box: MeshedBox, sizes: Sizes, at: np.ndarray) -> float:
    w, h, d, r = box.width / 2, box.height / 2, box.depth, box.round_radius
    corner = np.array((w, h, -d))
    edges = [((0, h, -d), corner), ((w, 0, -d), corner), (corner, (w, h, -r))]
    if r:
        edges += [((w, h, -r), (w - r, h - r, 0))]
    else:
        edges += [((0, h, 0), (w, h, 0)), ((w, 0, 0), (w, h, 0))]
    to_edge = min(_to_segment(at, np.array(a), np.array(b)) for a, b in edges)
    to_piston = max(math.dist(at, (0, box.piston_y, 0)) - box.piston_radius, 0.0)
    size = min(sizes.faces, sizes.edges + sizes.growth * to_edge,
               sizes.piston + sizes.growth * to_piston)  # fmt: skip
    if r:
        aside = min(w - r - at[0], h - r - at[1])
        to_round = math.hypot(max(aside, 0.0), max(-r - at[2], 0.0))
        size = min(size, sizes.rounds + sizes.growth * to_round)
    return size


def _to_segment(at: np.ndarray, start: np.ndarray, end: np.ndarray) -> float:
    way = end - start
    share = min(max(float((at - start) @ way) / float(way @ way), 0.0), 1.0)
    return math.dist(at, start + share * way)


def _turned_outward(box: MeshedBox, points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    a, b, c = (points[triangles[:, i]] for i in range(3))
    out = (a + b + c) / 3 - np.array((0, 0, -box.depth / 2))
    inward = np.einsum("ij,ij->i", np.cross(b - a, c - a), out) < 0
    turned = triangles.copy()
    turned[inward] = turned[inward][:, ::-1]
    return turned
