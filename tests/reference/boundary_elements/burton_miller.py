"""Dense Galerkin matrices of the Burton-Miller equation on a surface with two mirror planes.

(½ − K + ηW) u = −V q − η(½ + K') q with η = i/k, time factor exp(−iωt), u continuous and linear,
q constant on each triangle of the pistons (Burton & Miller, Proc. R. Soc. A 323, 1971, 201).
bempp-cl gives the integrals over triangles that touch, the mass matrices and the right-hand
side; the pairs that do not touch are summed here, because they take nearly all the time.
The source is split into a half even and a half odd in y, so that only a quarter's unknowns are
solved for, twice.
"""

from __future__ import annotations

import math

import bempp_cl.api as bempp
import numba
import numpy as np
from bempp_cl.api.integration.triangle_gauss import rule
from images import Surface
from scipy.sparse import csr_matrix

FAR_ORDER, NEAR_ORDER, CLOSE_ORDER = 2, 6, 10
NEAR, CLOSE = 4.0, 1.5
"""Distance of the middles in diameters of the larger triangle, below which a rule is taken."""

SINGULAR_ORDER, SIDE_ORDER = 4, 6
CHUNK = 512
THREADS = 2


class Spaces:
    """bempp-cl's view of the surface: the whole, the quarter that tests, the pistons."""

    def __init__(self, surface: Surface) -> None:
        quarter = np.arange(len(surface.triangles)) < surface.quarter_triangles
        mark = np.select(
            [
                quarter & surface.moving,
                surface.moving & ~surface.lower,
                surface.moving,
                quarter,
            ],
            [1, 2, 3, 4],
            5,
        ).astype("uint32")
        self.grid = bempp.Grid(surface.points.T, surface.triangles.T.astype("uint32"), mark)
        self.whole = bempp.function_space(self.grid, "P", 1)
        self.quarter = bempp.function_space(
            self.grid, "P", 1, segments=[1, 4],
            include_boundary_dofs=True, truncate_at_segment_edge=True,
        )  # fmt: skip
        self.upper = bempp.function_space(self.grid, "DP", 0, segments=[1, 2])
        self.lower = bempp.function_space(self.grid, "DP", 0, segments=[3])
        self.whole_vertex = _vertex_of(self.whole, surface)
        self.quarter_vertex = _vertex_of(self.quarter, surface)


def _vertex_of(space: object, surface: Surface) -> np.ndarray:
    vertex = np.full(space.global_dof_count, -1)
    on = np.flatnonzero(space.support)
    vertex[space.local2global[on]] = surface.triangles[on]
    return vertex


def matrices(surface: Surface, spaces: Spaces, k: float) -> tuple[np.ndarray, np.ndarray]:
    """The even and the odd matrix on the quarter's vertices."""
    upper, lower = _not_touching(surface, k)
    sign = np.where(surface.mirrored_y[spaces.whole_vertex], -1.0, 1.0)
    touching = _touching(spaces, k)
    for target, part in ((upper, sign > 0), (lower, sign < 0)):
        entries = touching[:, np.flatnonzero(part)].tocoo()
        rows = spaces.quarter_vertex[entries.row]
        columns = surface.origin[spaces.whole_vertex[np.flatnonzero(part)[entries.col]]]
        np.add.at(target, (rows, columns), entries.data)
    lower_copy = lower.copy()
    lower *= -1
    lower += upper
    upper += lower_copy
    return upper, lower


def _touching(spaces: Spaces, k: float) -> csr_matrix:
    bempp.GLOBAL_PARAMETERS.quadrature.singular = SINGULAR_ORDER
    operators = bempp.operators.boundary
    given = (spaces.whole, spaces.whole, spaces.quarter)
    double = operators.helmholtz.double_layer(*given, k, assembler="only_singular_part")
    hyper = operators.helmholtz.hypersingular(*given, k, assembler="only_singular_part")
    mass = operators.sparse.identity(*given)
    return csr_matrix(
        0.5 * mass.weak_form().to_sparse()
        - double.weak_form().to_sparse()
        + 1j / k * hyper.weak_form().to_sparse()
    )


def right_sides(surface: Surface, spaces: Spaces, k: float) -> tuple[np.ndarray, np.ndarray]:
    """For q = 1 on the upper piston and on its image below it."""
    bempp.GLOBAL_PARAMETERS.quadrature.singular = SINGULAR_ORDER
    bempp.GLOBAL_PARAMETERS.quadrature.regular = SIDE_ORDER
    operators, sides = bempp.operators.boundary, []
    for piston in (spaces.upper, spaces.lower):
        given = (piston, spaces.whole, spaces.quarter)
        one = np.ones(piston.global_dof_count)
        single = operators.helmholtz.single_layer(*given, k).weak_form() @ one
        adjoint = operators.helmholtz.adjoint_double_layer(*given, k).weak_form() @ one
        mass = operators.sparse.identity(*given).weak_form() @ one
        side = np.zeros(surface.quarter_points, dtype=complex)
        side[spaces.quarter_vertex] = -single - 1j / k * (0.5 * mass + adjoint)
        sides.append(side)
    return sides[0], sides[1]


