"""Stock bempp-cl on a rigid box with a piston: what the solver is measured against.

Burton & Miller (Proc. R. Soc. A 323, 1971, 201), direct, Galerkin, with the time factor exp(−iωt):

    (½ − K + ηW) u = −V q − η(½ + K′) q,   η = i/k

u the pressure on the surface, continuous and linear; q its normal derivative, constant on the
piston and nought elsewhere. It has no irregular frequencies.
"""

from __future__ import annotations

import bempp_cl.api as bempp
import numpy as np
from box_mesh import Mesh
from scipy.linalg import solve

SPEED = 343.0
DENSITY = 1.2


class Surface:
    """The mesh and its function spaces, made once for all frequencies."""

    def __init__(self, mesh: Mesh) -> None:
        grid = bempp.Grid(
            mesh.points.T, mesh.triangles.T.astype("uint32"), mesh.moving.astype("uint32")
        )
        self.elements = len(mesh.triangles)
        self.whole = bempp.function_space(grid, "P", 1)
        self.piston = bempp.function_space(grid, "DP", 0, segments=[1])
        corners = mesh.points[mesh.triangles[mesh.moving]]
        sides = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        self.area = float(np.linalg.norm(sides, axis=1).sum() / 2)


def boundary_field(
    surface: Surface, receivers: np.ndarray, frequency: float, order: int
) -> np.ndarray:
    """Pressure for 1 m³/s with the factor exp(+jωt), complex (receiver,), Pa.

    Args:
        surface: the box.
        receivers: (receiver, 3), m.
        frequency: Hz.
        order: of the Gauss rules on triangles that do not touch.
    """
    bempp.GLOBAL_PARAMETERS.quadrature.regular = order
    k = 2.0 * np.pi * frequency / SPEED
    eta, how = 1j / k, {"device_interface": "numba"}
    whole, piston = surface.whole, surface.piston
    helmholtz, sparse = bempp.operators.boundary.helmholtz, bempp.operators.boundary.sparse
    matrix = eta * helmholtz.hypersingular(whole, whole, whole, k, **how).weak_form().A
    matrix -= helmholtz.double_layer(whole, whole, whole, k, **how).weak_form().A
    matrix += 0.5 * sparse.identity(whole, whole, whole).weak_form().to_sparse()
    slope = 2j * np.pi * frequency * DENSITY / surface.area
    moves = np.full(piston.global_dof_count, slope)
    single = helmholtz.single_layer(piston, whole, whole, k, **how).weak_form() @ moves
    adjoint = helmholtz.adjoint_double_layer(piston, whole, whole, k, **how).weak_form() @ moves
    mass = sparse.identity(piston, whole, whole).weak_form() @ moves
    side = -single - eta * (0.5 * mass + adjoint)
    matrix, side = np.asarray(matrix), side.astype(matrix.dtype)
    # Elimination: assembly takes nearly all the time, and this needs no tolerance.
    u = solve(matrix, side, overwrite_a=True, check_finite=False)
    pressure = bempp.GridFunction(whole, coefficients=u)
    velocity = bempp.GridFunction(piston, coefficients=moves)
    potential = bempp.operators.potential.helmholtz
    double = potential.double_layer(whole, receivers.T, k, **how) @ pressure
    single_at = potential.single_layer(piston, receivers.T, k, **how) @ velocity
    return np.conj((double - single_at).ravel())
