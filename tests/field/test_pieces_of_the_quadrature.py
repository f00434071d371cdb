"""Every piece of the solver's quadrature by itself, against the formula it stands for.

The kernels that these pieces call are checked in `test_kernels_by_formulas.py` and beside it.

References are worked out here from the formulas named beside each check, with numpy, with
adaptive quadrature (QUADPACK in scipy.integrate.quad) or with plain geometry in space; none
calls the code under test. "DEVELOPERS" is the chapter "The field solver" of DEVELOPERS.md.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad_vec

from acoustics.cabinet import Body, EdgeCut, body_from_corners, chamfered, plate
from acoustics.field import kernels
from acoustics.field.emitters import LEG_DIGITS, emitters_of, slants_of
from acoustics.field.first_order import radiate_once
from acoustics.field.grid import build_grid, edge_table
from acoustics.field.legs import _near_leg, panel_weights, plan_legs, radiate_edges
from acoustics.field.orders import (
    all_asked,
    all_orders,
    arrive,
    front_to_rear,
    still_to_come,
)
from acoustics.field.piston import Light
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import TIERS, resolution_for
from acoustics.field.sights import Points, find_sights, phases_of
from acoustics.field.views import View
from support.edge_waves import (
    beta,
    complex_quad,
    fading_to,
    joined,
    noise,
    over_directions,
    planes,
    pole_at,
    straight_on,
)
from support.edges import single_edge

BOX = Body.box(width=0.22, height=0.38, depth=0.30)
CHAMFERED = chamfered(BOX, [EdgeCut("front left", (0.03, 0.03), (0.03, 0.03))])
PLATE = plate(width=0.22, height=0.38)
SLAB = Body.box(width=0.22, height=0.38, depth=0.02)
VENEER = Body.box(width=0.22, height=0.38, depth=0.005)
ON_A_SPHERE = np.random.default_rng(8).normal(size=(9, 3))
SKEW = body_from_corners(0.3 * ON_A_SPHERE / np.linalg.norm(ON_A_SPHERE, axis=1)[:, None])
EXACT = replace(TIERS[0.03], real=np.float64)
"""Rules whose own error is seen, not that of single precision."""
SQUARE, SHALLOW, NEARLY_FLAT, THIN = 1.5 * np.pi, 1.15 * np.pi, 1.02 * np.pi, 2.0 * np.pi


def grid_of(body, resolution, wavelength=0.1, beside=()):
    """A grid; the edges `beside` something are cut for what is 10 mm from 0.1 m along them."""
    edges = edge_table(body)
    near = [(np.empty(0), np.empty(0))] * len(body.edges)
    for edge in beside:
        near[edge] = (np.array([0.1]), np.array([0.01]))
    return build_grid(edges, len(body.faces), near, wavelength, resolution)


# Zone boundaries


def fade_by_directions(grid, node, edge, z):
    """1 − tanh²(νa/2), a the direction in which a node sees the point z of another edge."""
    own = grid.node_edge[node]
    gap = grid.edges.origin[edge] + z * grid.edges.along[edge] - grid.node_position[node]
    ahead = gap @ grid.edges.along[own]
    aside = np.linalg.norm(gap - ahead * grid.edges.along[own])
    return 1.0 - np.tanh(0.5 * grid.edges.nu[own] * np.arcsinh(ahead / aside)) ** 2


def sight_lines(body, grid, every=1):
    """(panel, nodes of the other edges of one of its faces)."""
    for face in range(len(body.faces)):
        entries = grid.panels_of_face(face)
        for panel, _ in entries:
            others = [p for p, _ in entries if grid.edge[p] != grid.edge[panel]]
            nodes = np.concatenate([grid.nodes_of_panel(p) for p in others])
            yield panel, nodes[::every]


def points_of(grid, nodes):
    """Nodes as points that send."""
    return Points(
        grid.node_edge[nodes],
        grid.node_z[nodes],
        grid.node_weight[nodes],
        grid.node_position[nodes],
    )


BODIES = {"box": BOX, "chamfered": CHAMFERED, "plate": PLATE, "skew": SKEW}


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_fading_is_the_fall_along_the_own_edge(body):
    """Real points between any two edges of a face; parallel edges and thin plates among them."""
    grid = grid_of(body, TIERS[0.1], wavelength=10.0)
    for panel, nodes in sight_lines(body, grid, every=7):
        edge = grid.edge[panel]
        foot = kernel_feet(grid, edge, nodes)
        slants = slants_of(grid.edges, edge, points_of(grid, nodes))
        for node, (_, rho), slant in zip(nodes, foot, slants, strict=True):
            for part in (1e-3, 0.3, 0.8):
                z = grid.start[panel] + part * grid.length[panel]
                exact = fade_by_directions(grid, node, edge, z)
                for found in (fading_to(z, rho, slant), fading_to(z + 0j, rho, slant)):
                    assert found == pytest.approx(exact, rel=1e-9, abs=1e-12)


def kernel_feet(grid, edge, nodes):
    """Feet and distances of nodes about an edge, by the dot product."""
    offset = grid.node_position[nodes] - grid.edges.origin[edge]
    foot = offset @ grid.edges.along[edge]
    away = offset - foot[:, None] * grid.edges.along[edge]
    return np.stack([foot, np.linalg.norm(away, axis=1)], axis=1)


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_slants_say_how_edges_lie(body):
    """The lines' crossing solved for as two unknowns by numpy's least squares, in space."""
    grid = grid_of(body, TIERS[0.1], wavelength=10.0)
    parallel = 0
    for panel, nodes in sight_lines(body, grid, every=11):
        edge = grid.edge[panel]
        target, origin = grid.edges.along[edge], grid.edges.origin[edge]
        slants = slants_of(grid.edges, edge, points_of(grid, nodes))
        for node, slant in zip(nodes, slants, strict=True):
            nu, ahead, cosine, meet, sine = slant
            along, position = grid.edges.along[grid.node_edge[node]], grid.node_position[node]
            assert nu == np.pi / body.wedge_angles[grid.node_edge[node]]
            assert ahead == pytest.approx((origin - position) @ along, abs=1e-12)
            assert cosine == pytest.approx(along @ target, abs=1e-12)
            angle = np.arctan2(np.linalg.norm(np.cross(along, target)), along @ target)
            assert sine == pytest.approx(np.sin(angle), abs=1e-9)
            if sine == 0.0:
                parallel += 1
                continue
            lines = np.stack([along, -target], axis=1)
            (_, crossing), *_ = np.linalg.lstsq(lines, origin - position, rcond=None)
            assert meet == pytest.approx(crossing, abs=1e-9)
    assert (parallel > 0) == (body is not SKEW)


@pytest.mark.parametrize("body", [BOX, PLATE, SKEW], ids=["box", "plate", "skew"])
def test_fading_ends_at_the_shared_vertex_as_its_root(body):
    """Zero at the vertex, and the ν-th power of the distance from it (DEVELOPERS)."""
    grid = grid_of(body, TIERS[0.1], wavelength=10.0)
    for panel, nodes in sight_lines(body, grid, every=5):
        edge = grid.edge[panel]
        slants = slants_of(grid.edges, edge, points_of(grid, nodes))
        for node, slant in zip(nodes, slants, strict=True):
            if not set(grid.edges.corners[edge]) & set(grid.edges.corners[grid.node_edge[node]]):
                continue
            # Inward from the shared vertex, small beside the node's own distance from it.
            meet, inward = (0.0, 1.0) if abs(slant[3]) < 1e-9 else (grid.edges.length[edge], -1.0)
            assert slant[3] == pytest.approx(meet, abs=1e-9)
            slant[3] = meet
            rho = 1.0  # not asked for
            assert abs(fading_to(complex(meet), rho, slant)) == 0.0
            far = 1e-4 * abs(slant[1] + slant[2] * meet)
            near = fading_to(complex(meet + inward * far / 16), rho, slant).real
            ratio = fading_to(complex(meet + inward * far), rho, slant).real / near
            assert np.log(ratio) / np.log(16) == pytest.approx(slant[0], abs=0.03)


# The last leg and the first order at zone boundaries


def needle_quad(integrand, start, length, pole, breaks=()):
    """∫ over a panel with z = Re z* + w·sinh s, so that a needle of width w = Im z* is broad."""
    width = max(pole.imag, 1e-12)

    def into(z):
        return np.arcsinh((z - pole.real) / width)

    def stretched(s):
        return integrand(pole.real + width * np.sinh(s)) * width * np.cosh(s)

    knots = [into(z) for z in (pole.real, *breaks)]
    return complex_quad(stretched, into(start), into(start + length), knots)


def seen(*receivers):
    """Receivers (z, ρ, θ) about an edge, none of them grazing."""
    z, rho, theta = np.array(receivers, dtype=float).T.copy()
    return View(np.arange(z.size), z, rho, theta, np.ones(z.size))


def smooth_factor(grid, node, edge, z, m, l, wavenumber):  # noqa: E741
    """What β is multiplied by on the last leg, where the strength is its fall alone."""
    return fade_by_directions(grid, node, edge, z) * np.exp(-1j * wavenumber * (m + l)) / (m * l)


def exact_leg(grid, panel, node, foot, rho, receiver, wavenumber):
    """∫ β·(smooth factor) dz over a panel, adaptive."""
    edge = grid.edge[panel]
    wedge = grid.edges.wedge[edge]
    zr, rhor, theta = receiver

    def integrand(z):
        m, l = np.hypot(z - foot, rho), np.hypot(z - zr, rhor)  # noqa: E741
        eta = np.arcsinh((foot - z) / rho) + np.arcsinh((zr - z) / rhor)
        return beta(wedge, theta, eta) * smooth_factor(grid, node, edge, z, m, l, wavenumber)

    near = foot + rho * np.sinh(np.arange(-3.0, 3.5, 1.5))
    pole = pole_at(wedge, foot, rho, receiver)
    return needle_quad(integrand, grid.start[panel], grid.length[panel], pole, near)


def weights_of_panel(grid, panel, foot, rho, receiver, slants):
    """Weights of one emitter over a panel's own points to one receiver."""
    out = np.empty((grid.count[panel], 1, 1))
    panel_weights(grid, panel, np.array([foot]), np.array([rho]), seen(receiver), out, slants)
    return out[:, 0, 0]


