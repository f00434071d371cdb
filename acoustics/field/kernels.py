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

POLE_REACH = 1.2
"""rad: a zone boundary farther than this does not disturb a Gauss rule."""

POLE_TOLERANCE = 1e-6
NEAR_POINTS = 8
NEAR_STEP = 1.5
NEAR_PHASE = 5.0

# Taylor coefficients of cos(πd) and sin(πd)/d in d², good to 1e-16 for |d| ≤ 1/2.
_C = tuple((-1.0) ** n * math.pi ** (2 * n) / math.factorial(2 * n) for n in range(11))
_S = tuple((-1.0) ** n * math.pi ** (2 * n + 1) / math.factorial(2 * n + 1) for n in range(11))
C0, C1, C2, C3, C4, C5, C6, C7, C8, C9, C10 = _C
S0, S1, S2, S3, S4, S5, S6, S7, S8, S9, S10 = _S


def compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile a kernel; keep the code on disk where the place for it can be written."""
    options: dict[str, Any] = {"nogil": True, "fastmath": {"contract", "nsz", "arcp", "reassoc"}}
    try:
        return njit(cache=True, **options)(function)
    except RuntimeError:  # no folder for the cache can be written: compile afresh every time
        return njit(**options)(function)


@compiled
def phasors(half_turns_per_metre, distance, scale, out):
    """Fill out[0], out[1] with the parts of scale·exp(−jkd) for every column.

    half_turns_per_metre is k/π. A polynomial without branches, so that the loop is vectorised.
    """
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
def bernstein(x):
    """Sum of the semi-axes of the ellipse with foci ±1 through the complex point x."""
    root = np.sqrt(x * x - 1.0)
    return max(abs(x + root), abs(x - root))


@compiled
def is_plain(foot, rho, start, length, count, tolerance):
    """Whether a panel's own Gauss points resolve what a point at (foot, ρ) sends it."""
    x = complex(2.0 * (foot - start) / length - 1.0, 2.0 * rho / length)
    return bernstein(x) ** (-2.0 * count) < tolerance


@compiled
def near_breaks(foot, rho, start, length, wavenumber):
    """Break points in u = asinh((z−foot)/ρ) of the rule for a panel seen from a near point.

    Equal shares of ∫ √((1/1.5)² + (k·m/5)²) du, at least two.
    """
    first = math.asinh((start - foot) / rho)
    last = math.asinh((start + length - foot) / rho)
    steps = 48
    shares = np.empty(steps + 1)
    shares[0] = 0.0
    step = (last - first) / steps
    for i in range(steps):
        m = rho * math.cosh(first + (i + 0.5) * step)
        density = math.sqrt(1.0 / NEAR_STEP**2 + (wavenumber * m / NEAR_PHASE) ** 2)
        shares[i + 1] = shares[i] + step * density
    number = max(2, math.ceil(shares[steps]))
    breaks = np.empty(number + 1)
    breaks[0] = first
    breaks[number] = last
    i = 0
    for b in range(1, number):
        aim = shares[steps] * b / number
        while shares[i + 1] < aim:
            i += 1
        breaks[b] = first + step * (i + (aim - shares[i]) / (shares[i + 1] - shares[i]))
    return breaks


@compiled
def near_panel(breaks, b, power_first, power_last, gauss_x, gauss_w, u, du_dx):
    """Points u and slopes du/dx of sub-panel b; the outermost ones are drawn to their ends.

    Returns the map: anchor, span and power (0: plain, > 0: first end, < 0: last end).
    """
    number = breaks.shape[0] - 1
    low = breaks[b]
    span = breaks[b + 1] - low
    power = 0.0
    anchor = low
    if b == 0 and power_first > 1.0:
        power = power_first
    elif b == number - 1 and power_last > 1.0:
        power = -power_last
        anchor = breaks[number]
    for q in range(gauss_x.shape[0]):
        if power > 0.0:
            v = 0.5 * (1.0 + gauss_x[q])
            u[q] = anchor + span * v**power
            du_dx[q] = 0.5 * span * power * v ** (power - 1.0)
        elif power < 0.0:
            v = 0.5 * (1.0 - gauss_x[q])
            u[q] = anchor - span * v ** (-power)
            du_dx[q] = -0.5 * span * power * v ** (-power - 1.0)
        else:
            u[q] = low + 0.5 * span * (1.0 + gauss_x[q])
            du_dx[q] = 0.5 * span
    return anchor, span, power


