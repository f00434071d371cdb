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
LEANING = 4.0

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
def is_plain_over(turn, foot, rho, start, length, count, tolerance):
    """is_plain where one of the edges turns by less than a right angle: its poles lean in.

    β as a function of where it goes along the other edge has its poles at u = b ± jτ, b any
    direction; in z they lie on the two branches of a hyperbola about the foot.
    """
    if not is_plain(foot, rho, start, length, count, tolerance):
        return False
    if turn > 0.49 * math.pi:
        return True
    steps = math.ceil(LEANING / min(0.5, turn))
    for step in range(-steps, steps + 1):
        b = LEANING * step / steps
        beside = foot + rho * math.sinh(b) * math.cos(turn)
        off = rho * math.cosh(b) * math.sin(turn)
        if not is_plain(beside, off, start, length, count, tolerance):
            return False
    return True


@compiled
def near_step(turn, tolerance):
    """Width in u of a sub-panel whose Gauss points resolve an edge that turns by this much.

    What passes an edge that turns by τ has its poles at Im u = ±τ (β's at a + b = ±jτ, those of a
    spectrum likewise), so a sub-panel of width h has them at a distance 2τ/h in its own variable.
    """
    ellipse = tolerance ** (-0.5 / NEAR_POINTS)
    return min(NEAR_STEP, 4.0 * turn / (ellipse - 1.0 / ellipse))


@compiled
def near_breaks(foot, rho, start, length, wavenumber, widest):
    """Break points in u = asinh((z−foot)/ρ) of the rule for a panel seen from a near point.

    Equal shares of ∫ √((1/widest)² + (k·m/5)²) du, at least two.
    """
    first = math.asinh((start - foot) / rho)
    last = math.asinh((start + length - foot) / rho)
    steps = 48
    shares = np.empty(steps + 1)
    shares[0] = 0.0
    step = (last - first) / steps
    for i in range(steps):
        m = rho * math.cosh(first + (i + 0.5) * step)
        density = math.sqrt(1.0 / widest**2 + (wavenumber * m / NEAR_PHASE) ** 2)
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
def end_power(vertex, corners):
    """How strongly a near rule is drawn to a panel's end.

    Not at all inside an edge (vertex −1), most at a vertex among the seeing edge's corners.
    """
    if vertex < 0:
        return 1.0
    if vertex == corners[0] or vertex == corners[1]:
        return 3.0
    return 2.0


@compiled
def near_panel(breaks, b, ends, corners, gauss_x, u, du_dx):
    """Points u and slopes du/dx of sub-panel b; the outermost ones are drawn to their ends.

    Returns the map: anchor, span and power (0: plain, > 0: first end, < 0: last end).
    """
    number = breaks.shape[0] - 1
    low = breaks[b]
    span = breaks[b + 1] - low
    power = 0.0
    anchor = low
    if b == 0:
        power = end_power(ends[0], corners)
    elif b == number - 1:
        power = -end_power(ends[1], corners)
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
def plain_ones(turn, foot, rho, start, length, count, tolerance, plain):
    """is_plain_over for many points (i,) and one panel."""
    for i in range(foot.shape[0]):
        plain[i] = is_plain_over(turn[i], foot[i], rho[i], start, length, count, tolerance)


@compiled
def list_links(grid, wavenumber, tolerance, links):
    """List what every node sees along its two faces; returns the number of links.

    Fills links.first, panel, side, point and spread (the last two are running sums of points and
    of interpolation weights). A near link has its panel stored as −1 − panel.
    """
    edges = grid.edges
    number = 0
    for i in range(grid.node_z.shape[0]):
        own = grid.node_edge[i]
        for side in range(2):
            links.first[2 * i + side] = number
            face = edges.faces[own, side]
            for entry in range(grid.face_first[face], grid.face_first[face + 1]):
                panel = grid.face_panel[entry]
                edge = grid.edge[panel]
                if edge == own:
                    continue
                start = grid.start[panel]
                length = grid.length[panel]
                count = grid.count[panel]
                foot, rho = foot_and_distance(
                    grid.node_position[i], edges.origin[edge], edges.along[edge]
                )
                points = count
                spread = 0
                links.panel[number] = panel
                turn = min(edges.wedge[own], edges.wedge[edge]) - math.pi
                if not is_plain_over(turn, foot, rho, start, length, count, tolerance):
                    links.panel[number] = -1 - panel
                    widest = near_step(turn, tolerance)
                    breaks = near_breaks(foot, rho, start, length, wavenumber, widest)
                    points = (breaks.shape[0] - 1) * NEAR_POINTS
                    spread = points * count
                links.side[number] = grid.face_side[entry]
                links.point[number + 1] = links.point[number] + points
                links.spread[number + 1] = links.spread[number] + spread
                number += 1
    links.first[2 * grid.node_z.shape[0]] = number
    return number