def wave_missed(grid, panel, piece, foot, rho, slants, receiver, wavenumber):
    """What goes straight on from a piece of a panel."""
    start, length, points = piece
    wedge = grid.edges.wedge[grid.edge[panel]]
    of = (start, length, gauss_rule(int(points))), wedge, (foot, rho, slants), receiver
    return straight_on(*of, wavenumber, gauss_rule(12))


def leg_by_rule(grid, panel, node, foot, rho, receiver, wavenumber, resolution, near):
    """The same by the solver's weights: the panel's own points, or those of its pieces."""
    edge, one = grid.edge[panel], np.array([node])
    slants = slants_of(grid.edges, edge, points_of(grid, one))
    if near:
        emitters = emitters_of(grid, edge, one, resolution)
        leg = _near_leg(
            grid, panel, seen(receiver), emitters, np.array([0]), wavenumber, resolution
        )
        z, weights, pieces = leg.z, leg.weights, leg.pieces[:, :3]
    else:
        z = grid.node_z[grid.nodes_of_panel(panel)]
        pieces = [(grid.start[panel], grid.length[panel], grid.count[panel])]
        weights = weights_of_panel(grid, panel, foot, rho, receiver, slants)
    l = np.hypot(z - receiver[0], receiver[1])  # noqa: E741
    m = np.hypot(z - foot, rho)
    sent = [fade_by_directions(grid, node, edge, at) for at in z] * np.exp(-1j * wavenumber * m) / m
    about = foot, rho, slants, receiver, wavenumber
    waves = sum(wave_missed(grid, panel, piece, *about) for piece in pieces)
    return weights @ (sent * np.exp(-1j * wavenumber * l) / l) + waves


