"""Kernels that add up waves, each by itself, against the same sum written out with numpy.

Every wave is weight·e^{−jkd}/d times what an edge makes of it; β and the basis of directions as
in `test_kernels_by_formulas.py`. "DEVELOPERS" is the chapter "The field solver" of DEVELOPERS.md.
Small arrays, so that Python alone runs all of them in seconds.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.cabinet import Body
from acoustics.field import kernels
from acoustics.field.grid import build_grid, edge_table
from acoustics.field.quadrature import gauss_rule, rule_table
from acoustics.field.resolution import TIERS
from acoustics.field.round_face import round_face, views_round
from acoustics.field.sights import Points
from acoustics.field.views import View, view_from_edge
from support.edge_waves import beta, complex_quad, joined, noise, planes, pole_at, straight_on

SQUARE, SHALLOW = 1.5 * np.pi, 1.15 * np.pi
WAVENUMBER = np.array([3.0, 41.0])
HALF_TURNS = WAVENUMBER / np.pi
POINTS = np.array([[0.02, 0.05, 0.0], [-0.03, -0.11, 0.0], [0.06, 0.01, 0.0], [-0.05, 0.1, 0.0]])
WEIGHTS, DEPTHS = np.array([0.5, -0.2, 0.7, 0.4]), np.array([0.0, 0.03, 0.011, 0.02])
BASIS = gauss_rule(12)
CRUDE = replace(
    TIERS[0.1], least_points=3, per_wavelength=0.5, extra_points=0, directions=4, real=np.float64
)
BOX = Body.box(width=0.22, height=0.38, depth=0.30)


def box_grid(resolution=CRUDE):
    edges = edge_table(BOX)
    near = [(np.empty(0), np.empty(0))] * len(BOX.edges)
    return build_grid(edges, len(BOX.faces), near, 1.0, resolution)


def waves(distance):
    """e^{−jkd}, (…, frequency)."""
    return np.exp(-1j * np.multiply.outer(distance, WAVENUMBER))


def foot_and_rho(points, origin, along):
    """By the cross product, in space."""
    offset = points - origin
    return offset @ along, np.linalg.norm(np.cross(offset, along), axis=-1)


def zeros(*shape):
    return np.zeros((*shape, 2, WAVENUMBER.size))


# Geometry, and sums of rows


def test_feet_and_distances_by_the_cross_product():
    rng = np.random.default_rng(1)
    points, origin, along = rng.normal(size=(5, 3)), rng.normal(size=3), rng.normal(size=3)
    along /= np.linalg.norm(along)
    found = np.empty(5), np.empty(5)
    kernels.feet_and_distances(points, origin, along, *found)
    assert np.array(found) == pytest.approx(np.array(foot_and_rho(points, origin, along)))


def test_a_rim_is_plain_if_all_its_points_are_for_all_panels():
    """By the ellipse through the worst point's pole, exp|Re arcosh x| (numpy), for square edges."""
    grid = box_grid()
    edges, panels = grid.edges, np.array([0, 1, 2, 3])
    answers = []
    for height in np.geomspace(0.002, 1.0, 12):
        rim = np.array([[0.0, 0.1, height], [0.02, 0.12, height + 0.01], [0.08, 0.1, height]])
        size = 0.0
        for panel in panels:
            edge = grid.edge[panel]
            foot, rho = foot_and_rho(rim, edges.origin[edge], edges.along[edge])
            x = (foot + 1j * rho - grid.start[panel]) / (0.5 * grid.length[panel]) - 1
            growth = np.abs(np.arccosh(x).real).min()
            size = max(size, np.exp(-2 * grid.count[panel] * growth))
        found = kernels.rim_is_plain(
            rim, panels, grid.edge, grid.start, grid.length, grid.count, edges.origin,
            edges.along, edges.wedge, 1e-2,
        )  # fmt: skip
        assert found == (size < 1e-2)
        answers.append(found)
    assert len(set(answers)) == 2


def test_all_plain_asks_for_every_point():
    foot, rho, turn = np.full(3, 0.5), np.full(3, 2.0), np.full(3, np.pi / 2)
    tolerance = np.full(3, 1e-6)
    assert kernels.all_plain(foot, rho, turn, 0.0, 1.0, 12, tolerance)
    for at in range(3):
        beside = np.where(np.arange(3) == at, 0.01, rho)
        assert not kernels.all_plain(foot, beside, turn, 0.0, 1.0, 12, tolerance)


