"""Compiled kernels: plain numbers and arrays, no labels, no checks, no physics constants.

All jitted call chains live in this one file, because the compiler's cache does not notice an
edited callee in another file. Every kernel is serial and releases the GIL; threads are made
outside. Symbols follow DEVELOPERS.md, "The field solver": ζ along an edge, ρ distance from its
line, m from emitter to edge point, l from edge point to receiver, ν = π/θw, t = exp(νη).

Columns (pistons × frequencies) are the last axis everywhere, so the inner loops run over
contiguous memory; complex values are kept as a real and an imaginary plane. `half_turns` is k/π
of each frequency once: phases are the same for every piston.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from numba import njit

from acoustics.field.code_cache import keep_code

POLE_REACH = 1.2
"""rad: a zone boundary farther than this does not disturb a Gauss rule."""

POLE_TOLERANCE = 1e-6

NEEDLE = 0.05
"""rad: within it of a zone boundary a pole of the higher orders goes over into waves of its own"""

# Taylor coefficients of cos(πd) and sin(πd)/d in d², good to 1e-16 for |d| ≤ 1/2; in single
# precision the first of them, good to 1e-7.
_C = tuple((-1.0) ** n * math.pi ** (2 * n) / math.factorial(2 * n) for n in range(11))
_S = tuple((-1.0) ** n * math.pi ** (2 * n + 1) / math.factorial(2 * n + 1) for n in range(11))
C0, C1, C2, C3, C4, C5, C6, C7, C8, C9, C10 = _C
S0, S1, S2, S3, S4, S5, S6, S7, S8, S9, S10 = _S
c0, c1, c2, c3, c4, c5, c6 = (np.float32(value) for value in _C[:7])
s0, s1, s2, s3, s4, s5 = (np.float32(value) for value in _S[:6])
ONE, FOUR = np.float32(1.0), np.float32(4.0)


def compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile a kernel; keep the code on disk where the place for it can be written."""
    # Python's check for a division by zero would keep loops from being vectorised.
    options: dict[str, Any] = {
        "nogil": True,
        "fastmath": {"contract", "nsz", "arcp", "reassoc"},
        "error_model": "numpy",
    }
    return keep_code(njit(**options)(function))


@compiled
def phasors(half_turns_per_metre, distance, scale, out):
    """Fill out[0], out[1] with the parts of scale·exp(−jkd) for every column.

    half_turns_per_metre is k/π. Polynomials without branches, so that the loops are vectorised, in
    the precision of `out`; whole turns are taken off in double first.
    """
    if out.itemsize == 4:
        size = np.float32(scale)
        for c in range(half_turns_per_metre.shape[0]):
            y = half_turns_per_metre[c] * distance
            q = np.floor(y + 0.5)
            d = np.float32(y - q)
            h = np.float32(0.5 * q)
            sign = size * (ONE - FOUR * (h - np.floor(h)))
            x = d * d
            cos = c0 + x * (c1 + x * (c2 + x * (c3 + x * (c4 + x * (c5 + x * c6)))))
            sin = d * (s0 + x * (s1 + x * (s2 + x * (s3 + x * (s4 + x * s5)))))
            out[0, c] = sign * cos
            out[1, c] = -sign * sin
        return
    for c in range(half_turns_per_metre.shape[0]):
        y = half_turns_per_metre[c] * distance
        q = np.floor(y + 0.5)
        d = y - q
        sign = scale * (1.0 - 2.0 * (q - 2.0 * np.floor(0.5 * q)))
        x = d * d
        cos = C6 + x * (C7 + x * (C8 + x * (C9 + x * C10)))
        cos = C0 + x * (C1 + x * (C2 + x * (C3 + x * (C4 + x * (C5 + x * cos)))))
        sin = S6 + x * (S7 + x * (S8 + x * (S9 + x * S10)))
        sin = d * (S0 + x * (S1 + x * (S2 + x * (S3 + x * (S4 + x * (S5 + x * sin))))))
        out[0, c] = sign * cos
        out[1, c] = -sign * sin


@compiled
def exp_asinh(zeta, rho):
    """exp(asinh(ζ/ρ)), without cancellation for negative ζ."""
    m = math.sqrt(zeta * zeta + rho * rho)
    if zeta >= 0.0:
        return (zeta + m) / rho
    return rho / (m - zeta)


@compiled
def lagrange(x, nodes, bary, out):
    """Lagrange polynomials of the nodes at the real point x (barycentric form)."""
    total = 0.0
    for p in range(nodes.shape[0]):
        gap = x - nodes[p]
        if abs(gap) < 1e-14:
            out[:] = 0.0
            out[p] = 1.0
            return
        out[p] = bary[p] / gap
        total += out[p]
    for p in range(nodes.shape[0]):
        out[p] /= total


@compiled
def interpolation(x, nodes, bary, out):
    """Lagrange polynomials of the nodes at many points x (q,): out (q, node)."""
    for q in range(x.shape[0]):
        lagrange(x[q], nodes, bary, out[q])


@compiled
def direction_values(t, basis_x, basis_bary, out):
    """Cardinal functions of the direction basis at t = exp(νa).

    With x = tanh(νa/2) = (t−1)/(t+1): φ_p = L_p(x)·(1−x²)/(1−x_p²), L_p the Lagrange polynomial.
    """
    lagrange((t - 1.0) / (t + 1.0), basis_x, basis_bary, out)
    # 1−x² = 4t/(1+t)² keeps its digits where x rounds to ±1.
    fall = 4.0 * t / ((1.0 + t) * (1.0 + t))
    for p in range(basis_x.shape[0]):
        out[p] *= fall / (1.0 - basis_x[p] * basis_x[p])


@compiled
def exchange_values(t, nu, basis_t, side, out):
    """What leaves an edge point, in every direction of the basis on both sides, for one arrival.

    The arrival comes along the face on `side` with t = exp(νb). With
    β = 4 sin νπ/(cosh ν(a+b) − cos νπ) on the same face and
    −4 sin νπ/(cosh ν(a+b) + cos νπ) across to the other, out[side, p] = −ν/8π·β
    (Asheim & Svensson, J. Acoust. Soc. Am. 133, 2013, 3681, source and receiver on the faces).
    """
    scale = -nu / (8.0 * math.pi) * 8.0 * math.sin(nu * math.pi)
    twice_cos = 2.0 * math.cos(nu * math.pi)
    for p in range(basis_t.shape[0]):
        product = t * basis_t[p]
        square = product * product + 1.0
        out[side, p] = scale * product / (square - twice_cos * product)
        out[1 - side, p] = -scale * product / (square + twice_cos * product)