@compiled
def fill_links(grid, basis, near, wavenumber, tolerance, links, table):
    """Tabulate every point of every listed link: distance, weight and direction values."""
    edges = grid.edges
    basis_t = (1.0 + basis.x) / (1.0 - basis.x)
    for i in range(grid.node_z.shape[0]):
        own = grid.node_edge[i]
        nu = edges.nu[own]
        for side in range(2):
            for link in range(links.first[2 * i + side], links.first[2 * i + side + 1]):
                is_near = links.panel[link] < 0
                panel = -1 - links.panel[link] if is_near else links.panel[link]
                edge = grid.edge[panel]
                origin = edges.origin[edge]
                along = edges.along[edge]
                foot, rho = foot_and_distance(grid.node_position[i], origin, along)
                if is_near:
                    fill_near(
                        grid, i, panel, foot, rho, basis, near, wavenumber, tolerance, table,
                        links.point[link], links.spread[link],
                    )  # fmt: skip
                else:
                    fill_plain(grid, panel, foot, rho, basis, table, links.point[link])
                for n in range(links.point[link], links.point[link + 1]):
                    zeta, tau = foot_and_distance(
                        origin + table.z[n] * along, edges.origin[own], edges.along[own]
                    )
                    t = exp_asinh(zeta - grid.node_z[i], tau) ** nu
                    exchange_values(t, nu, basis_t, side, table.arriving[n])


@compiled
def fill_plain(grid, panel, foot, rho, basis, table, at):
    """A plain link: the panel's own nodes."""
    nu = grid.edges.nu[grid.edge[panel]]
    first = grid.first[panel]
    for j in range(first, first + grid.count[panel]):
        n = at + j - first
        m = math.hypot(grid.node_z[j] - foot, rho)
        table.z[n] = grid.node_z[j]
        table.distance[n] = m
        table.weight[n] = grid.node_weight[j] / m
        t = exp_asinh(foot - grid.node_z[j], rho) ** nu
        direction_values(t, basis.x, basis.bary, table.leaving[n])


@compiled
def fill_near(grid, i, panel, foot, rho, basis, near, wavenumber, tolerance, table, at, spread_at):
    """A near link: a rule in u, and the interpolation of the panel's nodes to its points."""
    edge = grid.edge[panel]
    start = grid.start[panel]
    length = grid.length[panel]
    first = grid.first[panel]
    count = grid.count[panel]
    corners = grid.edges.corners[grid.node_edge[i]]
    turn = min(grid.edges.wedge[grid.node_edge[i]], grid.edges.wedge[edge]) - math.pi
    breaks = near_breaks(foot, rho, start, length, wavenumber, near_step(turn, tolerance))
    u = np.empty(near.x.shape[0])
    du_dx = np.empty(near.x.shape[0])
    for b in range(breaks.shape[0] - 1):
        near_panel(breaks, b, grid.ends[panel], corners, near.x, u, du_dx)
        for q in range(near.x.shape[0]):
            z = foot + rho * math.sinh(u[q])
            table.z[at] = z
            table.distance[at] = rho * math.cosh(u[q])
            table.weight[at] = near.w[q] * du_dx[q]
            t = math.exp(-grid.edges.nu[edge] * u[q])
            direction_values(t, basis.x, basis.bary, table.leaving[at])
            lagrange(
                2.0 * (z - start) / length - 1.0,
                grid.node_x[first : first + count],
                grid.node_bary[first : first + count],
                table.spread[spread_at : spread_at + count],
            )
            at += 1
            spread_at += count