@pytest.mark.parametrize("directions", [3, 4, 10])
def test_scattering_is_an_outer_product(directions):
    """Added to what is there, whether or not their number divides by four (numpy's einsum)."""
    rng = np.random.default_rng(2)
    value, shares = rng.normal(size=(2, 5)), rng.normal(size=directions)
    parts = rng.normal(size=(directions, 2, 5))
    expected = parts + np.einsum("p,ic->pic", shares, value)
    kernels.scatter(value, shares, parts)
    assert parts == pytest.approx(expected, rel=1e-13)


# Point sources


def test_points_in_free_space():
    """Σ w·e^{−jk(m+depth)}/m, added to what is there; and each by itself."""
    points = POINTS + [[0.0, 0.0, 0.02 * n] for n in range(len(POINTS))]  # as of a cone
    receivers = np.array([[0.3, 0.2, 1.0], [-0.4, 0.1, 0.6]])
    m = np.linalg.norm(receivers[:, None] - points, axis=2)
    each = (WEIGHTS / m)[..., None] * waves(m + DEPTHS)
    alone = zeros(2, len(points))
    kernels.emit_from_points(points, WEIGHTS, DEPTHS, receivers, HALF_TURNS, alone)
    assert joined(alone) == pytest.approx(each, rel=1e-12)
    out = zeros(2) + 1.0
    kernels.sum_points(points, WEIGHTS, DEPTHS, receivers, HALF_TURNS, out)
    assert joined(out) == pytest.approx(1 + 1j + each.sum(axis=1), rel=1e-12)


def leaving_by_hand(grid, node, side, basis):
    """−ν/8π·Σ w·β(a + b)·e^{−jk(m+depth)}/m on both sides, (side, direction, frequency)."""
    edges, edge = grid.edges, grid.node_edge[node]
    nu, wedge = edges.nu[edge], edges.wedge[edge]
    foot, rho = foot_and_rho(POINTS, edges.origin[edge], edges.along[edge])
    m = np.linalg.norm(POINTS - grid.node_position[node], axis=1)
    b = np.arcsinh((foot - grid.node_z[node]) / rho)
    a = 2 * np.arctanh(basis) / nu
    arriving = (WEIGHTS / m)[:, None] * waves(m + DEPTHS)
    sides = [beta(wedge, theta, a[:, None] + b) @ arriving for theta in (0.0, wedge)]
    return -nu / (8 * np.pi) * np.array(sides if side == 0 else sides[::-1])


def test_what_leaves_edges_that_points_light():
    grid, basis = box_grid(), gauss_rule(CRUDE.directions).x
    panels = [panel for panel, _ in grid.panels_of_face(0)]
    sides = dict(grid.panels_of_face(0))
    nodes = np.concatenate([grid.nodes_of_panel(panel)[1:2] for panel in panels])
    side = np.array([sides[panel] for panel in panels])
    leaving = np.ones((2, grid.nodes, basis.size, 2, 2))
    kernels.light_edges(POINTS, WEIGHTS, DEPTHS, nodes, side, grid, basis, HALF_TURNS, leaving)
    for node, one in zip(nodes, side, strict=True):
        exact = leaving_by_hand(grid, node, one, basis)
        assert joined(leaving)[:, node] - (1 + 1j) == pytest.approx(exact, abs=1e-12)
    others = np.setdiff1d(np.arange(grid.nodes), nodes)
    assert (leaving[:, others] == 1.0).all()


def cardinal(nu, a, nodes):
    """φ_p(a) with x = tanh(νa/2), Lagrange polynomials as products; DEVELOPERS."""
    x, fall = np.tanh(0.5 * nu * a), 1.0 / np.cosh(0.5 * nu * a) ** 2
    own = [
        np.prod((x - np.delete(nodes, p)) / (n - np.delete(nodes, p))) for p, n in enumerate(nodes)
    ]
    return np.array(own) * fall / (1 - nodes**2)