@compiled
def is_plain(foot, rho, turn, start, length, count, tolerance):
    """Whether a panel's own Gauss points resolve what a point at (foot, ρ) sends it.

    What runs between edges that turn by τ has its poles at foot + ρ·sinh(v ± jτ) for any real v
    (β's are at a + b = ±jτ, those of what it is applied to likewise): on a hyperbola, of which
    m = 0 alone is left from τ = π/2 on. A Gauss rule of n points errs by e^(−2n) for a pole on the
    ellipse with foci ±1 whose half-axes a and b add up to e (Trefethen, SIAM Review 50, 2008, 67,
    thm. 4.5). The ellipse for the tolerance must leave the hyperbola outside: the least value of
    (x/a)² + (y/b)² along it is above one.
    """
    ellipse = tolerance ** (-0.5 / count)
    if ellipse <= 1.0:
        return True
    wide = 0.5 * (ellipse + 1.0 / ellipse)
    high = 0.5 * (ellipse - 1.0 / ellipse)
    half = 0.5 * length
    at = ((foot - start) / half - 1.0) / wide
    off = rho / half / high
    if turn < 0.5 * math.pi:
        slope = math.tan(turn) * wide / high
        at *= slope / math.sqrt(1.0 + slope * slope)
        off *= math.sin(turn)
    return at * at + off * off > 1.0


@compiled
def foot_and_distance(point, origin, along):
    """Coordinate along a line of a point's foot, and the distance from the line."""
    a = point[0] - origin[0]
    b = point[1] - origin[1]
    c = point[2] - origin[2]
    foot = a * along[0] + b * along[1] + c * along[2]
    x = a - foot * along[0]
    y = b - foot * along[1]
    z = c - foot * along[2]
    return foot, math.sqrt(x * x + y * y + z * z)


@compiled
def feet_and_distances(points, origin, along, foot, rho):
    """foot_and_distance for many points (i, 3)."""
    for i in range(points.shape[0]):
        foot[i], rho[i] = foot_and_distance(points[i], origin, along)


@compiled
def plain_ones(foot, rho, turn, start, length, count, tolerance, plain):
    """is_plain for many points (i,), each with its turn and tolerance, and one panel."""
    for i in range(foot.shape[0]):
        plain[i] = is_plain(foot[i], rho[i], turn[i], start, length, count, tolerance[i])


@compiled
def all_plain(foot, rho, turn, start, length, count, tolerance):
    """Whether is_plain holds for all points (i,)."""
    for i in range(foot.shape[0]):
        if not is_plain(foot[i], rho[i], turn[i], start, length, count, tolerance[i]):
            return False
    return True


@compiled
def rim_is_plain(points, panels, edge, start, length, count, origin, along, wedge, tolerance):
    """Whether is_plain holds for all points (i, 3) and some panels, by their numbers.

    edge, start, length, count: of every panel; origin, along, wedge: of every edge.
    """
    for panel in panels:
        own = edge[panel]
        turn = wedge[own] - math.pi
        for i in range(points.shape[0]):
            foot, rho = foot_and_distance(points[i], origin[own], along[own])
            if not is_plain(foot, rho, turn, start[panel], length[panel], count[panel], tolerance):
                return False
    return True


@compiled
def fill_sight(grid, sources, first, side, basis, give, take, distance):
    """Tabulate what the nodes of an edge, from `first` on, see of source points along a face.

    give (source, target, direction): weight/m times the basis in the direction of the target;
    take (target, side and direction, source): what leaves the target for it; distance (source,
    target): m. `side`: of the target's edge on which the face lies.
    """
    edges = grid.edges
    basis_t = (1.0 + basis.x) / (1.0 - basis.x)
    own = grid.node_edge[first]
    directions = basis.x.shape[0]
    shares = np.empty(directions)
    leaving = np.empty((2, directions))
    for b in range(take.shape[0]):
        i = first + b
        for a in range(sources.z.shape[0]):
            edge = sources.edge[a]
            foot, rho = foot_and_distance(
                grid.node_position[i], edges.origin[edge], edges.along[edge]
            )
            m = math.hypot(sources.z[a] - foot, rho)
            distance[a, b] = m
            t = exp_asinh(foot - sources.z[a], rho) ** edges.nu[edge]
            direction_values(t, basis.x, basis.bary, shares)
            for p in range(directions):
                give[a, b, p] = sources.weight[a] / m * shares[p]
            zeta, tau = foot_and_distance(sources.position[a], edges.origin[own], edges.along[own])
            t = exp_asinh(zeta - grid.node_z[i], tau) ** edges.nu[own]
            exchange_values(t, edges.nu[own], basis_t, side, leaving)
            for p in range(directions):
                take[b, p, a] = leaving[0, p]
                take[b, directions + p, a] = leaving[1, p]


@compiled
def phase_table(half_turns, distance, out):
    """exp(−jkd) for every distance (row,): out (row, 2, frequency)."""
    for n in range(distance.shape[0]):
        phasors(half_turns, distance[n], 1.0, out[n])


@compiled
def turn_rows(value, phase):
    """value *= phase, complex; value (row, 2, column), phase (row, 2, frequency).

    The frequencies repeat over the columns. Written on whole arrays: parts of them, handed to
    another function, would keep the inner loop from being vectorised.
    """
    frequencies = phase.shape[2]
    for n in range(value.shape[0]):
        for start in range(0, value.shape[2], frequencies):
            for f in range(frequencies):
                c = start + f
                real = value[n, 0, c]
                imag = value[n, 1, c]
                value[n, 0, c] = real * phase[n, 0, f] - imag * phase[n, 1, f]
                value[n, 1, c] = real * phase[n, 1, f] + imag * phase[n, 0, f]


@compiled
def power(weight, value, out):
    """out[column] += ∫ |value|² along edges, summed over directions and sides.

    value (side, node, direction, 2, column); weight (node,): lengths, so that many small panels
    near a driver do not drown the rest.
    """
    for side in range(2):
        for i in range(value.shape[1]):
            for p in range(value.shape[2]):
                for plane in range(2):
                    for c in range(value.shape[4]):
                        a = value[side, i, p, plane, c]
                        out[c] += weight[i] * a * a