@compiled
def end_power(panel_at_vertex, corner, corners):
    """How strongly a near rule is drawn to a panel's end.

    Not at all inside an edge, most at a vertex that the seeing edge shares.
    """
    if not panel_at_vertex:
        return 1.0
    if corner == corners[0] or corner == corners[1]:
        return 3.0
    return 2.0


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
def build_links(
    node_position,
    node_z,
    node_weight,
    node_bary,
    node_x,
    node_edge,
    panel_edge,
    panel_start,
    panel_length,
    panel_first,
    panel_count,
    panel_ends,
    edge_origin,
    edge_along,
    edge_nu,
    edge_corners,
    edge_faces,
    face_first,
    face_panel,
    face_side,
    basis_x,
    basis_bary,
    gauss_x,
    gauss_w,
    wavenumber,
    tolerance,
    fill,
    link_first,
    link_panel,
    link_side,
    link_point,
    point_distance,
    point_weight,
    point_in,
    point_out,
    point_spread,
):
    """What every node sees along each of its two faces: panels, and the points on them.

    For node i, side s the links are link_first[2i+s] … link_first[2i+s+1]; link n has the points
    link_point[n] … link_point[n+1]. A link whose points are the panel's own nodes is plain; a
    near one carries point_spread, the interpolation from the panel's nodes to each point.
    Called twice: counting (fill = False), then filling. Returns links, points and spread count.
    """
    links = 0
    points = 0
    spread = 0
    basis_t = (1.0 + basis_x) / (1.0 - basis_x)
    u = np.empty(gauss_x.shape[0])
    du_dx = np.empty(gauss_x.shape[0])
    for i in range(node_z.shape[0]):
        own = node_edge[i]
        for side in range(2):
            if fill:
                link_first[2 * i + side] = links
            face = edge_faces[own, side]
            for entry in range(face_first[face], face_first[face + 1]):
                panel = face_panel[entry]
                edge = panel_edge[panel]
                if edge == own:
                    continue
                start = panel_start[panel]
                length = panel_length[panel]
                first = panel_first[panel]
                count = panel_count[panel]
                foot, rho = foot_and_distance(node_position[i], edge_origin[edge], edge_along[edge])
                if is_plain(foot, rho, start, length, count, tolerance):
                    if fill:
                        link_panel[links] = panel
                        link_side[links] = face_side[entry]
                        link_point[links] = points
                        for j in range(first, first + count):
                            n = points + j - first
                            m = math.hypot(node_z[j] - foot, rho)
                            point_distance[n] = m
                            point_weight[n] = node_weight[j] / m
                            zeta, tau = foot_and_distance(
                                node_position[j], edge_origin[own], edge_along[own]
                            )
                            exchange_values(
                                exp_asinh(zeta - node_z[i], tau) ** edge_nu[own],
                                edge_nu[own],
                                basis_t,
                                side,
                                point_in[n],
                            )
                            direction_values(
                                exp_asinh(foot - node_z[j], rho) ** edge_nu[edge],
                                basis_x,
                                basis_bary,
                                point_out[n],
                            )
                    points += count
                else:
                    breaks = near_breaks(foot, rho, start, length, wavenumber)
                    number = breaks.shape[0] - 1
                    if fill:
                        link_panel[links] = -1 - panel
                        link_side[links] = face_side[entry]
                        link_point[links] = points
                        power_first = end_power(
                            panel_ends[panel, 0] >= 0, panel_ends[panel, 0], edge_corners[own]
                        )
                        power_last = end_power(
                            panel_ends[panel, 1] >= 0, panel_ends[panel, 1], edge_corners[own]
                        )
                        n = points
                        at = spread
                        for b in range(number):
                            near_panel(
                                breaks, b, power_first, power_last, gauss_x, gauss_w, u, du_dx
                            )
                            for q in range(gauss_x.shape[0]):
                                z = foot + rho * math.sinh(u[q])
                                m = rho * math.cosh(u[q])
                                point_distance[n] = m
                                point_weight[n] = gauss_w[q] * du_dx[q]
                                x0 = edge_origin[edge, 0] + z * edge_along[edge, 0]
                                x1 = edge_origin[edge, 1] + z * edge_along[edge, 1]
                                x2 = edge_origin[edge, 2] + z * edge_along[edge, 2]
                                zeta, tau = foot_and_distance(
                                    np.array([x0, x1, x2]), edge_origin[own], edge_along[own]
                                )
                                exchange_values(
                                    exp_asinh(zeta - node_z[i], tau) ** edge_nu[own],
                                    edge_nu[own],
                                    basis_t,
                                    side,
                                    point_in[n],
                                )
                                direction_values(
                                    math.exp(-edge_nu[edge] * u[q]),
                                    basis_x,
                                    basis_bary,
                                    point_out[n],
                                )
                                x = 2.0 * (z - start) / length - 1.0
                                lagrange(
                                    x,
                                    node_x[first : first + count],
                                    node_bary[first : first + count],
                                    point_spread[at : at + count],
                                )
                                at += count
                                n += 1
                    points += number * gauss_x.shape[0]
                    spread += number * gauss_x.shape[0] * count
                links += 1
    if fill:
        link_first[2 * node_z.shape[0]] = links
        link_point[links] = points
    return links, points, spread