@compiled
def carry(leaving, half_turns, grid, links, table, most_points, added):
    """One passage of sound from all edges along the faces to all edges, and on from there.

    leaving, added: (side, node, direction, 2, column). Overwrites added.
    """
    directions = leaving.shape[2]
    columns = leaving.shape[4]
    strength = np.empty((2, columns))
    phase = np.empty((2, half_turns.shape[0]))
    spread_out = np.empty((most_points, directions, 2, columns))
    flat_out = spread_out.reshape(most_points, directions * 2 * columns)
    flat = leaving.reshape(2, leaving.shape[1], directions * 2 * columns)
    added[:] = 0.0
    for i in range(leaving.shape[1]):
        for side in range(2):
            for link in range(links.first[2 * i + side], links.first[2 * i + side + 1]):
                near = links.panel[link] < 0
                panel = -1 - links.panel[link] if near else links.panel[link]
                first = grid.first[panel]
                count = grid.count[panel]
                from_side = links.side[link]
                at = links.point[link]
                points = links.point[link + 1] - at
                if near:
                    spread = table.spread[links.spread[link] : links.spread[link + 1]]
                    np.dot(
                        spread.reshape(points, count),
                        flat[from_side, first : first + count],
                        flat_out[:points],
                    )
                for n in range(points):
                    strength[:] = 0.0
                    if near:
                        gather(spread_out[n], table.leaving[at + n], strength)
                    else:
                        gather(leaving[from_side, first + n], table.leaving[at + n], strength)
                    phasors(half_turns, table.distance[at + n], table.weight[at + n], phase)
                    turn(strength, phase)
                    scatter(strength, table.arriving[at + n, 0], added[0, i])
                    scatter(strength, table.arriving[at + n, 1], added[1, i])


@compiled
def gather(parts, shares, total):
    """total += Σ_p shares[p]·parts[p]; parts (p, 2, column), four at a time."""
    fours = shares.shape[0] // 4 * 4
    for p in range(0, fours, 4):
        a = shares[p]
        b = shares[p + 1]
        c = shares[p + 2]
        d = shares[p + 3]
        for plane in range(2):
            for x in range(total.shape[1]):
                total[plane, x] += (
                    a * parts[p, plane, x]
                    + b * parts[p + 1, plane, x]
                    + c * parts[p + 2, plane, x]
                    + d * parts[p + 3, plane, x]
                )
    for p in range(fours, shares.shape[0]):
        add_scaled(total, parts[p], shares[p])


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
def light_edges(points, weights, depths, nodes, sides, grid, basis_x, half_turns, leaving):
    """Add what leaves the listed nodes for what the points of a source send along their face.

    leaving: (side, node, direction, 2, column of this source).
    """
    edges = grid.edges
    basis_t = (1.0 + basis_x) / (1.0 - basis_x)
    value = np.empty((2, basis_x.shape[0]))
    phase = np.empty((2, half_turns.shape[0]))
    for index in range(nodes.shape[0]):
        i = nodes[index]
        edge = grid.node_edge[i]
        nu = edges.nu[edge]
        for n in range(points.shape[0]):
            zeta, rho = foot_and_distance(points[n], edges.origin[edge], edges.along[edge])
            zeta -= grid.node_z[i]
            m = math.hypot(zeta, rho)
            exchange_values(exp_asinh(zeta, rho) ** nu, nu, basis_t, sides[index], value)
            phasors(half_turns, m + depths[n], weights[n] / m, phase)
            scatter(phase, value[0], leaving[0, i])
            scatter(phase, value[1], leaving[1, i])