@compiled
def replace(weight, first, new, value, out):
    """Put new in the place of value from node `first` on; add to out as `power` of the change."""
    for side in range(2):
        for i in range(new.shape[1]):
            n = first + i
            for p in range(new.shape[2]):
                for plane in range(2):
                    for c in range(new.shape[4]):
                        a = new[side, i, p, plane, c] - value[side, n, p, plane, c]
                        value[side, n, p, plane, c] = new[side, i, p, plane, c]
                        out[c] += weight[n] * a * a


@compiled
def scatter(value, shares, parts):
    """parts[p] += shares[p]·value; parts (p, 2, column), four at a time."""
    fours = shares.shape[0] // 4 * 4
    for p in range(0, fours, 4):
        a = shares[p]
        b = shares[p + 1]
        c = shares[p + 2]
        d = shares[p + 3]
        for plane in range(2):
            for x in range(value.shape[1]):
                v = value[plane, x]
                parts[p, plane, x] += a * v
                parts[p + 1, plane, x] += b * v
                parts[p + 2, plane, x] += c * v
                parts[p + 3, plane, x] += d * v
    for p in range(fours, shares.shape[0]):
        add_scaled(parts[p], value, shares[p])


@compiled
def add_scaled(total, part, factor):
    """total += factor·part for arrays of shape (2, column)."""
    for c in range(total.shape[1]):
        total[0, c] += factor * part[0, c]
        total[1, c] += factor * part[1, c]


@compiled
def light_edges(points, weights, depths, nodes, sides, grid, basis_x, half_turns, leaving):
    """Add what leaves the listed nodes for what the points of a source send along their face.

    leaving: (side, node, direction, 2, column of this source).
    """
    edges = grid.edges
    basis_t = (1.0 + basis_x) / (1.0 - basis_x)
    directions = basis_x.shape[0]
    frequencies = half_turns.shape[0]
    values = np.empty((points.shape[0], 2, directions), dtype=leaving.dtype)
    phases = np.empty((points.shape[0], 2, frequencies), dtype=leaving.dtype)
    flat = values.reshape(points.shape[0], 2 * directions)
    for index in range(nodes.shape[0]):
        i = nodes[index]
        edge = grid.node_edge[i]
        nu = edges.nu[edge]
        for n in range(points.shape[0]):
            zeta, rho = foot_and_distance(points[n], edges.origin[edge], edges.along[edge])
            zeta -= grid.node_z[i]
            m = math.hypot(zeta, rho)
            exchange_values(exp_asinh(zeta, rho) ** nu, nu, basis_t, sides[index], values[n])
            phasors(half_turns, m + depths[n], weights[n] / m, phases[n])
        sent = np.dot(flat.T, phases.reshape(points.shape[0], 2 * frequencies))
        both = sent.reshape(2, directions, 2, frequencies)
        leaving[0, i] += both[0]
        leaving[1, i] += both[1]


@compiled
def emit_from_points(points, weights, depths, targets, half_turns, out):
    """The same for the points of a source, U = 1: out (q, point, 2, frequency)."""
    for q in range(targets.shape[0]):
        for n in range(points.shape[0]):
            x = targets[q, 0] - points[n, 0]
            y = targets[q, 1] - points[n, 1]
            z = targets[q, 2] - points[n, 2]
            m = math.sqrt(x * x + y * y + z * z)
            phasors(half_turns, m + depths[n], weights[n] / m, out[q, n])


@compiled
def sum_points(points, weights, depths, receivers, half_turns, out):
    """Add to out (receiver, 2, f) what the points of a source send through free space."""
    phase = np.empty((2, half_turns.shape[0]), dtype=out.dtype)
    for r in range(receivers.shape[0]):
        for n in range(points.shape[0]):
            x = receivers[r, 0] - points[n, 0]
            y = receivers[r, 1] - points[n, 1]
            z = receivers[r, 2] - points[n, 2]
            m = math.sqrt(x * x + y * y + z * z)
            phasors(half_turns, m + depths[n], weights[n] / m, phase)
            add_scaled(out[r], phase, 1.0)


@compiled
def turns_along(foot, rho, z, nu, out):
    """t = exp(ν·asinh((foot−z)/ρ)) of emitters (i,) at points z (q,): out (q, i)."""
    for q in range(z.shape[0]):
        for i in range(foot.shape[0]):
            out[q, i] = exp_asinh(foot[i] - z[q], rho[i]) ** nu


@compiled
def plain_legs(ts, z, weights, nu, zr, rhor, theta, out):
    """out[q, r, i] = weight·β for emitters with turns ts (q, i) and receivers (r,).

    β = t·[4 sin p/((t−1)² + 4 sin²(p/2)·t) + 4 sin q/((t−1)² + 4 sin²(q/2)·t)], t = exp(νη),
    p = ν(π+θ), q = ν(π−θ): Svensson, Fred & Vanderkooy (1999), rewritten so as not to cancel.
    """
    for r in range(zr.shape[0]):
        p = nu * (math.pi + theta[r])
        s = nu * (math.pi - theta[r])
        sin_p = 4.0 * math.sin(p)
        sin_s = 4.0 * math.sin(s)
        half_p = 4.0 * math.sin(0.5 * p) ** 2
        half_s = 4.0 * math.sin(0.5 * s) ** 2
        if (
            abs(math.pi - theta[r]) < 1e-9
        ):  # exactly on the boundary the mean of both sides holds: no term
            sin_s = 0.0
            half_s = 1.0
        for q in range(z.shape[0]):
            tr = exp_asinh(zr[r] - z[q], rhor[r]) ** nu
            for i in range(ts.shape[1]):
                t = ts[q, i] * tr
                d = (t - 1.0) * (t - 1.0)
                e = d + half_p * t
                g = d + half_s * t
                out[q, r, i] = weights[q] * t * (sin_p * g + sin_s * e) / (e * g)