@compiled
def carry(
    leaving,
    half_turns,
    panel_first,
    panel_count,
    link_first,
    link_panel,
    link_side,
    link_point,
    point_distance,
    point_weight,
    point_in,
    point_out,
    point_spread,
    added,
):
    """One passage of sound from all edges along the faces to all edges, and on from there.

    leaving, added: (node, side, direction, 2, column). Overwrites added.
    """
    strength = np.empty((2, leaving.shape[4]))
    phase = np.empty((2, half_turns.shape[0]))
    spread = 0
    added[:] = 0.0
    for i in range(leaving.shape[0]):
        for side in range(2):
            for link in range(link_first[2 * i + side], link_first[2 * i + side + 1]):
                near = link_panel[link] < 0
                panel = -1 - link_panel[link] if near else link_panel[link]
                first = panel_first[panel]
                count = panel_count[panel]
                from_side = link_side[link]
                for n in range(link_point[link], link_point[link + 1]):
                    strength[:] = 0.0
                    if near:
                        for j in range(count):
                            gather(
                                leaving[first + j, from_side],
                                point_out[n],
                                point_spread[spread + j],
                                strength,
                            )
                        spread += count
                    else:
                        j = first + n - link_point[link]
                        gather(leaving[j, from_side], point_out[n], 1.0, strength)
                    phasors(half_turns, point_distance[n], point_weight[n], phase)
                    turn(strength, phase)
                    scatter(strength, point_in[n, 0], added[i, 0])
                    scatter(strength, point_in[n, 1], added[i, 1])


@compiled
def gather(parts, shares, factor, total):
    """total += factor·Σ_p shares[p]·parts[p]; parts (p, 2, column), four at a time."""
    fours = shares.shape[0] // 4 * 4
    for p in range(0, fours, 4):
        a = factor * shares[p]
        b = factor * shares[p + 1]
        c = factor * shares[p + 2]
        d = factor * shares[p + 3]
        for plane in range(2):
            for x in range(total.shape[1]):
                total[plane, x] += (
                    a * parts[p, plane, x]
                    + b * parts[p + 1, plane, x]
                    + c * parts[p + 2, plane, x]
                    + d * parts[p + 3, plane, x]
                )
    for p in range(fours, shares.shape[0]):
        add_scaled(total, parts[p], factor * shares[p])


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
def turn(value, phase):
    """value *= phase, complex; value (2, column), phase (2, frequency) repeats over them."""
    frequencies = phase.shape[1]
    for start in range(0, value.shape[1], frequencies):
        for f in range(frequencies):
            c = start + f
            real = value[0, c] * phase[0, f] - value[1, c] * phase[1, f]
            value[1, c] = value[0, c] * phase[1, f] + value[1, c] * phase[0, f]
            value[0, c] = real