@compiled
def emission(nodes, grid, basis, targets, value, distance):
    """Direction values (q, i, direction) and distances (q, i) of nodes as seen from edge points.

    targets: (q, 3) points on another edge of the nodes' face.
    """
    edges = grid.edges
    for q in range(targets.shape[0]):
        for index in range(nodes.shape[0]):
            i = nodes[index]
            edge = grid.node_edge[i]
            zeta, tau = foot_and_distance(targets[q], edges.origin[edge], edges.along[edge])
            zeta -= grid.node_z[i]
            distance[q, index] = math.hypot(zeta, tau)
            t = exp_asinh(zeta, tau) ** edges.nu[edge]
            direction_values(t, basis.x, basis.bary, value[q, index])


@compiled
def emit(nodes, sides, leaving, node_weight, value, distance, half_turns, out):
    """What nodes send to edge points, w·U(direction)·exp(−jkm)/m: out (q, i, 2, column)."""
    phase = np.empty((2, half_turns.shape[0]))
    for q in range(value.shape[0]):
        for index in range(nodes.shape[0]):
            i = nodes[index]
            total = out[q, index]
            total[:] = 0.0
            gather(leaving[sides[index], i], value[q, index], total)
            m = distance[q, index]
            phasors(half_turns, m, node_weight[i] / m, phase)
            turn(total, phase)


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
def leg_weights(
    foot, rho, slants, z, measure, x, w, bary, anchor, span, power, in_u, nu, wedge, zr, rhor,
    theta, with_poles, out,
):  # fmt: skip
    """Real weights of the leg emitter → edge points → receiver, zone boundaries included.

    foot, rho: emitters about the edge (i,); slants (i, 5): see `fading`; z, measure = dz/dx, x, w,
    bary: the rule on the edge (q,); zr, rhor, theta: receivers about the edge, θ from the face of
    arrival (r,).
    out[q, r, i] = w·(dz/dx)·β plus, where asked, the correction for the poles at the zone boundary.

    β = t·[4 sin p/((t−1)² + 4 sin²(p/2)·t) + 4 sin q/((t−1)² + 4 sin²(q/2)·t)], t = exp(νη),
    p = ν(π+θ), q = ν(π−θ): Svensson, Fred & Vanderkooy (1999), rewritten so as not to cancel.
    """
    count = z.shape[0]
    ts = np.empty((count, foot.shape[0]))
    for q in range(count):
        for i in range(foot.shape[0]):
            ts[q, i] = exp_asinh(foot[i] - z[q], rho[i]) ** nu
    fade = np.empty((count, foot.shape[0] if with_poles else 0))
    for q in range(count):
        for i in range(fade.shape[1]):
            fade[q, i] = fading(complex(z[q]), rho[i], slants[i]).real
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
            if abs(f) >= POLE_REACH or f == 0.0:
                continue
            side = 1.0 - 2.0 * term
            for i in range(foot.shape[0]):
                correct_pole(
                    f, side, i, r, foot[i], rho[i], slants[i], fade, zr[r], rhor[r], nu, measure,
                    x, w, bary, anchor, span, power, in_u, out,
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
def fading(z, rho, slant):
    """How strength fades in the direction from an emitter to the point z of another edge, complex.

    1 − x² with x = tanh(νa/2) about the emitter's own edge, 4s/(1+s)² with s = exp(−ν|a|): it
    vanishes as the ν-th power of the distance from where the edges meet. rho: the emitter's
    distance from the other edge; slant: ν of its own edge, how far along that the other's origin
    lies ahead of it, cosine between the edges, z where their lines meet, and sine.
    """
    along = slant[1] + slant[2] * z
    off = rho + 0.0j if slant[4] == 0.0 else slant[4] * (z - slant[3])
    if off.real < 0.0:
        off = -off
    if along.real < 0.0:
        along = -along
    s = (off / (along + np.sqrt(along * along + off * off))) ** slant[0]
    return 4.0 * s / ((1.0 + s) * (1.0 + s))


@compiled
def correct_pole(
    f, side, i, r, foot, rho, slant, fade, zr, rhor, nu, measure, x, w, bary, anchor, span, power,
    in_u, out,
):  # fmt: skip
    """Add to out[:, r, i] what the Gauss rule misses of the poles at η = ±jf.

    The error of a Gauss rule for 1/(x−x*) is known in closed form; the smooth factor is carried
    to x* by the rule's own polynomial, once it is divided by `fading`, whose root at a shared
    vertex no polynomial follows: on the extension of an edge x* lies there. (After Svensson &
    Calamia, Acta Acustica united with Acustica 92, 2006, 501, who treat the same singularity.)
    """
    count = x.shape[0]
    y, m, l, sigma, _ = zone_pole(f, foot, rho, zr, rhor)
    if in_u:
        u = np.log((y + m) / rho)
        if power > 0.0:
            v = ((u - anchor) / span) ** (1.0 / power)
            xc = 2.0 * v - 1.0
            slope = m * (0.5 * span * power + 0.0j)
        elif power < 0.0:
            v = ((anchor - u) / span) ** (-1.0 / power)
            xc = 1.0 - 2.0 * v
            slope = -m * (0.5 * span * power + 0.0j)
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
    residue *= fading(foot + y, rho, slant)
    for q in range(count):
        # A drawn map's v^(p−1) is left out of the slope above and divided out here: at a vertex
        # both vanish, and their quotient would be rounding.
        relief = 1.0
        if power > 0.0:
            relief = (0.5 * (1.0 + x[q])) ** (power - 1.0)
        elif power < 0.0:
            relief = (0.5 * (1.0 - x[q])) ** (-power - 1.0)
        carried = (residue * bary[q] / (xc - x[q])).real / fade[q, i]
        out[q, r, i] += measure[q] / relief * 2.0 * carried


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
                y, _, _, sigma, path = zone_pole(f, foot[i], rho[i], zr[r], rhor[r])
                xc = (foot[i] + y - start) / half - 1.0
                if bernstein(xc) ** (-2.0 * x.shape[0]) < POLE_TOLERANCE:
                    continue
                amount = side * sigma / math.pi * gauss_error(xc, x, w).imag
                size = share[r] * emitted[i] * amount / path
                phasors(half_turns, path + depths[i], size, phase)
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
def near_leg(
    grid, node, panel, breaks, foot, rho, slants, near, basis, zr, rhor, theta, z, value, distance,
    weights,
):  # fmt: skip
    """Tabulate the last leg from one node to a panel so near that it needs a rule of its own.

    Fills z (q,), value (q, 1, direction) and distance (q, 1) of the emission, and the real
    weights (q, receiver, 1); nothing here depends on frequency.
    """
    edges = grid.edges
    edge = grid.edge[panel]
    corners = edges.corners[grid.node_edge[node]]
    points = near.x.shape[0]
    u = np.empty(points)
    measure = np.empty(points)
    for b in range(breaks.shape[0] - 1):
        anchor, span, power = near_panel(breaks, b, grid.ends[panel], corners, near.x, u, measure)
        part = slice(b * points, (b + 1) * points)
        for q in range(points):
            z[b * points + q] = foot[0] + rho[0] * math.sinh(u[q])
            measure[q] *= rho[0] * math.cosh(u[q])
        leg_weights(
            foot, rho, slants, z[part], measure, near.x, near.w, near.bary, anchor, span, power,
            True, edges.nu[edge], edges.wedge[edge], zr, rhor, theta, True, weights[part],
        )  # fmt: skip
    targets = np.empty((z.shape[0], 3))
    for q in range(z.shape[0]):
        targets[q] = edges.origin[edge] + z[q] * edges.along[edge]
    emission(np.array([node]), grid, basis, targets, value, distance)


@compiled
def radiate_near(emitted, weights, z, zr, rhor, factor, half_turns, receivers, pressure):
    """pressure[receiver] += factor·Σ_q weights·emitted·exp(−jkl)/l of one near node.

    emitted: (q, 1, 2, column), weights: (q, receiver, 1).
    """
    phase = np.empty((2, half_turns.shape[0]))
    for r in range(zr.shape[0]):
        total = pressure[receivers[r]]
        for q in range(z.shape[0]):
            l = math.hypot(zr[r] - z[q], rhor[r])
            phasors(half_turns, l, factor[r] * weights[q, r, 0] / l, phase)
            add_turned(total, emitted[q, 0], phase)


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