@compiled
def leg_weights(
    foot, rho, slants, start, length, x, w, bary, nu, wedge, zr, rhor, theta, with_poles, out
):
    """Real weights of the leg emitter → points of a panel → receiver, zone boundaries included.

    foot, rho: emitters about the panel's edge (i,); slants (i, 5): see `grazing`; x, w, bary: the
    panel's Gauss rule (q,); zr, rhor, theta: receivers about the edge, θ from the face of arrival
    (r,).
    out[q, r, i] = w·(dz/dx)·β plus, where asked, the correction for the poles at the zone boundary.
    """
    count = x.shape[0]
    half = 0.5 * length
    ts = np.empty((count, foot.shape[0]))
    z = start + half * (1.0 + x)
    turns_along(foot, rho, z, nu, ts)
    plain_legs(ts, z, half * w, nu, zr, rhor, theta, out)
    graze = np.empty((count, foot.shape[0] if with_poles else 0))
    found = np.zeros(foot.shape[0], dtype=np.bool_)
    for r in range(zr.shape[0]):
        for term in range(2 if with_poles else 0):
            f = math.pi - theta[r] if term == 0 else 2.0 * wedge - math.pi - theta[r]
            if abs(f) >= POLE_REACH or f == 0.0:
                continue
            side = (1.0 - 2.0 * term) * (1.0 - share_of_waves(f))
            for i in range(foot.shape[0]):
                if pole_disturbs(f, foot[i], rho[i], zr[r], rhor[r], start, length, count):
                    if not found[i]:
                        for q in range(count):
                            graze[q, i] = grazing(z[q], rho[i], slants[i])
                        found[i] = True
                    correct_pole(
                        f, side, i, r, foot[i], rho[i], slants[i], graze, zr[r], rhor[r], nu,
                        start, half, x, w, bary, out,
                    )  # fmt: skip


@compiled
def zone_pole(f, foot, rho, zr, rhor):
    """Where η = jσf on the edge, above the real axis: offset from the foot, m, l, σ, path length.

    There m + l is the real length √((zr−foot)² + ρ² + 2ρρr cos f + ρr²): for the first term of β
    the straight line from emitter to receiver.
    """
    gap = zr - foot
    cos_f = math.cos(f)
    h2 = rho * rho + 2.0 * rho * rhor * cos_f + rhor * rhor
    path = math.sqrt(gap * gap + h2)
    sigma = -1.0 if f > 0.0 else 1.0
    y = rho * (gap * (rho + rhor * cos_f) - 1j * sigma * rhor * math.sin(f) * path) / h2
    m = np.sqrt(rho * rho + y * y)
    l = np.sqrt(rhor * rhor + (gap - y) * (gap - y))
    return y, m, l, sigma, path


@compiled
def pole_disturbs(f, foot, rho, zr, rhor, start, length, count):
    """Whether the pole of zone_pole is so close to a panel that its Gauss rule errs, in reals."""
    gap = zr - foot
    across = rhor * math.cos(f)
    h2 = rho * rho + 2.0 * rho * across + rhor * rhor
    path = math.sqrt(gap * gap + h2)
    half = 0.5 * length
    x = (foot + rho * gap * (rho + across) / h2 - start) / half - 1.0
    y = rho * rhor * abs(math.sin(f)) * path / (h2 * half)
    foci = math.sqrt((x - 1.0) ** 2 + y * y) + math.sqrt((x + 1.0) ** 2 + y * y)
    ellipse = POLE_TOLERANCE ** (-0.5 / count)
    return foci < ellipse + 1.0 / ellipse


@compiled
def gauss_error(xc, x, w):
    """∫dx/(x−x*) over [−1, 1] less its Gauss rule."""
    error = np.log(1.0 - xc) - np.log(-1.0 - xc)
    for q in range(x.shape[0]):
        error += w[q] / (xc - x[q])
    return error


@compiled
def grazing(z, rho, slant):
    """s = exp(−ν|a|) of the direction a from an emitter to the point z of another edge.

    z: real or complex; rho: the emitter's distance from the other edge; slant: ν of its own edge,
    how far along that the other's origin lies ahead of it, cosine between the edges, z where their
    lines meet, and sine.
    """
    along = slant[1] + slant[2] * z
    off = slant[4] * (z - slant[3])
    if slant[4] == 0.0:
        off = off + rho
    if off.real < 0.0:
        off = -off
    if along.real < 0.0:
        along = -along
    return (off / (along + np.sqrt(along * along + off * off))) ** slant[0]


@compiled
def fading(s):
    """How strength fades in a direction of which `grazing` is s: 1 − x² with x = tanh(νa/2).

    It vanishes as the ν-th power of the distance from where the edges meet.
    """
    return 4.0 * s / ((1.0 + s) * (1.0 + s))


@compiled
def meets_at(slant, start, half):
    """At which end of a panel an emitter's edge meets it, −1 or 1, or 0 if at none."""
    end = (slant[3] - start) / half - 1.0
    if slant[4] == 0.0 or abs(abs(end) - 1.0) > 1e-6:
        return 0.0
    return 1.0 if end > 0.0 else -1.0


@compiled
def beside_vertex(uc, turned, z, half, slant):
    """`grazing` near a vertex that the edges share, over u^ν and by itself, at the pole u*.

    uc: u* or, if turned, its conjugate, counted from the vertex so that the panel lies at 0 to 2.
    By itself it is made real on the other side of the vertex, as what it stands for is.
    """
    along = slant[1] + slant[2] * z
    if along.real < 0.0:
        along = -along
    off = slant[4] * half * (np.conj(uc) if turned else uc)
    root = (slant[4] * half / (along + np.sqrt(along * along + off * off))) ** slant[0]
    turn = math.atan2(uc.imag, uc.real)
    turn *= slant[0] * (1.0 - turn / math.pi)
    if turned:
        turn = -turn
    return root, root * abs(uc) ** slant[0] * (math.cos(turn) + 1j * math.sin(turn))


@compiled
def root_error(uc, nu, u, w):
    """∫u^ν du/(u−u*) over [0, 2] less a Gauss rule u, w (q,), for |u*| ≤ 1 and Im u* ≥ 0.

    ∫₀^∞ u^(ν−1) du/(u−u*) = π·(−u*)^(ν−1)/sin νπ (Gradshteyn & Ryzhik, 3.194.4), less what is
    beyond 2, term by term.
    """
    error = 1.0 / nu + 0.0j
    part = 0.5 * uc
    for n in range(1, 30):
        error -= part / (n - nu)
        part *= 0.5 * uc
    error *= 2.0**nu
    error -= math.pi / math.sin(math.pi * nu) * (-uc) ** nu
    for q in range(u.shape[0]):
        error += w[q] * u[q] ** nu / (uc - u[q])
    return error