@compiled
def light_edges(
    points, weights, nodes, sides, node_position, node_z, node_edge, edge_origin, edge_along,
    edge_nu, half_turns, basis_x, leaving,
):  # fmt: skip
    """Add what leaves the listed nodes for what the points of a source send along their face.

    leaving: (node, side, direction, 2, column of this source).
    """
    basis_t = (1.0 + basis_x) / (1.0 - basis_x)
    value = np.empty((2, basis_x.shape[0]))
    phase = np.empty((2, half_turns.shape[0]))
    for index in range(nodes.shape[0]):
        i = nodes[index]
        edge = node_edge[i]
        nu = edge_nu[edge]
        for n in range(points.shape[0]):
            zeta, rho = foot_and_distance(points[n], edge_origin[edge], edge_along[edge])
            zeta -= node_z[i]
            m = math.hypot(zeta, rho)
            exchange_values(exp_asinh(zeta, rho) ** nu, nu, basis_t, sides[index], value)
            phasors(half_turns, m, weights[n] / m, phase)
            scatter(phase, value[0], leaving[i, 0])
            scatter(phase, value[1], leaving[i, 1])


@compiled
def emit_along_face(
    node_index, node_side, leaving, node_weight, node_z, node_edge, edge_origin,
    edge_along, edge_nu, targets, half_turns, basis_x, basis_bary, out,
):  # fmt: skip
    """What listed nodes send along a face to the points of another edge.

    targets: (q, 3) points on the receiving edge; out: (q, node, 2, column) gets
    w·U(direction)·exp(−jkm)/m.
    """
    value = np.empty(basis_x.shape[0])
    phase = np.empty((2, half_turns.shape[0]))
    for q in range(targets.shape[0]):
        for index in range(node_index.shape[0]):
            i = node_index[index]
            edge = node_edge[i]
            zeta, tau = foot_and_distance(targets[q], edge_origin[edge], edge_along[edge])
            zeta -= node_z[i]
            m = math.hypot(zeta, tau)
            direction_values(exp_asinh(zeta, tau) ** edge_nu[edge], basis_x, basis_bary, value)
            total = out[q, index]
            total[:] = 0.0
            gather(leaving[i, node_side[index]], value, 1.0, total)
            phasors(half_turns, m, node_weight[i] / m, phase)
            turn(total, phase)


@compiled
def emit_from_points(points, weights, targets, half_turns, out):
    """The same for the points of a source, U = 1: out (q, point, 2, column)."""
    for q in range(targets.shape[0]):
        for n in range(points.shape[0]):
            x = targets[q, 0] - points[n, 0]
            y = targets[q, 1] - points[n, 1]
            z = targets[q, 2] - points[n, 2]
            m = math.sqrt(x * x + y * y + z * z)
            phasors(half_turns, m, weights[n] / m, out[q, n])