@pytest.mark.parametrize("side", [0, 1])
def test_what_nodes_of_an_edge_see_of_another(side):
    """give: w/m·φ_p toward the node; take: −ν/8π·β on its two sides; distance: m."""
    grid, basis = box_grid(), gauss_rule(CRUDE.directions)
    edges, faces = grid.edges, grid.edges.faces
    own, face = 0, grid.edges.faces[0, side]
    others = np.flatnonzero((faces == face).any(axis=1) & (np.arange(len(faces)) != own))
    chosen = np.concatenate([np.flatnonzero(grid.node_edge == other)[:2] for other in others])
    sources = Points(
        grid.node_edge[chosen], grid.node_z[chosen], grid.node_weight[chosen],
        grid.node_position[chosen],
    )  # fmt: skip
    first, many, p = int(np.flatnonzero(grid.node_edge == own)[1]), 2, basis.x.size
    give, distance = np.empty((chosen.size, many, p)), np.empty((chosen.size, many))
    take = np.empty((many, 2 * p, chosen.size))
    kernels.fill_sight(grid, sources, first, side, basis, give, take, distance)
    directions = 2 * np.arctanh(basis.x) / edges.nu[own]
    for b in range(many):
        target = grid.node_position[first + b]
        for a, node in enumerate(chosen):
            other, source = grid.node_edge[node], grid.node_position[node]
            m = np.linalg.norm(target - source)
            ahead, aside = foot_and_rho(target, source, edges.along[other])
            toward = cardinal(edges.nu[other], np.arcsinh(ahead / aside), basis.x)
            assert distance[a, b] == pytest.approx(m, rel=1e-12)
            assert give[a, b] == pytest.approx(grid.node_weight[node] / m * toward, abs=1e-12)
            ahead, aside = foot_and_rho(source, target, edges.along[own])
            for to, theta in ((side, 0.0), (1 - side, edges.wedge[own])):
                made = beta(edges.wedge[own], theta, directions + np.arcsinh(ahead / aside))
                sent = -edges.nu[own] / (8 * np.pi) * made
                assert take[b, to * p : (to + 1) * p, a] == pytest.approx(sent, rel=1e-10)


# Legs from an edge to receivers


SEEN = View(
    index=np.array([2, 0]),
    z=np.array([0.4, -0.3]),
    rho=np.array([1.2, 0.7]),
    theta=np.array([0.4, 1.4]),
    share=np.array([1.0, 0.5]),
)
ALONG = np.array([0.03, 0.17, 0.21])
"""Points of an edge (m)."""
LAST = np.hypot(SEEN.z[:, None] - ALONG, SEEN.rho[:, None])
"""From them to the receivers (receiver, point)."""


def test_what_edge_points_radiate():
    """factor·Σ_q s·e^{−jkl}/l of two sources, added at the receivers' own numbers."""
    factor, strength = np.array([0.7, -1.3]), noise(np.random.default_rng(4), 3, 2, 4)
    pressure = np.ones((4, 2, 4))
    kernels.radiate(
        planes(strength), ALONG, SEEN.z, SEEN.rho, factor, HALF_TURNS, SEEN.index, pressure
    )
    heard = np.tile(waves(LAST), 2) / LAST[..., None]
    expected = np.full((4, 4), 1 + 1j)
    expected[SEEN.index] += factor[:, None] * np.einsum("qrc,rqc->rc", strength, heard)
    assert joined(pressure) == pytest.approx(expected, rel=1e-12)


def test_how_receivers_hear_edge_points():
    factor, out = np.array([0.7, -1.3]), zeros(3, 2)
    kernels.hearing(ALONG, SEEN.z, SEEN.rho, factor, HALF_TURNS, out)
    expected = (factor[:, None] / LAST)[..., None] * waves(LAST)
    assert joined(out) == pytest.approx(expected.swapaxes(0, 1), rel=1e-12)


FEET, RHOS = np.array([0.1, -0.2]), np.array([0.3, 0.06])


def mean_beta(nu, eta):
    """β on the zone boundary θ = π: the term that jumps there is, in the mean of both sides, 0."""
    return 2 * np.sin(2 * np.pi * nu) / (np.cosh(nu * eta) - np.cos(2 * np.pi * nu))