@compiled
def faded_error(xc, z, rho, slant, start, half, x, w):
    """`fading` at the pole x* (z along the edge) times `gauss_error`; and `grazing` there.

    At a vertex that the edges share no polynomial follows the root of `fading`, u^ν·h with u
    counted from the vertex, and x* lies there for a receiver on the extension of an edge or in the
    plane of a face: there the closed form is that of u^ν/(u−u*), which, unlike the other, does not
    jump as x* passes the vertex.
    """
    end = meets_at(slant, start, half)
    turned = end > 0.0
    uc = np.conj(1.0 - xc) if turned else 1.0 + xc
    if end == 0.0 or abs(uc) > 1.0:
        s = grazing(z, rho, slant)
        return fading(s) * gauss_error(xc, x, w), s
    root, s = beside_vertex(uc, turned, z, half, slant)
    error = root_error(uc, slant[0], 1.0 - end * x, w)
    return 4.0 * root / ((1.0 + s) * (1.0 + s)) * (-np.conj(error) if turned else error), s


@compiled
def correct_pole(
    f, side, i, r, foot, rho, slant, graze, zr, rhor, nu, start, half, x, w, bary, out
):
    """Add to out[:, r, i] what a panel's Gauss rule misses of the poles at η = ±jf.

    The error of a Gauss rule for 1/(x−x*) is known in closed form; the smooth factor is carried
    to x* by the rule's own polynomial, once it is divided by `fading`. (After Svensson & Calamia,
    Acta Acustica united with Acustica 92, 2006, 501, who treat the same singularity.)

    graze (q, i): `grazing` at the nodes.
    """
    y, m, l, sigma, _ = zone_pole(f, foot, rho, zr, rhor)
    z = foot + y
    xc = (z - start) / half - 1.0
    total = 0.0 + 0.0j
    for q in range(x.shape[0]):
        total += bary[q] / (xc - x[q])
    error, _ = faded_error(xc, z, rho, slant, start, half, x, w)
    residue = side * (4j * sigma / nu) * (m * l / (m + l)) * error / total
    for q in range(x.shape[0]):
        out[q, r, i] += (residue * bary[q] / (xc - x[q])).real / fading(graze[q, i])


@compiled
def share_of_waves(f):
    """How much of a pole at the angle f from a zone boundary `needle_waves` takes, 1 to 0."""
    near = max(1.0 - (f / NEEDLE) * (f / NEEDLE), 0.0)
    return near * near


@compiled
def needle_waves(
    served, foot, rho, slants, weight, start, length, x, w, wedge, zr, rhor, theta, share,
    basis, path, out,
):  # fmt: skip
    """What a panel's rule misses of the zone boundary in the higher orders, next to it, exactly.

    As `boundary_waves`: the smooth factor at the pole is exp(−j·k·path)/path times what the emitter
    sends in the pole's direction, which its basis of directions tells. So what comes and goes as
    the pole crosses the edge is what the emitter's own edge stops or begins to send to the
    receiver, to the accuracy of that basis; no polynomial along the edge carries it.

    served: those of the emitters (i,) that the panel serves; basis: the rule of the directions;
    path (i, r): filled; out (i, r, direction): added to, in units of exp(−j·k·path).
    """
    half = 0.5 * length
    cardinal = np.empty(basis.x.shape[0], dtype=np.complex128)
    for r in range(zr.shape[0]):
        for term in range(2):
            f = math.pi - theta[r] if term == 0 else 2.0 * wedge - math.pi - theta[r]
            if abs(f) >= NEEDLE or f == 0.0:
                continue
            side = (1.0 - 2.0 * term) * share_of_waves(f)
            for i in served:
                if not pole_disturbs(f, foot[i], rho[i], zr[r], rhor[r], start, length, x.shape[0]):
                    continue
                y, _, _, sigma, reach = zone_pole(f, foot[i], rho[i], zr[r], rhor[r])
                z = foot[i] + y
                xc = (z - start) / half - 1.0
                error, s = faded_error(xc, z, rho[i], slants[i], start, half, x, w)
                direction = (1.0 - s) / (1.0 + s)
                if (slants[i, 1] + slants[i, 2] * z).real < 0.0:
                    direction = -direction
                total = 0.0 + 0.0j
                for p in range(basis.x.shape[0]):
                    gap = direction - basis.x[p]
                    if abs(gap) < 1e-14:
                        gap = 1e-14 + 0.0j
                    cardinal[p] = basis.bary[p] / gap
                    total += cardinal[p]
                error *= share[r] * side * sigma / math.pi * weight[i] / reach / total
                path[i, r] = reach
                for p in range(basis.x.shape[0]):
                    fall = 1.0 - basis.x[p] * basis.x[p]
                    out[i, r, p] += (error * cardinal[p]).imag / fall


@compiled
def boundary_waves(
    foot, rho, start, length, x, w, wedge, zr, rhor, theta, share, emitted, depths, half_turns,
    receivers, pressure,
):  # fmt: skip
    """Add what a panel's rule misses of the zone boundary in the first order, exactly.

    For a bare point source the smooth factor at the pole is exp(−j·k·path)/path itself, so the
    correction is a wave of real amplitude: −ν/4π·2Re[(2jσ/ν)·E] = (σ/π)·Im E for each term of β,
    E the error of the Gauss rule. emitted, depths: weights of the source's points and by how much
    farther they seem (i,).
    """
    phase = np.empty((2, half_turns.shape[0]))
    half = 0.5 * length
    for r in range(zr.shape[0]):
        for term in range(2):
            f = math.pi - theta[r] if term == 0 else 2.0 * wedge - math.pi - theta[r]
            if abs(f) >= POLE_REACH or f == 0.0:
                continue
            side = 1.0 - 2.0 * term
            for i in range(foot.shape[0]):
                if not pole_disturbs(f, foot[i], rho[i], zr[r], rhor[r], start, length, x.shape[0]):
                    continue
                y, _, _, sigma, path = zone_pole(f, foot[i], rho[i], zr[r], rhor[r])
                xc = (foot[i] + y - start) / half - 1.0
                amount = side * sigma / math.pi * gauss_error(xc, x, w).imag
                size = share[r] * emitted[i] * amount / path
                phasors(half_turns, path + depths[i], size, phase)
                add_scaled(pressure[receivers[r]], phase, 1.0)