def leg_errors(body, resolution, receiver_at, *, shared, near):
    """Errors of last legs over the front's first edge, over the size of the boundary's wave.

    The wave of a whole pole is 2π/ν over the length of its path. `shared`: from edges that share
    a vertex with the panel's.
    """
    wavelength = 0.3
    grid = grid_of(body, resolution, wavelength)
    wavenumber = 2 * np.pi / wavelength
    panel, nodes = next(sight_lines(body, grid, every=3))
    edge = grid.edge[panel]
    receiver = (receiver_at[0] * grid.length[panel], *receiver_at[1:])
    errors = []
    for node, (foot, rho) in zip(nodes, kernel_feet(grid, edge, nodes), strict=True):
        own = grid.node_edge[node]
        meets = bool(set(grid.edges.corners[own]) & set(grid.edges.corners[edge]))
        panel_seen = (grid.start[panel], grid.length[panel], grid.count[panel])
        square = np.pi / 2
        is_plain = kernels.is_plain(foot, rho, square, *panel_seen, resolution.sight**LEG_DIGITS)
        if meets != shared or is_plain == near:
            continue
        sight = (grid, panel, node, foot, rho, receiver, wavenumber)
        wave = 2 * np.pi / grid.edges.nu[edge] / np.hypot(rho + receiver[1], receiver[0] - foot)
        errors.append(abs(leg_by_rule(*sight, resolution, near) - exact_leg(*sight)) / wave)
    return np.array(errors)


HAIRS = [(0.3, 2.0, np.pi + d) for d in (-1e-3, -1e-6, 1e-6)]
HAIRS += [(-2.0, 2.0, np.pi + 1e-4), (0.6, 2.0, np.pi - 0.3)]
"""Receivers at and beside the zone boundary: z over the panel's length, ρ, θ."""
AT_THE_VERTEX = [(0.0, 2.0, np.pi + d) for d in (-1e-3, 1e-6)]
"""Receivers for which the pole of an edge at right angles lies at the shared vertex."""


@pytest.mark.parametrize("receiver", [*HAIRS, *AT_THE_VERTEX])
def test_own_points_carry_the_needle_from_an_edge_across(receiver):
    errors = leg_errors(BOX, EXACT, receiver, shared=False, near=False)
    assert errors.size > 3
    assert errors.max() < 1e-8


@pytest.mark.parametrize("body", [BOX, PLATE], ids=["box", "plate"])
@pytest.mark.parametrize("receiver", HAIRS)
@pytest.mark.parametrize("near", [False, True])
def test_a_leg_from_an_edge_that_shares_a_vertex(body, receiver, near):
    """Own points and near rules; what is left is the root at the vertex, under a Gauss rule."""
    errors = leg_errors(body, EXACT, receiver, shared=True, near=near)
    assert errors.size > 1
    assert errors.max() < 1e-3


@pytest.mark.parametrize(("body", "limit"), [(BOX, 0.01), (PLATE, 0.04)], ids=["box", "plate"])
@pytest.mark.parametrize("receiver", AT_THE_VERTEX)
@pytest.mark.parametrize("near", [False, True])
def test_a_leg_whose_pole_lies_at_the_shared_vertex(body, limit, receiver, near):
    """There the strength's root limits both rules: pieces are cut for emitters, not for a root."""
    errors = leg_errors(body, EXACT, receiver, shared=True, near=near)
    assert errors.size > 1
    assert errors.max() < limit


def grid_on_an_edge(wedge, length, near):
    return build_grid(single_edge(wedge, length), 2, [near], 0.1, resolution_for(0.03))