def _not_touching(surface: Surface, k: float) -> tuple[np.ndarray, np.ndarray]:
    corners = surface.points[surface.triangles]
    edges = np.roll(corners, -2, axis=1) - np.roll(corners, -1, axis=1)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double_area = np.linalg.norm(normal, axis=1)
    normal /= double_area[:, None]
    curls = edges / double_area[:, None, None]
    diameter = np.linalg.norm(edges, axis=2).max(axis=1)
    rules = []
    for order in (FAR_ORDER, NEAR_ORDER, CLOSE_ORDER):
        points, weights = rule(order)
        rules += [np.vstack((1 - points.sum(axis=0), points)).T.copy(), weights]
    count = surface.quarter_points
    parts = np.zeros((THREADS, 2, count, count), dtype=complex)
    _sum_pairs(
        parts, k, corners, normal, curls, double_area, diameter, surface.triangles,
        surface.folded, surface.lower.astype(np.int64), surface.quarter_triangles, *rules,
    )  # fmt: skip
    for other in range(1, THREADS):
        parts[0] += parts[other]
    return parts[0, 0], parts[0, 1]


TWO_PI = 2 * math.pi


@numba.njit(fastmath=True, inline="always")
def _turned(phase):
    """Cosine and sine to 1e-11, in plain arithmetic so that loops become vector code."""
    turns = phase / TWO_PI
    half = (turns - math.floor(turns + 0.5)) * math.pi
    h2 = half * half
    s = 1 / 6227020800 - h2 / 1307674368000
    s = 1 / 362880 + h2 * (-1 / 39916800 + h2 * s)
    s = half * (1 + h2 * (-1 / 6 + h2 * (1 / 120 + h2 * (-1 / 5040 + h2 * s))))
    c = 1 / 479001600 + h2 * (-1 / 87178291200 + h2 / 20922789888000)
    c = 1 / 40320 + h2 * (-1 / 3628800 + h2 * c)
    c = 1 + h2 * (-1 / 2 + h2 * (1 / 24 + h2 * (-1 / 720 + h2 * c)))
    return 1 - 2 * s * s, 2 * s * c


@numba.njit(fastmath=True, error_model="numpy")
def _fill(real, imaginary, single_re, single_im, x, n, weight, k, sx, sy, sz, nx, ny, nz, w):
    """Kernel values from one test point to many source points."""
    for m in range(len(sx)):
        dx, dy, dz = sx[m] - x[0], sy[m] - x[1], sz[m] - x[2]
        square = dx * dx + dy * dy + dz * dz
        r = math.sqrt(square)
        cosine, sine = _turned(k * r)
        scale = weight * w[m] / (4 * math.pi * r)
        gr, gi = scale * cosine, scale * sine
        beta = (dx * nx[m] + dy * ny[m] + dz * nz[m]) / square
        gamma = k * (r * beta + n[0] * nx[m] + n[1] * ny[m] + n[2] * nz[m])
        real[m] = gr * beta + gi * gamma
        imaginary[m] = gi * beta - gr * gamma
        single_re[m] += gr
        single_im[m] += gi


@numba.njit
def _pair(k, test, test_n, test_c, test_area, source, source_n, source_c, source_area, bary, w):
    """One pair of triangles by a product rule."""
    local = np.zeros((3, 3), dtype=np.complex128)
    single = 0j
    facing = test_n[0] * source_n[0] + test_n[1] * source_n[1] + test_n[2] * source_n[2]
    for p in range(len(w)):
        x = bary[p, 0] * test[0] + bary[p, 1] * test[1] + bary[p, 2] * test[2]
        inner = np.zeros(3, dtype=np.complex128)
        for q in range(len(w)):
            dx = bary[q, 0] * source[0, 0] + bary[q, 1] * source[1, 0] + bary[q, 2] * source[2, 0]
            dy = bary[q, 0] * source[0, 1] + bary[q, 1] * source[1, 1] + bary[q, 2] * source[2, 1]
            dz = bary[q, 0] * source[0, 2] + bary[q, 1] * source[1, 2] + bary[q, 2] * source[2, 2]
            dx, dy, dz = dx - x[0], dy - x[1], dz - x[2]
            square = dx * dx + dy * dy + dz * dz
            r = math.sqrt(square)
            g = w[p] * w[q] * test_area * source_area / (4 * math.pi * r)
            g = g * complex(math.cos(k * r), math.sin(k * r))
            beta = (dx * source_n[0] + dy * source_n[1] + dz * source_n[2]) / square
            value = g * complex(beta, -k * (r * beta + facing))
            single += g
            for j in range(3):
                inner[j] += value * bary[q, j]
        for i in range(3):
            for j in range(3):
                local[i, j] += bary[p, i] * inner[j]
    for i in range(3):
        for j in range(3):
            dot = 0.0
            for a in range(3):
                dot += test_c[i, a] * source_c[j, a]
            local[i, j] += 1j / k * single * dot
    return local


