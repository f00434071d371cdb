"""Receivers as an edge sees them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Body, on_face
from acoustics.cabinet.body import PLANE_TOLERANCE
from acoustics.field.grid import EdgeTable

THIN = 2.0 * np.pi
"""Exterior angle of the edge of a plate without thickness."""


class View(NamedTuple):
    """Receivers as one edge sees them, arriving along its face on `side`.

    Only receivers to which the edge sends: `index` into all receivers; `z`, `rho` about the edge
    and `theta` from the face; `share` is one half where the leg grazes the face's plane beyond
    the face, else one. A receiver in the plane of a thin plate beyond it is there twice, as the
    limit from either side.
    """

    index: np.ndarray  # type: ignore[assignment]  # hides tuple.index
    z: np.ndarray
    rho: np.ndarray
    theta: np.ndarray
    share: np.ndarray


def view_from_edge(
    body: Body, edges: EdgeTable, edge: int, side: int, receivers: np.ndarray
) -> View:
    """See `receivers` (receiver, 3) from an edge, angles counted from its face on `side`."""
    offset = receivers - edges.origin[edge]
    z = offset @ edges.along[edge]
    theta, rho = _angle(edges, edge, side, offset)
    far, _ = _angle(edges, edge, 1 - side, offset)
    wedge = edges.wedge[edge]
    # In the plane of the other face the angle is exact when counted from there.
    theta = np.where(far == 0.0, wedge, theta)
    heights = body.heights_above_faces(receivers)
    grazing = np.zeros(receivers.shape[0], dtype=bool)
    for this_side in (0, 1):
        face = edges.faces[edge, this_side]
        angle = theta if this_side == side else wedge - theta
        others = np.delete(heights, face, axis=1)
        grazing |= (angle == 0.0) & (others.max(axis=1) > 0.0)
    index = np.flatnonzero(theta <= wedge)
    if wedge == THIN:
        # In the plane of a plate, across it: over its front (θ = 0) and round its back (2π). On
        # the plate itself a receiver is taken to be on its front, the body's first face.
        across = (far == 0.0) & (theta == wedge)
        front = across & on_face(body, 0, receivers)
        across &= ~front
        theta[front] = 0.0 if edges.faces[edge, side] == 0 else wedge
        theta = np.concatenate([theta[index], np.zeros(np.count_nonzero(across))])
        index = np.concatenate([index, np.flatnonzero(across)])
        grazing |= across
    else:
        theta = theta[index]
    return View(
        index=index,
        z=z[index],
        rho=np.maximum(rho[index], 1e-12),
        theta=theta,
        share=np.where(grazing[index], 0.5, 1.0),
    )


def _angle(
    edges: EdgeTable, edge: int, side: int, offset: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Angle from a face about an edge, in [0, 2π), snapped in the face's plane; and distance."""
    inward = offset @ edges.tangent[edge, side]
    upward = offset @ edges.normal[edge, side]
    # The same snap as for the direct sound: then arctan2 is exactly 0 or π in the face's plane.
    upward[np.abs(upward) < PLANE_TOLERANCE] = 0.0
    angle = np.arctan2(upward, inward)
    return np.where(angle < 0.0, angle + 2.0 * np.pi, angle), np.hypot(inward, upward)