@pytest.mark.parametrize("theta", [NEARLY_FLAT - 1e-3, np.pi - 1e-4])
def test_a_leg_at_the_other_face_of_an_edge_nearly_flat(theta):
    """Both poles are close, f₁ = π−θ and f₂ = 2θw−π−θ; the emitter is on a parallel square edge."""
    grid = grid_on_an_edge(NEARLY_FLAT, 0.3, (np.empty(0), np.empty(0)))
    foot, rho, zr, rhor = 0.12, 0.2, 0.1, 2.0
    nu = np.pi / SQUARE
    slant = np.array([[nu, -foot, 1.0, 0.0, 0.0]])

    def smooth(z):
        fall = 1 - np.tanh(0.5 * nu * np.arcsinh((z - foot) / rho)) ** 2
        m, l = np.hypot(z - foot, rho), np.hypot(z - zr, rhor)  # noqa: E741
        return fall * np.exp(-20j * (m + l)) / (m * l)

    def integrand(z):
        eta = np.arcsinh((foot - z) / rho) + np.arcsinh((zr - z) / rhor)
        return beta(NEARLY_FLAT, theta, eta) * smooth(z)

    receiver = (zr, rhor, theta)
    weights = weights_of_panel(grid, 0, foot, rho, receiver, slant)
    pole = pole_at(NEARLY_FLAT, foot, rho, receiver)
    exact = needle_quad(integrand, 0.0, 0.3, pole, [foot])
    panel = grid.start[0], grid.length[0], grid.count[0]
    wave = wave_missed(grid, 0, panel, foot, rho, slant, receiver, 20.0)
    assert weights @ smooth(grid.node_z) + wave == pytest.approx(exact, abs=1e-6)


FIRST_ORDER = [
    (wedge, theta, zr)
    for wedge in (SQUARE, SHALLOW, NEARLY_FLAT, THIN)
    for theta in (2.0, np.pi - 1e-2, np.pi - 1e-6, np.pi + 1e-5, np.pi + 0.1, wedge - 1e-3)
    for zr in (0.1, 0.9)
]


@pytest.mark.parametrize(("wedge", "theta", "zr"), FIRST_ORDER)
def test_first_order_of_a_short_edge(wedge, theta, zr):
    """−ν/4π·∫ β·e^{−jk(m+l)}/(ml) dz (DEVELOPERS, "First order"), adaptive; zone boundaries.

    Two points at depths of their own light the edge; the receiver's leg counts half.
    """
    length, rhor, share = 0.3, 1.5, 0.5
    points = [(0.08, 0.12, 0.7, 0.0), (0.05, 0.02, 0.3, 0.01)]  # z, ρ, weight, depth
    wavenumber = np.array([60.0])
    feet, rhos = np.array([(z, rho) for z, rho, *_ in points]).T
    grid = grid_on_an_edge(wedge, length, (feet, rhos))
    light = Light(
        np.array([[rho, 0.0, z] for z, rho, *_ in points]),
        np.array([weight for *_, weight, _ in points]),
        np.array([depth for *_, depth in points]),
    )
    view = seen((zr, rhor, theta))._replace(share=np.array([share]))
    pressure = np.zeros((1, 2, 1))
    for panel, _ in grid.panels_of_face(0):
        radiate_once(grid, panel, view, light, wavenumber, np.float64, pressure)

    nu, exact = np.pi / wedge, 0.0
    for foot, rho, weight, depth in points:

        def integrand(z, foot=foot, rho=rho, depth=depth):
            m, l = np.hypot(z - foot, rho), np.hypot(z - zr, rhor)  # noqa: E741
            eta = np.arcsinh((foot - z) / rho) + np.arcsinh((zr - z) / rhor)
            return beta(wedge, theta, eta) * np.exp(-1j * wavenumber[0] * (m + depth + l)) / (m * l)

        pole = pole_at(wedge, foot, rho, (zr, rhor, theta))
        part = needle_quad(integrand, 0.0, length, pole, [foot])
        exact += -share * weight * nu / (4 * np.pi) * part
    assert abs(pressure[0, 0, 0] + 1j * pressure[0, 1, 0] - exact) < 2e-6 / rhor


# What edges see of each other


def direction_toward(grid, edge, z, points):
    """Direction asinh(ζ/ρ) in which points are seen from the point z of an edge; in space."""
    gap = points - grid.edges.origin[edge] - np.multiply.outer(z, grid.edges.along[edge])
    ahead = gap @ grid.edges.along[edge]
    aside = np.linalg.norm(gap - np.multiply.outer(ahead, grid.edges.along[edge]), axis=-1)
    return np.arcsinh(ahead / np.maximum(aside, 1e-30))  # a vertex lies on the edge itself


def cardinal(nu, a, nodes):
    """φ_p(a) for x = tanh(νa/2), Lagrange polynomials as products; (…, p). DEVELOPERS."""
    x = np.tanh(0.5 * nu * np.asarray(a))
    fall = 1.0 / np.cosh(0.5 * nu * np.asarray(a)) ** 2
    columns = []
    for p, own in enumerate(nodes):
        others = np.delete(nodes, p)
        product = ((x[..., None] - others) / (own - others)).prod(axis=-1)
        columns.append(product * fall / (1 - own**2))
    return np.stack(columns, axis=-1)