@pytest.mark.parametrize("wedge", [SQUARE, SHALLOW])
def test_plain_legs_are_beta_and_on_the_zone_boundary_its_mean(wedge):
    """w·β(η) at every point; at θ = π exactly the term that jumps there is left out (its mean)."""
    theta = np.array([0.0, 1.0, np.pi - 0.01, np.pi, np.pi + 0.02, wedge])
    z, rho, nu = np.linspace(-1.0, 1.0, 6), np.full(6, 0.9), np.pi / wedge
    w = np.array([0.5, 1.5, 2.0])
    ts, out = np.empty((3, 2)), np.empty((3, 6, 2))
    kernels.turns_along(FEET, RHOS, ALONG, nu, ts)
    kernels.plain_legs(ts, ALONG, w, nu, z, rho, theta, out)
    arrived = np.arcsinh((FEET - ALONG[:, None]) / RHOS)
    assert ts == pytest.approx(np.exp(nu * arrived), rel=1e-12)
    left = np.arcsinh((z - ALONG[:, None]) / rho)
    eta = arrived[:, None] + left[..., None]
    for r, angle in enumerate(theta):
        at = eta[:, r]
        exact = mean_beta(nu, at) if angle == np.pi else beta(wedge, angle, at)
        assert out[:, r] == pytest.approx(w[:, None] * exact, rel=1e-10)


PANEL, COUNT = (0.05, 0.4), 14
"""Start and length (m) of a panel, points of its rule."""


def near_the_boundary(wedge):
    """Receivers beside either zone boundary, one on it, and one far from both."""
    other = 2 * wedge - np.pi
    angles = [np.pi - 0.02, np.pi + 1e-4, np.pi, other - 0.03, other + 0.05, 1.2]
    return [angle for angle in angles if angle <= wedge]


def by_pieces(integrand, foot, pole):
    """∫ over the panel; dz = w·cosh s ds about the pole of width w, so that its needle is broad."""
    width = max(abs(pole.imag), 1e-9)

    def stretched(s):
        return integrand(pole.real + width * np.sinh(s)) * width * np.cosh(s)

    low, high = (np.arcsinh((end - pole.real) / width) for end in (PANEL[0], sum(PANEL)))
    return complex_quad(stretched, low, high, [0.0, np.arcsinh((foot - pole.real) / width)])


def eta_at(z, foot, rho, zr, rhor):
    return np.arcsinh((foot - z) / rho) + np.arcsinh((zr - z) / rhor)


@pytest.mark.parametrize("wedge", [SQUARE, SHALLOW])
def test_leg_weights_integrate_beta_times_what_is_smooth(wedge):
    """Σ weight·s against ∫ β·s dz, adaptive; s falls as from a parallel square edge.

    Next to a zone boundary a part of it goes straight on, as a wave of its own.
    """
    rule, nu_own = gauss_rule(COUNT), 2 / 3
    foot, rho = np.array([0.2, 0.5]), np.array([0.4, 0.6])
    slants = np.array([[nu_own, -f, 1.0, 0.0, 0.0] for f in foot])
    zr, rhor = 0.3, 2.0
    nodes = PANEL[0] + 0.5 * PANEL[1] * (1 + rule.x)
    compared = 0
    for theta in near_the_boundary(wedge):
        one = np.array([zr]), np.array([rhor]), np.array([theta])
        out, plain = np.empty((COUNT, 1, 2)), np.empty((COUNT, 1, 2))
        for with_poles, to in ((True, out), (False, plain)):
            kernels.leg_weights(
                foot, rho, slants, *PANEL, rule.x, rule.w, rule.bary, np.pi / wedge, wedge,
                *one, with_poles, to,
            )  # fmt: skip
        for i in range(2):

            def smooth(z, i=i):
                fall = 1 - np.tanh(0.5 * nu_own * np.arcsinh((z - foot[i]) / rho[i])) ** 2
                away, last = np.hypot(z - foot[i], rho[i]), np.hypot(z - zr, rhor)
                return fall * np.exp(-6j * (away + last)) / (away * last)

            def integrand(z, i=i, theta=theta, smooth=smooth):
                eta = eta_at(z, foot[i], rho[i], zr, rhor)
                if theta == np.pi:
                    return mean_beta(np.pi / wedge, eta) * smooth(z)
                return beta(wedge, theta, eta) * smooth(z)

            pole = pole_at(wedge, foot[i], rho[i], (zr, rhor, theta))
            exact = by_pieces(integrand, foot[i], pole)
            emitter = foot[i], rho[i], slants[i : i + 1]
            wave = straight_on((*PANEL, rule), wedge, emitter, (zr, rhor, theta), 6.0, BASIS)
            assert out[:, 0, i] @ smooth(nodes) + wave == pytest.approx(exact, abs=1e-6)
            compared += abs(plain[:, 0, i] @ smooth(nodes) - exact) > 1e-3
    assert compared >= 4  # where the rule alone misses much


