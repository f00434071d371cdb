"""Receivers just behind the plane of a face, and what its edges would send them along it.

What passes along a face and on beyond another of its edges is known twice: in front of the face's
plane as the last leg of the edge it comes from, behind it as what this edge sends in its basis of
directions. The two differ by what a tier leaves undone: the sweeps end, corners are seen by a
coarser rule than that of a last leg, the basis is short. So in a narrow band behind the plane the
first gives way to the second, and no step is left in the plane itself.
"""

from __future__ import annotations

import numpy as np

from acoustics.cabinet import Body
from acoustics.cabinet.body import PLANE_TOLERANCE
from acoustics.field import kernels
from acoustics.field.grid import EdgeTable, Grid, edges_round
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution
from acoustics.field.views import View
from acoustics.field.waves import Waves

BAND = 0.02
"""rad: how far behind the plane of a face it reaches"""


def behind_faces(body: Body, edges: EdgeTable, receivers: np.ndarray) -> list[np.ndarray]:
    """Which receivers (receiver, 3) may be in the band behind each face, beyond its edges."""
    depths = -body.heights_above_faces(receivers)
    reach = np.linalg.norm(receivers - body.points[0], axis=1) + np.ptp(body.points, axis=0).sum()
    found = []
    for face, depth in enumerate(depths.T):
        index = np.flatnonzero((depth >= PLANE_TOLERANCE) & (depth < BAND * reach))
        beyond = np.zeros(index.size, dtype=bool)
        for edge in edges_round(edges, face) if index.size else ():
            tangent = edges.tangent[edge, int(edges.faces[edge, 1] == face)]
            beyond |= (receivers[index] - edges.origin[edge]) @ tangent < 0.0
        found.append(index[beyond])
    return found


def view_behind(
    edges: EdgeTable,
    edge: int,
    side: int,
    receivers: np.ndarray,
    view: View,
    behind: list[np.ndarray],
) -> View:
    """See receivers in the band behind the faces of an edge as if they were in the plane.

    Their share falls from one to nothing across the band. Of receivers in the plane beyond the
    face, which the edge sees by half, it is the other half.

    Args:
        edges: the body's edges.
        edge: one of them.
        side: on which the face lies from which angles are counted.
        receivers: (receiver, 3), m.
        view: what the edge sees.
        behind: see `behind_faces`.
    """
    grazing = view.share < 1.0
    parts = [View(*(array[grazing] for array in view))] if grazing.any() else []
    for face in (0, 1):
        near = behind[edges.faces[edge, face]]
        if near.size == 0:
            continue
        offset = receivers[near] - edges.origin[edge]
        inward = offset @ edges.tangent[edge, face]
        height = offset @ edges.normal[edge, face]
        share = np.maximum(1.0 - (np.arctan2(-height, inward) / BAND) ** 2, 0.0) ** 2
        within = share > 0.0
        parts.append(
            View(
                index=near[within],
                z=offset[within] @ edges.along[edge],
                rho=np.hypot(inward, height)[within],
                theta=np.full(within.sum(), 0.0 if face == side else edges.wedge[edge]),
                share=share[within],
            )
        )
    return join_views(*parts) if parts else NOTHING


NOTHING = View(np.empty(0, dtype=np.int64), *(np.empty(0) for _ in range(4)))


def join_views(*views: View) -> View:
    """Views from one edge, one after the other."""
    return View(*(np.concatenate(arrays) for arrays in zip(*views, strict=True)))


def taken_back(grid: Grid, nodes: slice, view: View, first: int, resolution: Resolution) -> Waves:
    """What the nodes of an edge send along its face, taken back, as waves.

    Args:
        grid: the edge points.
        nodes: of the edge.
        view: of the last leg, angles counted from this face.
        first: where those of `view_behind` begin.
        resolution: fineness of the rules.
    """
    which = first + np.flatnonzero(view.theta[first:] == 0.0)
    ahead = view.z[which] - grid.node_z[nodes, None]
    path = np.hypot(ahead, view.rho[which])
    nu = grid.edges.nu[grid.node_edge[nodes.start]]
    # Twice: with its mirror image in the face, of which no receiver beyond it is told apart.
    amount = -2.0 * view.share[which] * grid.node_weight[nodes, None] / path
    weights = amount[..., None] * basis_shares(ahead, view.rho[which], nu, resolution.directions)
    return Waves(which, path, weights.astype(resolution.real))


def basis_shares(ahead: np.ndarray, rho: np.ndarray, nu: float, directions: int) -> np.ndarray:
    """How much each direction of the basis counts toward places, (…, direction).

    Args:
        ahead: m along the edge from its points to the places' feet (…,).
        rho: m from its line, likewise.
        nu: of the edge.
        directions: how many the basis has.
    """
    basis = gauss_rule(directions)
    turn = np.exp(nu * np.arcsinh(ahead / rho))
    if turn.size == 0:
        return np.empty((*turn.shape, directions))
    shares = np.empty((turn.size, directions))
    kernels.interpolation(((turn - 1.0) / (turn + 1.0)).ravel(), basis.x, basis.bary, shares)
    fall = 4.0 * turn / (1.0 + turn) ** 2
    answer: np.ndarray = shares.reshape(*turn.shape, -1) * fall[..., None] / (1.0 - basis.x**2)
    return answer