@compiled
def radiate(strength, z, zr, rhor, factor, half_turns, receivers, pressure):
    """pressure[receiver] += factor·Σ_q strength[q, r]·exp(−jkl)/l; strength (q, r, 2, column).

    half_turns holds each frequency once; the columns repeat them for every source.
    """
    phase = np.empty((2, half_turns.shape[0]), dtype=strength.dtype)
    heard = np.empty((2, strength.shape[3]), dtype=strength.dtype)
    for r in range(zr.shape[0]):
        heard[:] = 0
        for q in range(z.shape[0]):
            l = math.hypot(zr[r] - z[q], rhor[r])
            phasors(half_turns, l, factor[r] / l, phase)
            for start in range(0, heard.shape[1], half_turns.shape[0]):
                for f in range(half_turns.shape[0]):
                    c = start + f
                    real = strength[q, r, 0, c]
                    imag = strength[q, r, 1, c]
                    heard[0, c] += real * phase[0, f] - imag * phase[1, f]
                    heard[1, c] += real * phase[1, f] + imag * phase[0, f]
        for plane in range(2):
            for c in range(heard.shape[1]):
                pressure[receivers[r], plane, c] += heard[plane, c]


@compiled
def cut_for_all(
    foot, rho, turn, start, length, least_points, points_per_metre, extra_points, tolerance,
    shortest, pieces,
):  # fmt: skip
    """Halve a panel until every piece is plain for all points (i,); returns the pieces' number.

    Fills pieces (piece, 3): start, length, points, from one end to the other; where there is no
    room for any, it only counts.
    """
    depth = 0
    begin = np.empty(128)
    extent = np.empty(128)
    begin[0], extent[0] = start, length
    found = 0
    while depth >= 0:
        here, reach = begin[depth], extent[depth]
        count = max(least_points, math.ceil(points_per_metre * reach) + extra_points)
        if reach < shortest or all_plain(foot, rho, turn, here, reach, count, tolerance):
            if pieces.shape[0] > 0:
                pieces[found, 0], pieces[found, 1], pieces[found, 2] = here, reach, count
            found += 1
            depth -= 1
        else:
            begin[depth], extent[depth] = here + 0.5 * reach, 0.5 * reach
            depth += 1
            begin[depth], extent[depth] = here, 0.5 * reach
    return found


@compiled
def cut_panel(
    foot, rho, turn, start, length, least_points, points_per_metre, extra_points, tolerance,
    shortest, pieces, pairs,
):  # fmt: skip
    """Halve a panel until every emitter is far enough from each piece; returns their numbers.

    foot, rho, turn, tolerance: emitters about the panel's edge (i,). An emitter is served by the
    largest pieces whose Gauss points resolve what it sends them. Fills pieces (piece, 4): start,
    length, points, end of its pairs; and pairs: the emitters of each piece, one after the other;
    where there is no room for any, it only counts.
    """
    emitters = foot.shape[0]
    depth = 0
    left = np.empty((128, emitters), dtype=np.int64)
    number = np.zeros(128, dtype=np.int64)
    begin = np.empty(128)
    extent = np.empty(128)
    left[0] = np.arange(emitters)
    number[0], begin[0], extent[0] = emitters, start, length
    found = 0
    paired = 0
    while depth >= 0:
        here, reach, many = begin[depth], extent[depth], number[depth]
        count = max(least_points, math.ceil(points_per_metre * reach) + extra_points)
        before = paired
        rest = 0
        for n in range(many):
            i = left[depth, n]
            if reach < shortest or is_plain(
                foot[i], rho[i], turn[i], here, reach, count, tolerance[i]
            ):
                if pairs.shape[0] > 0:
                    pairs[paired] = i
                paired += 1
            else:
                left[depth, rest] = i
                rest += 1
        if paired > before:
            if pieces.shape[0] > 0:
                pieces[found, 0], pieces[found, 1] = here, reach
                pieces[found, 2], pieces[found, 3] = count, paired
            found += 1
        depth -= 1
        if rest > 0:
            for half in range(2):
                depth += 1
                if half == 1:
                    left[depth, :rest] = left[depth - 1, :rest]
                begin[depth] = here + half * 0.5 * reach
                extent[depth] = 0.5 * reach
                number[depth] = rest
    return found, paired


@compiled
def fill_near_leg(
    edges, edge, sources, chosen, slants, foot, rho, pieces, pairs, rules, basis, view, z, distance,
    give, weights,
):  # fmt: skip
    """Tabulate the last leg from the chosen source points to the pieces of a panel near them.

    pieces, pairs: of `cut_panel`, foot and rho of the chosen; rules (points, 3, q): Gauss rules by
    their number of points. z (point,): points of all pieces, m; the others go over all pairs of an
    emitter of a piece and a point of it, the latter running faster: distance, give (pair,
    direction) its weight times the basis in this direction. weights: per piece (point, receiver,
    emitter), one after the other.
    """
    at = 0
    row = 0
    filled = 0
    first = 0
    for n in range(pieces.shape[0]):
        start, length = pieces[n, 0], pieces[n, 1]
        count = int(pieces[n, 2])
        stop = int(pieces[n, 3])
        many = stop - first
        served = pairs[first:stop]
        x = rules[count, 0, :count]
        size = count * view.z.shape[0] * many
        leg_weights(
            foot[served], rho[served], slants[served], start, length, x, rules[count, 1, :count],
            rules[count, 2, :count], edges.nu[edge], edges.wedge[edge], view.z, view.rho,
            view.theta, True,
            weights[filled : filled + size].reshape(count, view.z.shape[0], many),
        )  # fmt: skip
        for q in range(count):
            z[at + q] = start + 0.5 * length * (1.0 + x[q])
        for e in range(many):
            j = chosen[served[e]]
            own = sources.edge[j]
            for q in range(count):
                zeta, tau = foot_and_distance(
                    edges.origin[edge] + z[at + q] * edges.along[edge],
                    edges.origin[own],
                    edges.along[own],
                )
                zeta -= sources.z[j]
                distance[row] = math.hypot(zeta, tau)
                t = exp_asinh(zeta, tau) ** edges.nu[own]
                direction_values(t, basis.x, basis.bary, give[row])
                give[row] *= sources.weight[j] / distance[row]
                row += 1
        at += count
        filled += size
        first = stop