@pytest.mark.parametrize("at_the_end", [False, True])
def test_leg_weights_round_a_corner(at_the_end):
    """From an edge at right angles that meets the panel at one of its ends, adaptive again.

    What is left is the root at the vertex, under a Gauss rule, as in the pieces' own checks.
    """
    rule, wedge, (start, length) = gauss_rule(COUNT), SQUARE, PANEL
    vertex = start + length if at_the_end else start
    foot, rho = np.array([vertex]), np.array([0.15])
    # The other edge runs away from the vertex: its point at ρ sees the panel's line ahead by −ρ.
    slants = np.array([[2 / 3, -0.15, 0.0, vertex, 1.0]])
    nodes = start + 0.5 * length * (1 + rule.x)
    for zr, theta in [(0.2, np.pi - 1e-3), (0.3, np.pi + 0.02), (vertex, np.pi + 1e-3)]:
        out = np.empty((COUNT, 1, 1))
        one = np.array([zr]), np.array([2.0]), np.array([theta])
        kernels.leg_weights(
            foot, rho, slants, *PANEL, rule.x, rule.w, rule.bary, 2 / 3, wedge, *one, True, out
        )

        def smooth(z, zr=zr):
            away = np.maximum(np.abs(z - vertex), 1e-30)
            fall = 1 - np.tanh(np.arcsinh(0.15 / away) / 3) ** 2
            return fall / (np.hypot(z - vertex, 0.15) * np.hypot(z - zr, 2.0))

        def integrand(z, zr=zr, theta=theta, smooth=smooth):
            return beta(wedge, theta, eta_at(z, vertex, 0.15, zr, 2.0)) * smooth(z)

        pole = pole_at(wedge, vertex, 0.15, (zr, 2.0, theta))
        exact = by_pieces(integrand, vertex, pole)
        size = 2 * np.pi / (2 / 3) / (0.15 * 2.0)  # a whole pole's
        limit = 2e-2 if zr == vertex else 2e-3
        emitter = vertex, 0.15, slants
        wave = straight_on((*PANEL, rule), wedge, emitter, (zr, 2.0, theta), 0.0, BASIS)
        assert abs(out[:, 0, 0] @ smooth(nodes) + wave - exact) < limit * size


@pytest.mark.parametrize("wedge", [SQUARE, SHALLOW])
def test_boundary_waves_are_what_the_rule_misses_of_the_first_order(wedge):
    """−ν/4π·∫ β·e^{−jk(m+l)}/(ml) dz, adaptive, less its Gauss rule; point by point and in sum."""
    rule, nu = gauss_rule(COUNT), np.pi / wedge
    foot, rho, weight, depth = (
        np.array(each) for each in ([0.2, 0.31], [0.25, 0.2], [0.5, -2.0], [0.0, 0.02])
    )
    zr, rhor, share = 0.3, 1.5, 0.5
    nodes, half = PANEL[0] + 0.5 * PANEL[1] * (1 + rule.x), 0.5 * PANEL[1]
    seen = 0.0
    for theta in near_the_boundary(wedge):
        if theta == np.pi:
            continue
        missed = []
        for i in range(2):
            pole = pole_at(wedge, foot[i], rho[i], (zr, rhor, theta))
            of_each = []
            for k in WAVENUMBER:

                def integrand(z, i=i, k=k, theta=theta):
                    m, last = np.hypot(z - foot[i], rho[i]), np.hypot(z - zr, rhor)
                    made = beta(wedge, theta, eta_at(z, foot[i], rho[i], zr, rhor))
                    return made * np.exp(-1j * k * (m + last)) / (m * last)

                exact = by_pieces(integrand, foot[i], pole)
                of_each.append(-nu / (4 * np.pi) * (exact - half * rule.w @ integrand(nodes)))
            missed.append(of_each)
        missed = share * np.array(missed)
        view = np.array([zr]), np.array([rhor]), np.array([theta]), np.array([share])
        panel = foot, rho, *PANEL, rule.x, rule.w, wedge, *view
        alone, total = zeros(2, 2), zeros(2) + 3.0
        at = np.array([1])
        kernels.boundary_waves_of_points(*panel, HALF_TURNS, at, alone)
        assert joined(alone)[:, 1] == pytest.approx(missed, abs=1e-6)
        assert not alone[:, 0].any()
        kernels.boundary_waves(*panel, weight, depth, HALF_TURNS, at, total)
        summed = np.einsum("i,if,if->f", weight, missed, waves(depth))
        assert joined(total)[1] - (3 + 3j) == pytest.approx(summed, abs=4e-6)
        seen = max(seen, abs(missed).max())
    assert seen > 0.01


