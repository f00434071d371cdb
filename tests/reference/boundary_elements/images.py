"""A surface from its quarter: three mirror images, vertices on the planes shared."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

MIRRORS = ((1, 1), (-1, 1), (1, -1), (-1, -1))


@dataclass(frozen=True)
class Surface:
    """The whole surface, quarter by quarter in the order of MIRRORS.

    Attributes:
        points: vertices, shape (vertex, 3), m; those of the first quarter come first.
        triangles: vertices of each, outward, shape (4 · quarter's triangles, 3).
        folded: the first quarter's vertex that each triangle's vertices are images of, alike.
        origin: the same for each vertex, shape (vertex,).
        mirrored_y: which vertices lie in the lower half's interior, shape (vertex,).
        moving: which triangles are a piston or its image, shape (triangle,).
        lower: which triangles are images in y, shape (triangle,).
    """

    points: np.ndarray
    triangles: np.ndarray
    folded: np.ndarray
    origin: np.ndarray
    mirrored_y: np.ndarray
    moving: np.ndarray
    lower: np.ndarray

    @property
    def quarter_triangles(self) -> int:
        return len(self.triangles) // 4

    @property
    def quarter_points(self) -> int:
        return int(self.origin.max()) + 1


def whole_surface(points: np.ndarray, triangles: np.ndarray, moving: np.ndarray) -> Surface:
    count = len(points)
    all_points, origin, mirrored = [points], [np.arange(count)], [np.zeros(count, bool)]
    all_triangles, folded = [], []
    taken, total = {}, count
    for sx, sy in MIRRORS:
        own_x = (points[:, 0] > 0) & (sx < 0)
        own_y = (points[:, 1] > 0) & (sy < 0)
        number = np.empty(count, dtype=np.int64)
        # A vertex on a plane is its own image in it.
        for flip_x, flip_y in {(a, b) for a in (False, sx < 0) for b in (False, sy < 0)}:
            chosen = np.flatnonzero((own_x == flip_x) & (own_y == flip_y))
            if not (flip_x or flip_y):
                number[chosen] = chosen
                continue
            for vertex in chosen:
                key = (vertex, flip_x, flip_y)
                if key not in taken:
                    taken[key] = total
                    total += 1
                    all_points.append(
                        points[vertex : vertex + 1] * (-1 if flip_x else 1, -1 if flip_y else 1, 1)
                    )
                    origin.append(np.array([vertex]))
                    mirrored.append(np.array([flip_y]))
                number[vertex] = taken[key]
        order = (0, 1, 2) if sx * sy > 0 else (0, 2, 1)
        all_triangles.append(number[triangles][:, order])
        folded.append(triangles[:, order])
    return Surface(
        np.concatenate(all_points),
        np.concatenate(all_triangles),
        np.concatenate(folded),
        np.concatenate(origin),
        np.concatenate(mirrored),
        np.tile(moving, 4),
        np.repeat([sy < 0 for _, sy in MIRRORS], len(triangles)),
    )