@compiled
def leg_weights(
    foot, rho, z, measure, x, w, bary, anchor, span, power, in_u, nu, wedge, zr, rhor, theta,
    with_poles, out,
):  # fmt: skip
    """Real weights of the leg emitter → edge points → receiver, zone boundaries included.

    foot, rho: emitters about the edge (i,); z, measure = dz/dx, x, w, bary: the rule on the edge
    (q,); zr, rhor, theta: receivers about the edge, θ from the face of arrival (r,).
    out[q, r, i] = w·(dz/dx)·β plus, where asked, the correction for the poles at the zone boundary.

    β = t·[4 sin p/((t−1)² + 4 sin²(p/2)·t) + 4 sin q/((t−1)² + 4 sin²(q/2)·t)], t = exp(νη),
    p = ν(π+θ), q = ν(π−θ): Svensson, Fred & Vanderkooy (1999), rewritten so as not to cancel.
    """
    count = z.shape[0]
    ts = np.empty((count, foot.shape[0]))
    for q in range(count):
        for i in range(foot.shape[0]):
            ts[q, i] = exp_asinh(foot[i] - z[q], rho[i]) ** nu
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
        for q in range(count):
            tr = exp_asinh(zr[r] - z[q], rhor[r]) ** nu
            weight = w[q] * measure[q]
            for i in range(foot.shape[0]):
                t = ts[q, i] * tr
                d = (t - 1.0) * (t - 1.0)
                e = d + half_p * t
                g = d + half_s * t
                out[q, r, i] = weight * t * (sin_p * g + sin_s * e) / (e * g)
        for term in range(2 if with_poles else 0):
            f = math.pi - theta[r] if term == 0 else 2.0 * wedge - math.pi - theta[r]
            if abs(f) >= POLE_REACH or abs(f) < 1e-9:
                continue
            side = 1.0 - 2.0 * term
            for i in range(foot.shape[0]):
                correct_pole(
                    f, side, i, r, foot[i], rho[i], zr[r], rhor[r], nu,
                    measure, x, w, bary, anchor, span, power, in_u, out,
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
def gauss_error(xc, x, w):
    """∫dx/(x−x*) over [−1, 1] less its Gauss rule."""
    error = np.log(1.0 - xc) - np.log(-1.0 - xc)
    for q in range(x.shape[0]):
        error += w[q] / (xc - x[q])
    return error


@compiled
def correct_pole(
    f, side, i, r, foot, rho, zr, rhor, nu, measure, x, w, bary, anchor, span, power, in_u, out
):
    """Add to out[:, r, i] what the Gauss rule misses of the poles at η = ±jf.

    The error of a Gauss rule for 1/(x−x*) is known in closed form; the smooth factor is carried
    to x* by the rule's own polynomial. (After Svensson & Calamia, Acta Acustica united with
    Acustica 92, 2006, 501, who treat the same singularity.)
    """
    count = x.shape[0]
    y, m, l, sigma, _ = zone_pole(f, foot, rho, zr, rhor)
    if in_u:
        u = np.log((y + m) / rho)
        if power > 0.0:
            v = ((u - anchor) / span) ** (1.0 / power)
            xc = 2.0 * v - 1.0
            slope = m * 0.5 * span * power * v ** (power - 1.0)
        elif power < 0.0:
            v = ((anchor - u) / span) ** (-1.0 / power)
            xc = 1.0 - 2.0 * v
            slope = -m * 0.5 * span * power * v ** (-power - 1.0)
        else:
            xc = 2.0 * (u - anchor) / span - 1.0
            slope = m * (0.5 * span + 0.0j)
    else:
        xc = 2.0 * (foot + y - anchor) / span - 1.0
        slope = 0.5 * span + 0.0j
    if bernstein(xc) ** (-2.0 * count) < POLE_TOLERANCE:
        return
    total = 0.0 + 0.0j
    for q in range(count):
        total += bary[q] / (xc - x[q])
    residue = side * (2j * sigma / nu) * (m * l / (m + l)) / slope * gauss_error(xc, x, w) / total
    for q in range(count):
        out[q, r, i] += measure[q] * 2.0 * (residue * bary[q] / (xc - x[q])).real


@compiled
def boundary_waves(
    foot, rho, start, length, x, w, wedge, zr, rhor, theta, share, emitted, half_turns,
    receivers, pressure,
):  # fmt: skip
    """Add what a panel's rule misses of the zone boundary in the first order, exactly.

    For a bare point source the smooth factor at the pole is exp(−j·k·path)/path itself, so the
    correction is a wave of real amplitude: −ν/4π·2Re[(2jσ/ν)·E] = (σ/π)·Im E for each term of β,
    E the error of the Gauss rule. emitted: weights of the source's points (i,).
    """
    phase = np.empty((2, half_turns.shape[0]))
    half = 0.5 * length
    for r in range(zr.shape[0]):
        for term in range(2):
            f = math.pi - theta[r] if term == 0 else 2.0 * wedge - math.pi - theta[r]
            if abs(f) >= POLE_REACH or abs(f) < 1e-9:
                continue
            side = 1.0 - 2.0 * term
            for i in range(foot.shape[0]):
                y, _, _, sigma, path = zone_pole(f, foot[i], rho[i], zr[r], rhor[r])
                xc = (foot[i] + y - start) / half - 1.0
                if bernstein(xc) ** (-2.0 * x.shape[0]) < POLE_TOLERANCE:
                    continue
                amount = side * sigma / math.pi * gauss_error(xc, x, w).imag
                phasors(half_turns, path, share[r] * emitted[i] * amount / path, phase)
                add_scaled(pressure[receivers[r]], phase, 1.0)


@compiled
def radiate(strength, z, zr, rhor, factor, half_turns, receivers, pressure):
    """pressure[receiver] += factor·Σ_q strength[q, r]·exp(−jkl)/l; strength (q, r, 2, column).

    half_turns holds each frequency once; the columns repeat them for every source.
    """
    phase = np.empty((2, half_turns.shape[0]))
    for r in range(zr.shape[0]):
        for q in range(z.shape[0]):
            l = math.hypot(zr[r] - z[q], rhor[r])
            phasors(half_turns, l, factor[r] / l, phase)
            add_turned(pressure[receivers[r]], strength[q, r], phase)


@compiled
def add_turned(total, value, phase):
    """total += value·phase, complex; phase (2, frequency) repeats over the columns."""
    frequencies = phase.shape[1]
    for start in range(0, total.shape[1], frequencies):
        for f in range(frequencies):
            c = start + f
            total[0, c] += value[0, c] * phase[0, f] - value[1, c] * phase[1, f]
            total[1, c] += value[0, c] * phase[1, f] + value[1, c] * phase[0, f]


@compiled
def radiate_near(
    foot, rho, start, length, ends, own_corners, origin, along, wavenumber, gauss_x, gauss_w,
    gauss_bary, nu, wedge, zr, rhor, theta, factor, receivers, node_z, node_position,
    node_origin, node_along, node_nu, node_weight, leaving, half_turns, basis_x, basis_bary,
    pressure,
):  # fmt: skip
    """The last leg from one node to a panel so near that it needs a rule of its own.

    leaving: (direction, 2, column) of that node on the shared face.
    """
    breaks = near_breaks(foot, rho, start, length, wavenumber)
    power_first = end_power(ends[0] >= 0, ends[0], own_corners)
    power_last = end_power(ends[1] >= 0, ends[1], own_corners)
    points = gauss_x.shape[0]
    u = np.empty(points)
    measure = np.empty(points)
    z = np.empty(points)
    m = np.empty(points)
    value = np.empty(basis_x.shape[0])
    emitted = np.empty((points, 2, leaving.shape[2]))
    phase = np.empty((2, half_turns.shape[0]))
    weights = np.empty((points, zr.shape[0], 1))
    foot_1 = np.array([foot])
    rho_1 = np.array([rho])
    for b in range(breaks.shape[0] - 1):
        anchor, span, power = near_panel(
            breaks, b, power_first, power_last, gauss_x, gauss_w, u, measure
        )
        for q in range(points):
            z[q] = foot + rho * math.sinh(u[q])
            m[q] = rho * math.cosh(u[q])
            measure[q] *= m[q]
            target = origin + z[q] * along
            zeta, tau = foot_and_distance(target, node_origin, node_along)
            t = exp_asinh(zeta - node_z, tau) ** node_nu
            direction_values(t, basis_x, basis_bary, value)
            emitted[q] = 0.0
            gather(leaving, value, 1.0, emitted[q])
            phasors(half_turns, m[q], node_weight / m[q], phase)
            turn(emitted[q], phase)
        leg_weights(
            foot_1, rho_1, z, measure, gauss_x, gauss_w, gauss_bary, anchor, span, power, True,
            nu, wedge, zr, rhor, theta, True, weights,
        )  # fmt: skip
        for r in range(zr.shape[0]):
            total = pressure[receivers[r]]
            for q in range(points):
                l = math.hypot(zr[r] - z[q], rhor[r])
                phasors(half_turns, l, factor[r] * weights[q, r, 0] / l, phase)
                add_turned(total, emitted[q], phase)


@compiled
def rim_integral(radius, lateral, height, half_turns, phi, weight, out):
    """∮ exp(−jkR)·(a²−ar cosφ)/(a²+r²−2ar cosφ) dφ around a piston's rim, by the given rule.

    phi, weight: (receiver, node) over half the rim; out: (receiver, 2, column), overwritten.
    """
    phase = np.empty((2, half_turns.shape[0]))
    out[:] = 0.0
    for i in range(lateral.shape[0]):
        r = lateral[i]
        for n in range(phi.shape[1]):
            # (a−r)² + 4ar·sin²(φ/2) keeps its digits where r is nearly a.
            chord = (radius - r) ** 2 + 4.0 * radius * r * math.sin(0.5 * phi[i, n]) ** 2
            if chord == 0.0:
                shape = 0.5
            else:
                part = radius * (radius - r) + 2.0 * radius * r * math.sin(0.5 * phi[i, n]) ** 2
                shape = part / chord
            distance = math.sqrt(height[i] ** 2 + chord)
            phasors(half_turns, distance, 2.0 * weight[i, n] * shape, phase)
            add_scaled(out[i], phase, 1.0)