# Near emitters: the last leg over pieces of a panel


PIECES = np.array([[0.0, 0.2, 3.0, 2.0], [0.2, 0.2, 4.0, 3.0]])
PAIRS = np.array([0, 1, 1])
"""Two emitters are near the first piece, the second alone is near the other."""
CHOSEN = np.array([4, 2])


def entries():
    """(piece, first point, emitter among the chosen, first pair, first weight, neighbours)."""
    yield 0, 0, 0, 0
    yield 0, 0, 1, 3
    yield 1, 3, 1, 6


def test_a_near_leg_is_tabulated_by_its_pieces():
    """Points of both rules; m; w/m·φ_p toward them; w·dz/dx·β to receivers away from boundaries."""
    grid, basis, rules = box_grid(), gauss_rule(CRUDE.directions), rule_table(np.array([3, 4]))
    edges, edge = grid.edges, 0
    side = int(np.argmax((edges.faces == edges.faces[edge, 0]).sum(axis=1)))
    nodes = np.flatnonzero((edges.faces[grid.node_edge] == edges.faces[edge, 0]).any(axis=1))
    nodes = nodes[grid.node_edge[nodes] != edge]
    assert side == edge
    sources = Points(
        grid.node_edge[nodes], grid.node_z[nodes], grid.node_weight[nodes],
        grid.node_position[nodes],
    )  # fmt: skip
    foot, rho = foot_and_rho(sources.position[CHOSEN], edges.origin[edge], edges.along[edge])
    z, distance, give = np.empty(7), np.empty(10), np.empty((10, basis.x.size))
    weights = np.empty(2 * (3 * 2 + 4))
    kernels.fill_near_leg(
        edges, edge, sources, CHOSEN, np.zeros((2, 5)), foot, rho, PIECES, PAIRS, rules, basis,
        SEEN, z, distance, give, weights,
    )  # fmt: skip
    x, w = (
        np.concatenate(each)
        for each in zip(*map(np.polynomial.legendre.leggauss, (3, 4)), strict=True)
    )
    at = np.repeat([0.0, 0.2], [3, 4]) + 0.1 * (1 + x)
    assert z == pytest.approx(at, abs=1e-15)
    wedge = edges.wedge[edge]
    eta = eta_at(at[:, None, None], foot, rho, SEEN.z[:, None], SEEN.rho[:, None])
    exact = 0.1 * w[:, None, None] * beta(wedge, SEEN.theta[:, None], eta)
    expected = np.concatenate([exact[:3].ravel(), exact[3:, :, 1].ravel()])
    assert weights == pytest.approx(expected, rel=1e-9)
    for piece, first, emitter, row in entries():
        node = nodes[CHOSEN[emitter]]
        own = grid.node_edge[node]
        for q in range(3 + piece):
            point = edges.origin[edge] + at[first + q] * edges.along[edge]
            m = np.linalg.norm(point - grid.node_position[node])
            ahead, aside = foot_and_rho(point, grid.node_position[node], edges.along[own])
            toward = cardinal(edges.nu[own], np.arcsinh(ahead / aside), basis.x)
            assert distance[row + q] == pytest.approx(m, rel=1e-12)
            assert give[row + q] == pytest.approx(grid.node_weight[node] / m * toward, abs=1e-12)


@pytest.fixture
def near_leg():
    """Tables of a near leg, drawn at random: distance, give, weights, z."""
    rng = np.random.default_rng(7)
    return (
        rng.uniform(0.1, 1.0, 10), rng.normal(size=(10, 4)), rng.normal(size=20),
        rng.uniform(0.0, 0.4, 7),
    )  # fmt: skip


