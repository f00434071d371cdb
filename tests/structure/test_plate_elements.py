"""Plates with holes, and clamped orthotropic ones, against conforming finite elements.

scikit-fem's Argyris triangle (quintic, slopes continuous) is an independent method: only the
material is the same. Its frequencies are upper bounds, too, of a plate whose hole is a polygon.
"""

from __future__ import annotations

import numpy as np
import pytest
import scipy.sparse.linalg
import skfem
from skfem.helpers import dd

from acoustics.structure.plate_bending import Plate
from acoustics.structure.plate_matrices import Hole
from support.plates import UNIT, angular, plate_problem, rectangle


def ring_mesh(a, b, centre, radius, rings, sectors):
    """A rectangle with a round hole in triangles: rays from the hole to the outline."""
    corners = rectangle(a, b) - centre
    even = np.linspace(0, 2 * np.pi, sectors, endpoint=False)
    # Rays into the corners replace the even ones next to them.
    into = np.arctan2(corners[:, 1], corners[:, 0]) % (2 * np.pi)
    apart = np.abs((even[:, None] - into + np.pi) % (2 * np.pi) - np.pi).min(axis=1)
    angle = np.sort(np.concatenate([even[apart > np.pi / sectors], into]))
    ray = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    with np.errstate(divide="ignore"):
        reach = np.where(ray > 0, np.array([a, b]) - centre, -np.array(centre)) / ray
    outer = ray * np.abs(reach).min(axis=1)[:, None]
    share = np.linspace(0, 1, rings + 1)[:, None, None] ** 1.3
    points = (centre + radius * ray + share * (outer - radius * ray)).reshape(-1, 2)
    i, j = (k.ravel() for k in np.indices((rings, len(angle))))
    p, q = i * len(angle) + j, i * len(angle) + (j + 1) % len(angle)
    n = len(angle)
    triangles = np.concatenate([np.stack([p, q, p + n]), np.stack([q, q + n, p + n])], axis=1)
    return skfem.MeshTri(points.T.copy(), triangles)


def element_frequencies(mesh, a, b, plate, *, clamped, count):
    """Angular frequencies of a plate on a mesh of a rectangle, edges along the axes held."""
    basis = skfem.Basis(mesh, skfem.ElementTriArgyris(), intorder=8)

    @skfem.BilinearForm
    def stiffness(u, v, _):
        p, q = dd(u), dd(v)
        return (
            plate.x * p[0, 0] * q[0, 0]
            + plate.y * p[1, 1] * q[1, 1]
            + plate.coupling * (p[0, 0] * q[1, 1] + p[1, 1] * q[0, 0])
            + 4 * plate.twist * p[0, 1] * q[0, 1]
        )

    @skfem.BilinearForm
    def mass(u, v, _):
        return plate.mass * u * v

    fixed = []
    for axis, size in ((0, a), (1, b)):
        facets = mesh.facets_satisfying(
            lambda x, axis=axis, size=size: np.minimum(x[axis], size - x[axis]) < 1e-9,
            boundaries_only=True,
        )
        across, along = "xy"[axis], "yx"[axis]
        names = ["u", f"u_{along}", f"u_{along}{along}"]
        names += [f"u_{across}", "u_xy", "u_n"] if clamped else []
        fixed.append(basis.get_dofs(facets).all(names))
    free = basis.complement_dofs(np.unique(np.concatenate(fixed)))
    K, M = (form.assemble(basis)[free][:, free] for form in (stiffness, mass))
    start = np.ones(K.shape[0])
    squared = scipy.sparse.linalg.eigsh(K, count, M=M, sigma=0, return_eigenvectors=False, v0=start)
    return np.sqrt(np.sort(squared))


@pytest.mark.slow
@pytest.mark.parametrize(
    ("radius", "within"),
    # Polynomials go round a small hole with difficulty: its edge is bent sharply in a small place.
    [(0.05, 0.02), (0.13, 0.016), (0.2, 0.003)],
)
@pytest.mark.parametrize("clamped", [False, True])
def test_a_plate_with_a_hole(radius, within, clamped):
    a, b, centre = 1.0, 0.5, (0.42, 0.25)
    exact = element_frequencies(
        ring_mesh(a, b, np.array(centre), radius, 7, 40), a, b, UNIT, clamped=clamped, count=4
    )
    _, matrices = plate_problem(
        rectangle(a, b), UNIT, clamped=clamped, counts=(18, 14), holes=(Hole(centre, radius),)
    )
    found = angular(matrices, 4)
    np.testing.assert_allclose(found, exact, rtol=within)
    assert (found > exact * (1 - 5e-4)).all()  # from above, but for the elements' own error


@pytest.mark.slow
def test_a_clamped_orthotropic_plate():
    plate = Plate(4.0, 1.5, 0.2, 0.4, 1.0)
    a, b = 0.5, 0.35
    mesh = skfem.MeshTri.init_tensor(np.linspace(0, a, 13), np.linspace(0, b, 9))
    exact = element_frequencies(mesh, a, b, plate, clamped=True, count=5)
    _, matrices = plate_problem(rectangle(a, b), plate, clamped=True)
    np.testing.assert_allclose(angular(matrices, 5), exact, rtol=2e-5)