def passage_by_hand(grid, node, nodes, leaving, wavenumber):
    """What leaves one node for what all edges send it, (side, direction, column), complex.

    −ν/8π·Σ_j w_j·β(a + b_j)·e^{−jkm}/m·Σ_p U_p·φ_p (DEVELOPERS, "All orders", as a sum).
    """
    edges, own = grid.edges, grid.node_edge[node]
    position, wedge, nu = grid.node_position[node], edges.wedge[own], edges.nu[own]
    a = 2 * np.arctanh(nodes) / nu
    added = np.zeros((2, nodes.size, leaving.shape[-1]), dtype=complex)
    for side in (0, 1):
        for other, from_side in np.argwhere(edges.faces == edges.faces[own, side]):
            if other == own:
                continue
            for j in np.flatnonzero(grid.node_edge == other):
                m = np.linalg.norm(grid.node_position[j] - position)
                toward = direction_toward(grid, other, grid.node_z[j], position)
                sent = cardinal(edges.nu[other], toward, nodes) @ leaving[from_side, j]
                sent = sent * grid.node_weight[j] / m * np.exp(-1j * wavenumber * m)
                b = direction_toward(grid, own, grid.node_z[node], grid.node_position[j])
                for to, theta in ((side, 0.0), (1 - side, wedge)):
                    added[to] += -nu / (8 * np.pi) * np.outer(beta(wedge, theta, a + b), sent)
    return added


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_a_passage_is_the_double_sum_over_all_points(body):
    """Every panel by its own nodes (nothing asked of them); two sources at two frequencies."""
    crude = replace(
        TIERS[0.1], least_points=5, per_wavelength=2.0, extra_points=0, directions=6,
        sight=1.0, corner=1.0, real=np.float64,
    )  # fmt: skip
    grid = grid_of(body, crude, wavelength=1.0, beside=[0, 2])
    assert grid.edge.size > len(body.edges) + 4
    sights = find_sights(grid, 20.0, crude)
    assert all(run.spread is None for sight in sights for run in sight.runs)
    wavenumber = np.array([3.0, 20.0])
    phases = [phases_of(sight, wavenumber, np.float64) for sight in sights]
    rng = np.random.default_rng(5)
    leaving = noise(rng, 2, grid.nodes, crude.directions, 4)
    found = joined(passage(sights, phases, planes(leaving)))
    basis = gauss_rule(crude.directions).x
    for node in rng.choice(grid.nodes, 5, replace=False):
        exact = passage_by_hand(grid, node, basis, leaving, np.tile(wavenumber, 2))
        assert found[:, node] == pytest.approx(exact, abs=1e-12)


def passage(sights, phases, leaving):
    """One passage of all edges at once."""
    added = np.zeros_like(leaving)
    for sight, phase in zip(sights, phases, strict=True):
        arrive(sight, phase, leaving, added[:, sight.targets])
    return added


def along(z):
    """A strength along an edge."""
    return 1.0 + (7.0 + 3.0j) * z - 40.0j * z**3


def toward(x):
    """A strength over directions x = tanh(νa/2)."""
    return (1 - x**2) * (1.0 - 0.5 * x + 0.8 * x**3)