def near_terms(distance, give, weights):
    """(point, emitter, receiver, weight, give and e^{−jkm}) of every path of the tables."""
    starts = {0: 0, 1: 12}
    for piece, first, emitter, row in entries():
        many, count = (2, 3) if piece == 0 else (1, 4)
        place = emitter if piece == 0 else 0
        for q in range(count):
            for r in range(2):
                w = weights[starts[piece] + (q * 2 + r) * many + place]
                yield first + q, emitter, r, w, give[row + q], waves(distance[row + q])


def test_a_near_leg_is_summed_over_its_paths(near_leg):
    distance, give, weights, z = near_leg
    strength, factor = noise(np.random.default_rng(8), 5, 4, 4), np.array([0.3, -0.8])
    pressure = np.ones((4, 2, 4))
    kernels.radiate_near(
        planes(strength), CHOSEN, PIECES, PAIRS, z, distance, give, weights, SEEN, factor,
        HALF_TURNS, pressure,
    )  # fmt: skip
    expected = np.full((4, 4), 1 + 1j)
    for point, emitter, r, w, shares, wave in near_terms(distance, give, weights):
        last = np.hypot(SEEN.z[r] - z[point], SEEN.rho[r])
        heard = factor[r] * np.tile(wave * waves(last), 2) / last
        expected[SEEN.index[r]] += w * (shares @ strength[CHOSEN[emitter]]) * heard
    assert joined(pressure) == pytest.approx(expected, rel=1e-11)


def test_a_near_leg_asked_back_is_the_same_sum_the_other_way(near_leg):
    distance, give, weights, _ = near_leg
    heard = noise(np.random.default_rng(9), 7, 2, 2)
    strength = np.ones((5, 4, 2, 4))
    kernels.near_leg_back(
        CHOSEN, PIECES, PAIRS, distance, give, weights, HALF_TURNS, planes(heard), strength
    )
    expected = np.full((5, 4, 2, 2), 1 + 1j)  # (source, direction, receiver, frequency)
    for point, emitter, r, w, shares, wave in near_terms(distance, give, weights):
        expected[CHOSEN[emitter], :, r] += w * np.outer(shares, heard[point, r] * wave)
    assert joined(strength) == pytest.approx(expected.reshape(5, 4, 4), rel=1e-11)


# In reverse: what receivers ask of sources


def test_a_leg_back_turns_and_weighs():
    rng = np.random.default_rng(10)
    weights, phase, heard = rng.normal(size=(3, 2, 4)), noise(rng, 4, 3, 2), noise(rng, 3, 2, 2)
    out = np.empty((4, 3, 2, 4))
    kernels.leg_back(weights, planes(phase.reshape(12, 2)), planes(heard), out)
    expected = np.einsum("bra,abf,brf->abrf", weights, phase, heard)
    assert joined(out) == pytest.approx(expected.reshape(4, 3, 4), rel=1e-12)


def test_weighing_what_leaves_with_what_is_asked():
    """Nodes 1 and 2 of an edge that has more; added to what is there (numpy's einsum)."""
    rng = np.random.default_rng(11)
    leaving, weight = noise(rng, 2, 4, 3, 2), rng.normal(size=4)
    asked, out = noise(rng, 2, 6, 6), zeros(3) + 1.0
    kernels.weigh(planes(leaving), 1, weight, planes(asked), out)
    by_side = asked.reshape(2, 2, 3, 3, 2)  # node, side, direction, receiver, frequency
    total = np.einsum("n,snpf,nsprf->rf", weight[1:3], leaving[:, 1:3], by_side)
    assert joined(out) - (1 + 1j) == pytest.approx(total, rel=1e-12)


def test_weighing_short_integers():
    """scale·Σ leaving·asked for the receivers from the second on, in single precision."""
    rng = np.random.default_rng(12)
    leaving = rng.normal(size=(2, 2, 9)).astype(np.float32)
    asked = rng.integers(-3000, 3000, size=(2, 4, 2, 9), dtype=np.int16)
    scale, out = rng.uniform(0.1, 1.0, size=(2, 4)), np.empty((3, 2), dtype=complex)
    kernels.weigh_short(leaving, asked, scale, 1, out)
    one, other = leaving.astype(float), asked.astype(float)
    product = np.einsum(
        "fn,frn->rf", one[:, 0] + 1j * one[:, 1], other[:, :, 0] + 1j * other[:, :, 1]
    )
    assert out == pytest.approx((scale.T * product)[1:], rel=2e-5)