@numba.njit(parallel=True, error_model="numpy")
def _sum_pairs(
    parts, k, corners, normal, curls, area, diameter, triangles, folded, lower, tested,
    far, far_w, near, near_w, close, close_w,
):  # fmt: skip
    count = len(corners)
    sx, sy, sz = np.empty(3 * count), np.empty(3 * count), np.empty(3 * count)
    nx, ny, nz, w = (
        np.empty(3 * count), np.empty(3 * count), np.empty(3 * count), np.empty(3 * count),
    )  # fmt: skip
    middle = np.empty((count, 3))
    own = np.array([np.argmax(far[q]) for q in range(3)])
    for s in range(count):
        middle[s] = (corners[s, 0] + corners[s, 1] + corners[s, 2]) / 3
        for q in range(3):
            at = far[q, 0] * corners[s, 0] + far[q, 1] * corners[s, 1] + far[q, 2] * corners[s, 2]
            m = 3 * s + q
            sx[m], sy[m], sz[m] = at
            nx[m], ny[m], nz[m] = normal[s]
            w[m] = far_w[q] * area[s]
    for thread in numba.prange(parts.shape[0]):
        points = parts.shape[2]
        rows = np.zeros((2, 3, points), dtype=np.complex128)
        far_sums, shared = np.zeros((2 * points, 12)), np.empty(6)
        re, im = np.empty((3, 3 * CHUNK)), np.empty((3, 3 * CHUNK))
        sre, sim = np.empty(3 * CHUNK), np.empty(3 * CHUNK)
        for t in range(thread, tested, parts.shape[0]):
            rows[:] = 0
            far_sums[:] = 0
            for start in range(0, count, CHUNK):
                stop = min(start + CHUNK, count)
                a, b = 3 * start, 3 * stop
                sre[:] = 0
                sim[:] = 0
                for p in range(3):
                    x = far[p, 0] * corners[t, 0] + far[p, 1] * corners[t, 1]
                    x = x + far[p, 2] * corners[t, 2]
                    _fill(
                        re[p, : b - a], im[p, : b - a], sre, sim, x, normal[t],
                        far_w[p] * area[t], k, sx[a:b], sy[a:b], sz[a:b],
                        nx[a:b], ny[a:b], nz[a:b], w[a:b],
                    )  # fmt: skip
                for s in range(start, stop):
                    reach = max(diameter[t], diameter[s])
                    dx = middle[t, 0] - middle[s, 0]
                    dy = middle[t, 1] - middle[s, 1]
                    dz = middle[t, 2] - middle[s, 2]
                    distance = math.sqrt(dx * dx + dy * dy + dz * dz)
                    row = rows[lower[s]]
                    if distance < NEAR * reach:
                        touch = False
                        for i in range(3):
                            for j in range(3):
                                touch = touch or triangles[t, i] == triangles[s, j]
                        if touch:
                            continue
                        if distance < CLOSE * reach:
                            local = _pair(
                                k, corners[t], normal[t], curls[t], area[t],
                                corners[s], normal[s], curls[s], area[s], close, close_w,
                            )  # fmt: skip
                        else:
                            local = _pair(
                                k, corners[t], normal[t], curls[t], area[t],
                                corners[s], normal[s], curls[s], area[s], near, near_w,
                            )  # fmt: skip
                        for i in range(3):
                            for j in range(3):
                                row[i, folded[s, j]] += local[i, j]
                        continue
                    o = 3 * (s - start)
                    # Times i/k, the factor of the hypersingular part.
                    single_re = -(sim[o] + sim[o + 1] + sim[o + 2]) / k
                    single_im = (sre[o] + sre[o + 1] + sre[o + 2]) / k
                    # The far rule's points are a sixth of each corner and half of one more.
                    for p in range(3):
                        shared[p] = (re[p, o] + re[p, o + 1] + re[p, o + 2]) / 6
                        shared[3 + p] = (im[p, o] + im[p, o + 1] + im[p, o + 2]) / 6
                    for q in range(3):
                        sums = far_sums[lower[s] * points + folded[s, own[q]]]
                        for p in range(3):
                            curl = curls[s, own[q], p]
                            sums[p] += shared[p] + 0.5 * re[p, o + q]
                            sums[3 + p] += shared[3 + p] + 0.5 * im[p, o + q]
                            sums[6 + p] += single_re * curl
                            sums[9 + p] += single_im * curl
            for i in range(3):
                at = folded[t, i]
                for half in range(2):
                    target = parts[thread, half, at]
                    for j in range(points):
                        sums = far_sums[half * points + j]
                        value = rows[half, i, j]
                        for p in range(3):
                            weight, curl = far[p, i], curls[t, i, p]
                            value += complex(
                                weight * sums[p] + curl * sums[6 + p],
                                weight * sums[3 + p] + curl * sums[9 + p],
                            )
                        target[j] += value