@compiled
def radiate_near(
    strength, chosen, pieces, pairs, z, distance, give, weights, view, factor, half_turns, pressure
):
    """Add the last leg of `fill_near_leg` to pressure (receiver, 2, column).

    strength (emitter, direction, 2, column); factor (receiver,).
    """
    columns = strength.shape[3]
    receivers = view.z.shape[0]
    flat = strength.reshape(strength.shape[0], strength.shape[1], 2 * columns)
    at = 0
    row = 0
    filled = 0
    first = 0
    for n in range(pieces.shape[0]):
        count = int(pieces[n, 2])
        stop = int(pieces[n, 3])
        many = stop - first
        sent = np.empty((many, count, 2 * columns), dtype=strength.dtype)
        phase = np.empty((many * count, 2, half_turns.shape[0]), dtype=strength.dtype)
        for e in range(many):
            stretch = row + e * count
            np.dot(give[stretch : stretch + count], flat[chosen[pairs[first + e]]], sent[e])
        phase_table(half_turns, distance[row : row + many * count], phase)
        turn_rows(sent.reshape(many * count, 2, columns), phase)
        row += many * count
        heard = np.empty((count, receivers, 2 * columns), dtype=strength.dtype)
        for q in range(count):
            stretch = receivers * many
            share = weights[filled : filled + stretch].reshape(receivers, many)
            np.dot(share, sent[:, q].copy(), heard[q])
            filled += stretch
        radiate(
            heard.reshape(count, receivers, 2, columns), z[at : at + count], view.z, view.rho,
            factor, half_turns, view.index, pressure,
        )  # fmt: skip
        at += count
        first = stop


@compiled
def hearing(z, zr, rhor, factor, half_turns, out):
    """How receivers hear points z of an edge, factor·exp(−jkl)/l: out (q, receiver, 2, f)."""
    for q in range(z.shape[0]):
        for r in range(zr.shape[0]):
            l = math.hypot(zr[r] - z[q], rhor[r])
            phasors(half_turns, l, factor[r] / l, out[q, r])


@compiled
def leg_back(weights, phase, heard, out):
    """The last leg of one sight transposed: what receivers ask of source → target.

    weights (target, receiver, source), phase (source × target, 2, f), heard (target, receiver, 2,
    f); out (source, target, 2, receiver × f).
    """
    frequencies = phase.shape[2]
    for a in range(out.shape[0]):
        for b in range(out.shape[1]):
            turned = phase[a * out.shape[1] + b]
            for r in range(heard.shape[1]):
                w = weights[b, r, a]
                for f in range(frequencies):
                    x = heard[b, r, 0, f]
                    y = heard[b, r, 1, f]
                    c = r * frequencies + f
                    out[a, b, 0, c] = w * (x * turned[0, f] - y * turned[1, f])
                    out[a, b, 1, c] = w * (x * turned[1, f] + y * turned[0, f])


@compiled
def near_leg_back(chosen, pieces, pairs, distance, give, weights, half_turns, heard, strength):
    """radiate_near transposed: adds heard (point, receiver, 2, f) to strength.

    strength (source, direction, 2, receiver × f).
    """
    receivers = heard.shape[1]
    frequencies = heard.shape[3]
    phase = np.empty((2, frequencies), dtype=strength.dtype)
    value = np.empty((2, receivers * frequencies), dtype=strength.dtype)
    at = 0
    row = 0
    filled = 0
    first = 0
    for n in range(pieces.shape[0]):
        count = int(pieces[n, 2])
        stop = int(pieces[n, 3])
        many = stop - first
        for e in range(many):
            source = chosen[pairs[first + e]]
            for q in range(count):
                phasors(half_turns, distance[row], 1.0, phase)
                for r in range(receivers):
                    w = weights[filled + (q * receivers + r) * many + e]
                    for f in range(frequencies):
                        c = r * frequencies + f
                        real = w * heard[at + q, r, 0, f]
                        imag = w * heard[at + q, r, 1, f]
                        value[0, c] = real * phase[0, f] - imag * phase[1, f]
                        value[1, c] = real * phase[1, f] + imag * phase[0, f]
                scatter(value, give[row], strength[source])
                row += 1
        at += count
        filled += count * receivers * many
        first = stop


@compiled
def weigh(leaving, first, weight, asked, out):
    """out[receiver] += Σ weight·leaving·asked over the nodes of an edge from `first` on, complex.

    leaving (side, node, direction, 2, f), weight (node,), asked (node, side × direction, 2,
    receiver × f), out (receiver, 2, f).
    """
    directions = leaving.shape[2]
    frequencies = leaving.shape[4]
    for n in range(asked.shape[0]):
        for s in range(2):
            for p in range(directions):
                sent = leaving[s, first + n, p]
                heard = asked[n, s * directions + p]
                for r in range(out.shape[0]):
                    c = r * frequencies
                    for f in range(frequencies):
                        a = weight[first + n] * sent[0, f]
                        b = weight[first + n] * sent[1, f]
                        out[r, 0, f] += a * heard[0, c + f] - b * heard[1, c + f]
                        out[r, 1, f] += a * heard[1, c + f] + b * heard[0, c + f]


@compiled
def weigh_short(leaving, asked, scale, first, out):
    """out[receiver − first, f] = scale·Σ leaving·asked, complex, of the receivers from first on.

    leaving (f, 2, item), single precision, asked (f, receiver, 2, item), short integers, scale
    (f, receiver).
    """
    for f in range(asked.shape[0]):
        a, b = leaving[f, 0], leaving[f, 1]
        for r in range(first, asked.shape[1]):
            x, y = asked[f, r, 0], asked[f, r, 1]
            real = np.float32(0.0)
            imag = np.float32(0.0)
            for n in range(x.shape[0]):
                u = np.float32(x[n])
                v = np.float32(y[n])
                real += a[n] * u - b[n] * v
                imag += a[n] * v + b[n] * u
            out[r - first, f] = complex(scale[f, r] * real, scale[f, r] * imag)