@pytest.mark.parametrize("side", [0, 1])
def test_what_points_of_a_face_get_through_an_edge(side):
    """e^{−jkm}/m·(Σ β-directions·asked + Σ weight·hearing) at every node, one point at a time."""
    rng, wedge, basis = np.random.default_rng(13), SQUARE, gauss_rule(3).x
    nu = np.pi / wedge
    asked = noise(rng, 3, 2, 3, 2, 2)  # node, side, direction, receiver, frequency
    index, weights = np.array([1, 0, 1]), rng.normal(size=(3, 3, 2))
    hearing, out = noise(rng, 3, 3, 2), zeros(2, 2) + 1.0
    laid = planes(asked).reshape(3, 6, 8)
    kernels.light_points(
        FEET, RHOS, ALONG, nu, side, basis, laid, index, weights, planes(hearing), HALF_TURNS, out
    )
    expected = np.full((2, 2, 2), 1 + 1j)
    a = 2 * np.arctanh(basis) / nu
    for q, z in enumerate(ALONG):
        for i, (foot, rho) in enumerate(zip(FEET, RHOS, strict=True)):
            b, m = np.arcsinh((foot - z) / rho), np.hypot(foot - z, rho)
            sent = np.zeros((2, 2), dtype=complex)
            for to, theta in ((side, 0.0), (1 - side, wedge)):
                made = -nu / (8 * np.pi) * beta(wedge, theta, a + b)
                sent += np.einsum("p,prf->rf", made, asked[q, to])
            for v in range(3):
                sent[index[v]] += weights[q, v, i] * hearing[q, v]
            expected[i] += sent * waves(m) / m
    assert joined(out) == pytest.approx(expected, rel=1e-11)


# All edges round a face in one pass


RECEIVERS = np.array([[0.3, 0.2, 1.5], [0.2, 0.0, -1.5]])
"""In front, where every edge is seen, and behind, where a single one is."""


@pytest.mark.parametrize("sending", [True, False])
def test_one_pass_round_a_face(sending):
    """First order −ν/4π·share·Σ_q w·β·e^{−jk(m+l)}/(ml), and what leaves for other edges.

    By sums over the nodes, for receivers more than 1.2 rad from every zone boundary; what the rules
    miss nearer to one is checked above, one panel at a time.
    """
    grid, basis = box_grid(replace(CRUDE, least_points=6)), gauss_rule(4).x
    edges, around = grid.edges, round_face(grid, 0)
    views = views_round(BOX, edges, 0, RECEIVERS)
    assert np.abs(views.theta - np.pi).min() > 1.2
    assert views.index.tolist().count(1) == 1
    first, sent = zeros(2) + 1.0, np.full((2, 2, around.nodes * 8), np.nan)
    kernels.light_face(
        POINTS, WEIGHTS, DEPTHS, around, grid, views, basis, HALF_TURNS, sending, first, sent
    )
    expected = np.full((2, 2), 1 + 1j)
    for panel, side, place in zip(around.panel, around.side, around.place, strict=True):
        edge = grid.edge[panel]
        nu, wedge = edges.nu[edge], edges.wedge[edge]
        view = view_from_edge(BOX, edges, edge, int(side), RECEIVERS)
        foot, rho = foot_and_rho(POINTS, edges.origin[edge], edges.along[edge])
        for q, node in enumerate(grid.nodes_of_panel(panel)):
            z, w = grid.node_z[node], grid.node_weight[node]
            m = np.hypot(foot - z, rho)
            arriving = (WEIGHTS / m)[:, None] * waves(m + DEPTHS)
            for index, zr, rhor, theta, share in zip(*view, strict=True):
                last = np.hypot(zr - z, rhor)
                made = beta(wedge, theta, eta_at(z, foot, rho, zr, rhor)) @ arriving
                factor = -nu / (4 * np.pi) * share * w / last
                expected[index] += factor * made * waves(last)
            if sending:
                exact = w * leaving_by_hand(grid, node, side, basis).reshape(8, 2)
                at = 8 * (place + q)
                found = joined(sent[:, :, at : at + 8].transpose(2, 1, 0))
                assert found == pytest.approx(exact, abs=1e-12)
    assert np.isnan(sent).all() != sending
    assert joined(first) == pytest.approx(expected, abs=1e-11)