def seen_by_nodes(body, panel, from_side, resolution, own):
    """Nodes that see a panel, by its own nodes or not: what leaves them for a smooth strength.

    The strength on one side of its edge is a cubic along it times the directions' fall and a cubic
    of theirs. Returns what is found and what adaptive quadrature makes of the integral, for one
    direction on either side of the nodes' edges.
    """
    wavelength, q = 0.1, 5
    grid, wavenumber = grid_of(body, resolution, wavelength), 2 * np.pi / wavelength
    sights = find_sights(grid, wavenumber, resolution)
    phases = [phases_of(sight, np.array([wavenumber]), np.float64) for sight in sights]
    basis, edges, edge = gauss_rule(resolution.directions).x, grid.edges, grid.edge[panel]
    start, length = grid.start[panel], grid.length[panel]

    leaving = np.zeros((2, grid.nodes, basis.size, 2, 1))
    nodes = grid.nodes_of_panel(panel)
    strength = np.outer(along(grid.node_z[nodes]), toward(basis))
    leaving[from_side, nodes] = planes(strength[..., None])
    found = joined(passage(sights, phases, leaving))[:, :, q, 0]
    plain = {
        sight.edge
        for sight in sights
        for run in sight.runs
        if run.nodes.start == nodes[0] and run.side == from_side and run.spread is None
    }

    def integral(node, own, theta):
        ((foot, rho),) = kernel_feet(grid, edge, np.array([node]))
        nu = edges.nu[own]

        def integrand(u):
            z = foot + rho * np.sinh(u)
            at = edges.origin[edge] + z * edges.along[edge]
            b = direction_toward(grid, own, grid.node_z[node], at)
            sent = along(z) * toward(np.tanh(-0.5 * edges.nu[edge] * u))
            wave = np.exp(-1j * wavenumber * rho * np.cosh(u))
            towards = 2 * np.arctanh(basis[q]) / nu
            return -nu / (8 * np.pi) * beta(edges.wedge[own], theta, towards + b) * sent * wave

        u = np.arcsinh((np.array([start, start + length]) - foot) / rho)
        return complex_quad(integrand, *u, np.arange(-8.0, 9.0))

    results = []
    for other, side in np.argwhere(edges.faces == edges.faces[edge, from_side]):
        if other == edge or (other in plain) != own:
            continue
        targets = np.flatnonzero(grid.node_edge == other)
        for node in targets[:: len(targets) // 4]:
            for to, theta in ((side, 0.0), (1 - side, edges.wedge[other])):
                results.append((found[to, node], integral(node, other, theta)))
    return np.array(results).T


@pytest.mark.parametrize("body", [BOX, SLAB, PLATE], ids=["box", "slab", "plate"])
@pytest.mark.parametrize("side", [0, 1])
def test_more_points_are_the_integral_over_a_panel_close_by(body, side):
    """−ν/8π·∫ β·e^{−jkm}·U dz/m (DEVELOPERS, "All orders") beside corners and parallel edges."""
    found, exact = seen_by_nodes(body, 0, side, EXACT, own=False)
    assert found.size >= 8
    assert np.abs(found - exact).max() < 2e-6 * np.abs(exact).max()


@pytest.mark.parametrize("side", [0, 1])
def test_more_points_across_a_shallow_edge(side):
    """Edges that turn by 45 degrees, with their needles."""
    shallow = EXACT.for_turn(np.pi / 4)
    found, exact = seen_by_nodes(CHAMFERED, 0, side, shallow, own=False)
    assert found.size >= 8
    assert np.abs(found - exact).max() < 2e-6 * np.abs(exact).max()


def test_own_points_carry_the_strength_to_an_edge_far_enough():
    """Two parallel edges of a box, 300 mm apart."""
    found, exact = seen_by_nodes(BOX, 0, 1, EXACT, own=True)
    assert found.size >= 8
    assert np.abs(found - exact).max() < 2e-6 * np.abs(exact).max()


def runs_of(body):
    """Every run of every sight: its points, its nodes, at which end its edge meets the other."""
    grid = grid_of(body, EXACT)
    corners = grid.edges.corners
    for sight in find_sights(grid, 60.0, EXACT):
        for run in sight.runs:
            other = int(sight.sources.edge[run.points.start])
            z = np.sort(sight.sources.z[run.points])
            yield (
                z,
                grid.node_z[run.nodes],
                run.spread,
                np.isin(corners[other], corners[sight.edge]),
            )


def test_points_are_added_toward_the_corner_where_two_edges_meet():
    for z, own, spread, meets in runs_of(BOX):
        if spread is None:
            assert not meets.any()
            assert np.array_equal(z, own)
        else:
            ends = np.array([z[1] - z[0], z[-1] - z[-2]])
            assert ends[meets] < 0.2 * ends[~meets]


def test_points_are_added_evenly_for_a_parallel_edge_close_by():
    """A slab's long edges, 20 mm apart."""
    beside = [
        (z, own)
        for z, own, spread, meets in runs_of(SLAB)
        if spread is not None and not meets.any() and np.ptp(z) > 0.1
    ]
    assert len(beside) == 8
    for z, own in beside:
        assert z.size > own.size
        assert z[1] - z[0] == pytest.approx(z[-1] - z[-2])


# Sweeps over the edges


CRUDE = replace(
    TIERS[0.1], least_points=3, per_wavelength=0.5, extra_points=0, directions=3,
    sight=1e-1, corner=0.5, update=1e-11, real=np.float64,
)  # fmt: skip


@pytest.mark.parametrize("body", [BOX, PLATE, CHAMFERED], ids=["box", "plate", "chamfered"])
@pytest.mark.parametrize("way", ["forward", "in reverse"])
def test_sweeps_solve_the_equation(body, way):
    """(I − K)·U = U₀, K as a matrix made of passages of unit vectors, by numpy's dense solver."""
    grid = grid_of(body, CRUDE, wavelength=1.0)
    sights, wavenumber = find_sights(grid, 6.0, CRUDE), np.array([6.0])
    phases = [phases_of(sight, wavenumber, np.float64) for sight in sights]
    shape = 2, grid.nodes, CRUDE.directions
    units = np.eye(np.prod(shape)).reshape(*shape, -1)
    # One frequency repeats over all columns.
    matrix = joined(passage(sights, phases, planes(units + 0j))).reshape(units.shape[-1], -1)
    first = noise(np.random.default_rng(3), *shape, 2)
    solve = all_orders if way == "forward" else all_asked
    kernel = matrix if way == "forward" else matrix.T
    exact = np.linalg.solve(np.eye(len(kernel)) - kernel, first.reshape(len(kernel), -1))
    found = solve(grid, sights, phases, planes(first), CRUDE, lambda: None)
    off = np.abs(joined(found.strength).reshape(exact.shape) - exact).max()
    assert off < 1e-9 * np.abs(exact).max()
    assert np.abs(exact - first.reshape(exact.shape)).max() > 0.1 * np.abs(exact).max()


@pytest.mark.parametrize("update", [3e-2, 1e-3])
def test_what_is_still_to_come_is_about_what_further_sweeps_change(update):
    """The error left on the edges of a chamfered box, within a factor of four of what is said."""
    grid = grid_of(CHAMFERED, TIERS[0.1].for_turn(np.pi / 4), wavelength=0.3)
    rules = replace(TIERS[0.1].for_turn(np.pi / 4), real=np.float64)
    sights, wavenumber = find_sights(grid, 20.0, rules), np.array([1.0, 6.0, 20.0])
    phases = [phases_of(sight, wavenumber, np.float64) for sight in sights]
    first = np.zeros((2, grid.nodes, rules.directions, 2, 3))
    first[:, grid.node_edge < 4, 3:-3, 0] = 1.0
    ended, whole = (
        all_orders(grid, sights, phases, first, replace(rules, update=u), lambda: None)
        for u in (update, 1e-9)
    )
    sizes = np.zeros((2, 3))
    kernels.power(grid.node_weight, ended.strength - whole.strength, sizes[0])
    kernels.power(grid.node_weight, first, sizes[1])
    left = np.sqrt(sizes[0] / sizes[1])
    assert (ended.tail <= update).all()
    assert (left < 4 * ended.tail).all()
    assert (left > ended.tail / 20).all()


def test_still_to_come_by_hand():
    """Each kind of sweep goes on by itself: 0.1²/0.5 and 0.02²/0.2; nothing stays nothing."""
    one = np.ones(2)
    changes = [one, np.array([0.5, 0.0]), np.array([0.2, 0.0]), np.array([0.1, 0.0])]
    changes.append(np.array([0.02, 0.0]))
    assert still_to_come(changes) == pytest.approx([0.1**2 / 0.5 + 0.02**2 / 0.2, 0.0])


def test_edges_are_swept_from_front_to_rear_and_mirror_images_together():
    """A box's twelve: front pairs, those from front to rear, rear pairs."""
    grid = grid_of(BOX, CRUDE)
    groups = front_to_rear(grid, list(range(12)))
    middle = grid.edges.origin + 0.5 * grid.edges.length[:, None] * grid.edges.along
    assert sorted(edge for group in groups for edge in group) == list(range(12))
    assert [len(group) for group in groups] == [2, 2, 4, 2, 2]
    assert [round(middle[group, 2].mean(), 9) for group in groups] == [0, 0, -0.15, -0.3, -0.3]
    for group in groups:
        assert np.ptp(np.abs(middle[group]), axis=0) == pytest.approx([0, 0, 0], abs=1e-12)


def test_sweeps_that_do_not_settle_are_told():
    grid = grid_of(BOX, CRUDE)
    sights = find_sights(grid, 6.0, CRUDE)
    phases = [5.0 * phases_of(sight, np.array([6.0]), np.float64) for sight in sights]
    first = np.ones((2, grid.nodes, 3, 2, 1))
    with pytest.raises(ArithmeticError, match="does not settle"):
        all_orders(grid, sights, phases, first, CRUDE, lambda: None)


# The last leg as a whole


RECEIVERS = np.array([[0.7, 0.4, 1.5], [-1.2, 0.3, -0.2], [0.3, -1.4, -1.0]])


def exact_last_leg(grid, leg, strength, wavenumber):
    """−ν/4π·Σ_j w_j·s_j·∫ β·U·e^{−jk(m+l)}/(m l) dz to each receiver of a leg, adaptive.

    s_j: strength of the leg's emitters, U over their directions as `toward`. Adaptive quadrature
    of vectors (scipy's quad_vec), all sources and wavenumbers at once: (receiver, wavenumber).
    """
    edges, edge, sources = grid.edges, leg.sight.edge, points_of(grid, leg.nodes)
    offset = sources.position - edges.origin[edge]
    foot = offset @ edges.along[edge]
    rho = np.linalg.norm(offset - np.outer(foot, edges.along[edge]), axis=1)
    heard = []
    for zr, rhor, theta, share in zip(*leg.view[1:], strict=True):

        def integrand(z, zr=zr, rhor=rhor, theta=theta):
            m, l = np.hypot(z - foot, rho), np.hypot(z - zr, rhor)  # noqa: E741
            eta = np.arcsinh((foot - z) / rho) + np.arcsinh((zr - z) / rhor)
            gap = edges.origin[edge] + z * edges.along[edge] - sources.position
            ahead = np.einsum("ni,ni->n", gap, edges.along[sources.edge])
            aside = np.sqrt(np.maximum(m**2 - ahead**2, 1e-30))
            sent = toward(np.tanh(0.5 * edges.nu[sources.edge] * np.arcsinh(ahead / aside)))
            wave = np.exp(-1j * np.multiply.outer(wavenumber, m + l)) / (m * l)
            return beta(edges.wedge[edge], theta, eta) * sent * wave

        rule = {"epsabs": 1e-9, "epsrel": 1e-9, "limit": 4000}
        total, *_ = quad_vec(integrand, 0.0, edges.length[edge], **rule)
        factor = -share * edges.nu[edge] / (4 * np.pi)
        heard.append(factor * (total @ (sources.weight * strength)))
    return np.array(heard)


LAST_LEGS = [
    pytest.param(BOX, (), id="box"),
    pytest.param(BOX, (1, 2, 8), id="box cut", marks=pytest.mark.slow),
    pytest.param(SLAB, (), id="slab", marks=pytest.mark.slow),
    pytest.param(VENEER, (), id="veneer", marks=pytest.mark.slow),
]


@pytest.mark.parametrize(("body", "beside"), LAST_LEGS)
def test_last_legs_are_the_integral_over_their_edge(body, beside):
    """Own points, and pieces for near emitters, between parallel edges and round corners.

    Round a corner what is left is the root at the vertex, under a Gauss rule. Two sources at two
    frequencies, the second source a multiple of the first.
    """
    wavenumber, second = np.array([25.0, 42.0]), -0.5 + 0.7j
    grid = grid_of(body, EXACT, 2 * np.pi / wavenumber[-1], beside)
    assert (grid.edge.size > len(body.edges)) == (len(beside) > 0)
    sights = find_sights(grid, wavenumber[-1], EXACT)
    basis = gauss_rule(EXACT.directions).x
    sending = grid.node_edge == 0
    strength = np.outer(along(grid.node_z[sending]), toward(basis))
    leaving = np.zeros((2, grid.nodes, basis.size, 2, 4))
    leaving[:, sending] = planes(strength[..., None] * np.array([1.0, 1.0, second, second]))
    legs, near = 0, 0
    for index, leg in plan_legs(body, grid, sights, RECEIVERS, wavenumber[-1], EXACT):
        sources, edge = points_of(grid, leg.nodes), leg.sight.edge
        if not (sources.edge == 0).any():
            continue
        phase = phases_of(sights[index], wavenumber, np.float64)
        pressure = np.zeros((len(RECEIVERS), 2, 4))
        radiate_edges(leg, phase, leaving, leaving, wavenumber, pressure)
        sent = np.where(sources.edge == 0, along(sources.z), 0.0)
        exact = exact_last_leg(grid, leg, sent, wavenumber)
        errors = np.abs(joined(pressure)[leg.view.index] - np.hstack([exact, second * exact]))
        meets = np.isin(grid.edges.corners[edge], grid.edges.corners[0]).any()
        assert errors.max() < (5e-4 if meets else 1e-8) * np.abs(exact).max()
        legs += 1
        near += sum(part.chosen.size for part in leg.near)
    assert legs == 6
    assert near > 20


# How fine


def test_points_keep_to_the_least_and_follow_the_wavelength():
    """By hand: 3.3·4 = 13.2, so 14 and 5 more; a tenth of a wavelength has the least."""
    resolution = replace(TIERS[0.1], least_points=10, per_wavelength=3.3, extra_points=5)
    assert resolution.points(0.4, 0.1) == 19
    assert resolution.points(0.01, 0.1) == 10


AS_FAST = {0.1: 1.5}
"""How many times as fast as a wave a tier follows what runs to and fro along an edge: else twice.

The coarsest lets go of what comes back along an edge within some 40 degrees of it.
"""


@pytest.mark.parametrize("accuracy", TIERS)
def test_waves_along_a_panel_are_resolved(accuracy):
    """∫ e^{−2jkz} over a panel, twice as fast as a wave, by the points its length gets."""
    for waves in (2.0, 10.0, 40.0):
        rule = gauss_rule(TIERS[accuracy].points(waves, 1.0))
        phase = AS_FAST.get(accuracy, 2.0) * np.pi * waves
        error = abs(rule.w @ np.exp(1j * phase * rule.x) - 2 * np.sin(phase) / phase)
        assert error < 1e-2


def needle_left_over(directions, turn):
    """Largest error of a basis for β/β(0) of an arrival broadside on an edge (numpy's β)."""
    wedge = np.pi + turn
    nu = np.pi / wedge
    x = gauss_rule(directions).x
    values = beta(wedge, 0.0, 2 * np.arctanh(x) / nu)
    a = np.linspace(-3, 3, 301)
    exact = beta(wedge, 0.0, a)
    found = [over_directions(lambda _: values, np.exp(nu * b), directions) for b in a]
    return np.abs(found - exact).max() / np.abs(exact).max()


@pytest.mark.parametrize("turn", [np.pi / 6, np.pi / 8])
def test_directions_for_a_turn_carry_its_needle(turn):
    """What leaves a shallow edge is a needle: a square edge's basis misses it, for_turn's not."""
    base = TIERS[0.1]
    adapted = base.for_turn(turn)
    assert needle_left_over(base.directions, turn) > 10 * needle_left_over(adapted.directions, turn)


def test_for_turn_by_hand():
    """7/6·n/τ directions, at most 2.5n; nothing else changes."""
    base = replace(TIERS[0.1], directions=12)
    assert base.for_turn(np.pi / 2) is base
    for turn, directions in [(np.pi / 6, 27), (0.1, 30), (1.04, 14)]:
        adapted = base.for_turn(turn)
        assert adapted.directions == directions
        assert replace(adapted, directions=12) == base


@pytest.mark.parametrize("accuracy", TIERS)
def test_coarser_is_coarser_in_everything(accuracy):
    tier = TIERS[accuracy]
    rougher = tier.coarser()
    assert rougher.least_points < tier.least_points
    assert rougher.per_wavelength < tier.per_wavelength
    assert rougher.extra_points < tier.extra_points
    assert rougher.directions < tier.directions
    assert rougher.tolerance > tier.tolerance
    assert rougher.sight > tier.sight
    assert rougher.corner > tier.corner or tier.corner == 0.0
    assert rougher.real is tier.real
    assert rougher.update == tier.update  # what the end of the sweeps leaves is known by itself
    # Still usable: the difference is to measure an error, not to be one.
    assert rougher.least_points >= 8
    assert rougher.corner < 1.0
    # A Gauss rule follows what is c times as fast as a wave from π·c/2 points a wavelength on.
    assert rougher.per_wavelength > 0.5 * np.pi * min(1.9, AS_FAST.get(accuracy, 2.0))


def test_resolution_for_takes_the_coarsest_that_keeps_to_it():
    given = [1.0, 0.1, 0.1 * (1 - 1e-12), 0.099, 0.03, 0.02, 0.01, 0.005, 0.001, 1e-6]
    tiers = [0.1, 0.1, 0.1, 0.03, 0.03, 0.01, 0.01, 0.003, 0.001, 0.001]
    assert [resolution_for(a) for a in given] == [TIERS[t] for t in tiers]