@compiled
def light_face(
    points, emitted, depths, around, grid, views, basis_x, half_turns, sending, first, sent
):
    """What the edges round a face make of one source on it, in one pass over them.

    points (point, 3), emitted, depths: of the source; around: `RoundFace` of the grid; views:
    `Views` of the receivers. What goes on at once to receivers is added to first (receiver, 2, f).
    What leaves the nodes for other edges, times their lengths, is written, if `sending`, to
    sent (f, 2, node × side × direction), nodes as in `around`.
    """
    edges = grid.edges
    basis_t = (1.0 + basis_x) / (1.0 - basis_x)
    count = points.shape[0]
    directions = basis_x.shape[0]
    frequencies = half_turns.shape[0]
    real = first.dtype
    foot = np.empty(count)
    rho = np.empty(count)
    values = np.empty((count, 2, directions), dtype=real)
    phases = np.empty((count, 2, frequencies), dtype=real)
    heard = np.empty((2, frequencies), dtype=real)
    flat = values.reshape(count, 2 * directions)
    turned = phases.reshape(count, 2 * frequencies)
    for number in range(around.panel.shape[0]):
        panel = around.panel[number]
        edge = grid.edge[panel]
        nu = edges.nu[edge]
        begin = grid.first[panel]
        nodes = slice(begin, begin + grid.count[panel])
        z = grid.node_z[nodes]
        weight = grid.node_weight[nodes]
        seen = slice(views.first[around.ring[number]], views.first[around.ring[number] + 1])
        zr = views.z[seen]
        rhor = views.rho[seen]
        index = views.index[seen]
        share = views.share[seen]
        feet_and_distances(points, edges.origin[edge], edges.along[edge], foot, rho)
        ts = np.empty((z.shape[0], count))
        turns_along(foot, rho, z, nu, ts)
        legs = np.empty((z.shape[0], zr.shape[0], count), dtype=real)
        plain_legs(ts, z, weight, nu, zr, rhor, views.theta[seen], legs)
        for q in range(z.shape[0]):
            for n in range(count):
                m = math.hypot(foot[n] - z[q], rho[n])
                phasors(half_turns, m + depths[n], emitted[n] / m, phases[n])
                if sending:
                    exchange_values(ts[q, n], nu, basis_t, around.side[number], values[n])
            arrived = np.dot(legs[q], turned)
            for v in range(zr.shape[0]):
                l = math.hypot(zr[v] - z[q], rhor[v])
                phasors(half_turns, l, -nu / (4.0 * math.pi) * share[v] / l, heard)
                for f in range(frequencies):
                    a = arrived[v, f]
                    b = arrived[v, frequencies + f]
                    first[index[v], 0, f] += a * heard[0, f] - b * heard[1, f]
                    first[index[v], 1, f] += a * heard[1, f] + b * heard[0, f]
            if sending:
                leaving = np.dot(flat.T, turned)
                item = 2 * directions * (around.place[number] + q)
                for p in range(2 * directions):
                    for f in range(frequencies):
                        sent[f, 0, item + p] = weight[q] * leaving[p, f]
                        sent[f, 1, item + p] = weight[q] * leaving[p, frequencies + f]
        half = 0.5 * grid.length[panel]
        boundary_waves(
            foot, rho, grid.start[panel], grid.length[panel], grid.node_x[nodes], weight / half,
            edges.wedge[edge], zr, rhor, views.theta[seen], share, emitted, depths, half_turns,
            index, first,
        )  # fmt: skip


@compiled
def rim_integral(radius, lateral, height, half_turns, phi, weight, out):
    """∮ (exp(−jkz) − exp(−jkR))·(a²−ar cosφ)/(a²+r²−2ar cosφ) dφ around a piston's rim.

    By the given rule phi, weight: (receiver, node) over half the rim; out: (receiver, 2, column),
    overwritten. The difference is 2j·sin(½k(R−z))·exp(−½jk(R+z)), which keeps its digits far off.
    """
    mean = np.empty((2, half_turns.shape[0]))
    half = np.empty((2, half_turns.shape[0]))
    out[:] = 0.0
    for i in range(lateral.shape[0]):
        r = lateral[i]
        for n in range(phi.shape[1]):
            # (a−r)² + 4ar·sin²(φ/2) keeps its digits where r is nearly a.
            chord = (radius - r) ** 2 + 4.0 * radius * r * math.sin(0.5 * phi[i, n]) ** 2
            if chord == 0.0:
                continue
            part = radius * (radius - r) + 2.0 * radius * r * math.sin(0.5 * phi[i, n]) ** 2
            distance = math.sqrt(height[i] ** 2 + chord)
            behind = 0.5 * chord / (distance + height[i])
            phasors(half_turns, height[i] + behind, 2.0 * weight[i, n] * part / chord, mean)
            phasors(half_turns, behind, 2.0, half)
            for c in range(half_turns.shape[0]):
                out[i, 0, c] += mean[1, c] * half[1, c]
                out[i, 1, c] -= mean[0, c] * half[1, c]


@compiled
def light_points(foot, rho, z, nu, side, basis_x, asked, index, weights, hearing, half_turns, out):
    """Add to out (point, receiver, 2, f) what nodes of an edge send on for each source point alone.

    foot, rho: of the points about the edge (point,); z (node,); asked (node, side and direction,
    receiver × 2 × f): what the receivers ask of the nodes, times their lengths; index, weights
    (node, view, point), hearing (node, view, 2, f): the first order to the receivers of a view.
    """
    basis_t = (1.0 + basis_x) / (1.0 - basis_x)
    points = foot.shape[0]
    frequencies = half_turns.shape[0]
    columns = asked.shape[2]
    values = np.empty((points, 2, basis_x.shape[0]), dtype=out.dtype)
    sent = np.empty((points, columns), dtype=out.dtype)
    phase = np.empty((2, frequencies), dtype=out.dtype)
    flat = values.reshape(points, 2 * basis_x.shape[0])
    by_receiver = sent.reshape(points, columns // (2 * frequencies), 2, frequencies)
    for q in range(z.shape[0]):
        for n in range(points):
            zeta = foot[n] - z[q]
            exchange_values(exp_asinh(zeta, rho[n]) ** nu, nu, basis_t, side, values[n])
        np.dot(flat, asked[q], sent)
        for n in range(points):
            m = math.hypot(foot[n] - z[q], rho[n])
            for v in range(index.shape[0]):
                add_scaled(by_receiver[n, index[v]], hearing[q, v], weights[q, v, n])
            phasors(half_turns, m, 1.0 / m, phase)
            for r in range(by_receiver.shape[1]):
                for f in range(frequencies):
                    a = by_receiver[n, r, 0, f]
                    b = by_receiver[n, r, 1, f]
                    out[n, r, 0, f] += a * phase[0, f] - b * phase[1, f]
                    out[n, r, 1, f] += a * phase[1, f] + b * phase[0, f]


@compiled
def boundary_waves_of_points(
    foot, rho, start, length, x, w, wedge, zr, rhor, theta, share, half_turns, receivers, out
):
    """boundary_waves of every source point alone: out (point, receiver, 2, f)."""
    one = np.ones(1)
    none = np.zeros(1)
    for i in range(foot.shape[0]):
        boundary_waves(
            foot[i : i + 1], rho[i : i + 1], start, length, x, w, wedge, zr, rhor, theta, share,
            one, none, half_turns, receivers, out[i],
        )  # fmt: skip
