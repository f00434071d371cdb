"""Every piece of the solver's quadrature by itself, against the formula it stands for.

References are worked out here from the formulas named beside each check, with numpy, with
adaptive quadrature (QUADPACK in scipy.integrate.quad) or with plain geometry in space; none
calls the code under test. "DEVELOPERS" is the chapter "The field solver" of DEVELOPERS.md.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad, quad_vec

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
from acoustics.field.quadrature import gauss_rule, rule_table
from acoustics.field.resolution import TIERS, resolution_for
from acoustics.field.sights import Points, find_sights, phases_of
from acoustics.field.views import View
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


def complex_quad(integrand, low, high, breaks=()):
    """∫ of a complex integrand by adaptive quadrature, broken where it is sharp."""
    knots = [low, *sorted(b for b in breaks if low < b < high), high]
    total = 0.0
    for a, b in pairwise(knots):
        total += quad(integrand, a, b, complex_func=True, limit=400, epsrel=1e-9, epsabs=1e-11)[0]
    return total


def beta(wedge, theta, eta):
    """What an edge makes of an arrival along its face θ = 0, with the four terms of the source.

    β = Σ sin ν(π ± θs ± θr)/(cosh νη − cos ν(π ± θs ± θr)) with θs = 0 (Svensson, Fred &
    Vanderkooy, J. Acoust. Soc. Am. 106, 1999, 2331, eq. 3; from memory), the difference written as
    2·sinh²(νη/2) + 2·sin²(…/2), which does not cancel.
    """
    nu = np.pi / wedge
    total = 0.0
    for angle in (np.pi + theta, np.pi - theta):
        below = 2 * np.sinh(0.5 * nu * eta) ** 2 + 2 * np.sin(0.5 * nu * angle) ** 2
        total = total + 2 * np.sin(nu * angle) / below
    return total


def grid_of(body, resolution, wavelength=0.1, beside=()):
    """A grid; the edges `beside` something are cut for what is 10 mm from 0.1 m along them."""
    edges = edge_table(body)
    near = [(np.empty(0), np.empty(0))] * len(body.edges)
    for edge in beside:
        near[edge] = (np.array([0.1]), np.array([0.01]))
    return build_grid(edges, len(body.faces), near, wavelength, resolution)


# phasors, exp_asinh


def test_phasors_are_complex_exponentials():
    """Against numpy, to 20 kHz at 100 m; exact half turns and quarter turns among them."""
    half_turns = np.concatenate([np.linspace(0.0, 120.0, 997), [0.5, 1.0, 1.5, 2.0, 2.5]])
    for distance, scale in [
        (0.0, 2.0),
        (1e-3, 1.0),
        (1.0, 1.0),
        (0.37, -1.5),
        (-0.2, 1.0),
        (100.0, 0.1),
    ]:
        out = np.empty((2, half_turns.size))
        kernels.phasors(half_turns, distance, scale, out)
        # Whole turns are taken off first: numpy's product with π would lose digits to them.
        exact = scale * np.exp(-1j * np.pi * np.fmod(half_turns * distance, 2.0))
        rounding = 4e-16 * (1.0 + np.pi * half_turns.max() * abs(distance))
        assert np.abs(out[0] + 1j * out[1] - exact).max() < abs(scale) * rounding


def test_phasors_to_the_last_digits():
    """Within a whole turn nothing is lost to rounding the product: numpy again."""
    half_turns = np.linspace(0.0, 2.0, 257)
    out = np.empty((2, 257))
    kernels.phasors(half_turns, 0.5, 1.0, out)
    assert np.abs(out[0] + 1j * out[1] - np.exp(-0.5j * np.pi * half_turns)).max() < 1e-15


def test_phasors_in_single_precision():
    """Whole turns are taken off in double: to 20 kHz at 100 m within single precision of numpy."""
    half_turns = np.concatenate([np.linspace(0.0, 120.0, 997), [0.5, 1.0, 1.5, 2.0, 2.5]])
    for distance, scale in [(0.0, 2.0), (0.37, -1.5), (100.0, 0.1)]:
        out = np.empty((2, half_turns.size), dtype=np.float32)
        kernels.phasors(half_turns, distance, scale, out)
        exact = scale * np.exp(-1j * np.pi * np.fmod(half_turns * distance, 2.0))
        assert np.abs(out[0] + 1j * out[1] - exact).max() < 3e-7 * abs(scale)


def test_exp_asinh_keeps_its_digits_on_both_sides():
    for zeta in (-1e6, -3.0, -1e-9, 0.0, 1e-9, 0.2, 40.0, 1e6):
        for rho in (1e-3, 0.7, 20.0):
            exact = np.exp(np.arcsinh(zeta / rho))  # numpy's arcsinh is odd to the last digit
            assert kernels.exp_asinh(zeta, rho) == pytest.approx(exact, rel=1e-13)


# Rows of complex columns


def planes(values):
    """Complex (…, column) as real and imaginary planes (…, 2, column)."""
    return np.stack([values.real, values.imag], axis=-2)


def joined(values):
    """Planes (…, 2, column) as complex (…, column)."""
    return values[..., 0, :] + 1j * values[..., 1, :]


def noise(rng, *shape):
    return rng.normal(size=shape) + 1j * rng.normal(size=shape)


@pytest.mark.parametrize(("real", "digits"), [(np.float64, 1e-13), (np.float32, 2e-7)])
def test_phase_table_turns_rows(real, digits):
    """Three sources at two frequencies: every column by its own frequency's e^{−jkd}, numpy."""
    rng = np.random.default_rng(2)
    wavenumber, distance = np.array([3.0, 70.0]), np.array([0.0, 0.04, 0.3, 1.7])
    phase = np.empty((4, 2, 2), dtype=real)
    kernels.phase_table(wavenumber / np.pi, distance, phase)
    exact = np.exp(-1j * np.outer(distance, wavenumber))
    assert np.abs(joined(phase) - exact).max() < digits
    value = noise(rng, 4, 6)
    turned = planes(value).astype(real)
    kernels.turn_rows(turned, phase)
    assert np.abs(joined(turned) - value * np.tile(exact, 3)).max() < 10 * digits


# Interpolation along edges and over directions


def interpolate(values, x, rule):
    out = np.empty(rule.x.size)
    kernels.lagrange(x, rule.x, rule.bary, out)
    return out @ values


@pytest.mark.parametrize("count", [5, 12, 20])
def test_lagrange_polynomials(count):
    """Sum to one, and carry any polynomial of a degree below their number (numpy's polyval)."""
    rule = gauss_rule(count)
    rng = np.random.default_rng(count)
    polynomial = np.polynomial.Chebyshev(rng.normal(size=count))
    beside_a_node = [rule.x[2], rule.x[2] + 1e-15, rule.x[2] + 1e-12]
    for x in (-1.0, 1.0, *rng.uniform(-1, 1, 20), *beside_a_node):
        assert interpolate(np.ones(count), x, rule) == pytest.approx(1.0, abs=1e-14)
        assert interpolate(polynomial(rule.x), x, rule) == pytest.approx(polynomial(x), abs=2e-12)
    higher = np.polynomial.Chebyshev.basis(count + 1)
    assert abs(interpolate(higher(rule.x), 0.4567, rule) - higher(0.4567)) > 1e-2


def test_interpolation_is_lagrange_at_every_point():
    """A cubic by its values at 7 points, and at a node that node alone (numpy's polyval)."""
    rule = gauss_rule(7)
    cubic = np.polynomial.Polynomial([0.3, -1.0, 2.0, 0.7])
    x = np.array([-1.0, -0.3, rule.x[2], 0.55, 1.0])
    out = np.empty((5, 7))
    kernels.interpolation(x, rule.x, rule.bary, out)
    assert out @ cubic(rule.x) == pytest.approx(cubic(x), abs=1e-14)
    assert out[2].tolist() == np.eye(7)[2].tolist()


def test_rule_table_holds_gauss_rules_by_their_number():
    """numpy's leggauss; the barycentric weights carry a constant."""
    table = rule_table(np.array([3, 8]))
    assert table.shape == (9, 3, 8)
    for count in (3, 8):
        x, w = np.polynomial.legendre.leggauss(count)
        assert table[count, :2, :count] == pytest.approx(np.stack([x, w]), abs=1e-15)
        out = np.empty(count)
        kernels.lagrange(0.123, table[count, 0, :count], table[count, 2, :count], out)
        assert out @ x**2 == pytest.approx(0.123**2, abs=1e-14)
    assert np.count_nonzero(table[[0, 1, 2, 4, 5, 6, 7]]) == 0
    assert np.count_nonzero(table[3, :, 3:]) == 0


def over_directions(function, t, count):
    """Σ f(x_p)·φ_p(t)."""
    rule = gauss_rule(count)
    out = np.empty(count)
    kernels.direction_values(t, rule.x, rule.bary, out)
    return out @ function(rule.x)


def test_direction_basis_is_cardinal_at_its_nodes():
    rule = gauss_rule(12)
    for p, x in enumerate(rule.x):
        out = np.empty(12)
        kernels.direction_values((1 + x) / (1 - x), rule.x, rule.bary, out)
        assert np.allclose(out, np.eye(12)[p], atol=1e-12)


@pytest.mark.parametrize("wedge", [SQUARE, SHALLOW, THIN])
def test_direction_basis_carries_polynomials_times_its_fall(wedge):
    """f = (1−x²)·polynomial with x = tanh(νa/2) exactly, and its derivative (ν/2)(1−x²)·f′."""
    nu = np.pi / wedge
    factor = np.polynomial.Polynomial(np.random.default_rng(1).normal(size=12))
    f = np.polynomial.Polynomial([1, 0, -1]) * factor
    step = 1e-5
    for a in np.linspace(-4, 4, 17):
        x = np.tanh(nu * a / 2)
        found = [over_directions(f, np.exp(nu * (a + d)), 12) for d in (-step, 0.0, step)]
        assert found[1] == pytest.approx(f(x), abs=1e-11)
        slope = nu / 2 * (1 - x**2) * f.deriv()(x)
        assert (found[2] - found[0]) / (2 * step) == pytest.approx(slope, abs=1e-7)


@pytest.mark.parametrize("t", [1e-18, 1e-9, 1e9, 1e18])
def test_direction_basis_keeps_its_digits_along_the_edge(t):
    """Where x rounds to ±1: 1 − tanh²(y) = 1/cosh²(y), y = ½·ln t."""
    exact = 1.0 / np.cosh(0.5 * np.log(t)) ** 2
    assert over_directions(lambda x: 1 - x**2, t, 12) == pytest.approx(exact, rel=1e-11, abs=0)


@pytest.mark.parametrize("wedge", [SQUARE, SHALLOW, THIN])
@pytest.mark.parametrize("side", [0, 1])
def test_exchange_is_beta_on_the_two_faces(wedge, side):
    """−ν/8π·β with β for a receiver on the same face (θ = 0) and on the other (θ = θw).

    Both also as DEVELOPERS writes them out, "All orders".
    """
    nu = np.pi / wedge
    rule = gauss_rule(12)
    a = 2.0 * np.arctanh(rule.x) / nu
    for b in (-6.0, -0.3, 0.0, 1.1, 5.0):
        out = np.empty((2, 12))
        kernels.exchange_values(np.exp(nu * b), nu, (1 + rule.x) / (1 - rule.x), side, out)
        cosh, sin, cos = np.cosh(nu * (a + b)), np.sin(nu * np.pi), np.cos(nu * np.pi)
        for found, theta, written_out in [
            (out[side], 0.0, 4 * sin / (cosh - cos)),
            (out[1 - side], wedge, -4 * sin / (cosh + cos)),
        ]:
            # Rounding only: the difference in DEVELOPERS' form cancels at a shallow edge.
            assert np.allclose(found, -nu / (8 * np.pi) * beta(wedge, theta, a + b), rtol=1e-11)
            assert np.allclose(found, -nu / (8 * np.pi) * written_out, rtol=1e-10)


# Which panels are plain


def over_distance(foot, rho, start, length, count):
    """∫ dz/m over a panel by its rule and exactly: in u = asinh((z−foot)/ρ), dz/m = du."""
    rule = gauss_rule(count)
    z = start + 0.5 * length * (1 + rule.x)
    by_rule = (0.5 * length * rule.w / np.hypot(z - foot, rho)).sum()
    return by_rule, np.diff(np.arcsinh((np.array([start, start + length]) - foot) / rho))[0]


@pytest.mark.parametrize(("foot", "rho"), [(0.5, 0.25), (-0.1, 0.1), (0.7, 0.15)])
def test_a_gauss_rule_for_1_over_m_converges_as_the_ellipse_says(foot, rho):
    """ϱ^(−2n), ϱ through the complex foot.

    Trefethen, SIAM Rev. 50, 2008, 67, theorem 4.5; from memory.
    """
    ellipse = np.exp(abs(np.arccosh(complex(2 * foot - 1, 2 * rho)).real))
    for count in (8, 12, 16):
        by_rule, exact = over_distance(foot, rho, 0.0, 1.0, count)
        assert 0.02 < abs(by_rule - exact) * ellipse ** (2 * count) < 3.0


@pytest.mark.parametrize("tolerance", [1e-5, 1e-8])
@pytest.mark.parametrize("count", [12, 20])
def test_is_plain_where_the_own_points_resolve(tolerance, count):
    start, length, foot = 0.2, 0.6, 0.44
    rho = np.geomspace(0.01, 10, 400)
    plain = np.array(
        [kernels.is_plain(foot, r, np.pi / 2, start, length, count, tolerance) for r in rho]
    )
    first = rho[plain][0]
    assert plain[rho >= first].all()

    def error(distance):
        by_rule, exact = over_distance(foot, distance, start, length, count)
        return abs(by_rule - exact)

    assert error(first) < 2 * tolerance
    assert error(first / 2) > 20 * tolerance


def test_plain_ones_asks_for_every_point():
    rng = np.random.default_rng(3)
    foot, rho = rng.uniform(-0.2, 1.2, 50), rng.uniform(0.01, 0.4, 50)
    tolerance = 10.0 ** rng.uniform(-9, -2, 50)
    plain = np.empty(50, dtype=bool)
    square = np.full(50, np.pi / 2)
    kernels.plain_ones(foot, rho, square, 0.1, 0.8, 12, tolerance, plain)
    x = (foot + 1j * rho - 0.1) / 0.4 - 1  # the ellipse's axes add up to exp|Re arcosh x|
    assert plain.tolist() == (np.exp(-24 * np.abs(np.arccosh(x).real)) < tolerance).tolist()
    assert 10 < plain.sum() < 40


def gauss_error_at(pole, start, length, count):
    """Error of a panel's rule for ∫ dz/(z − pole), in the panel's own variable; by logarithms."""
    rule = gauss_rule(count)
    x = 2 * (pole - start) / length - 1
    return abs((rule.w / (rule.x - x)).sum() - np.log((1 - x) / (-1 - x)))


@pytest.mark.parametrize("turn", [0.3, 0.8, 1.3])
@pytest.mark.parametrize("foot", [-0.01, 0.1, 0.3])
def test_is_plain_where_an_edge_is_shallow(turn, foot):
    """Poles at foot + ρ·sinh(v ± jτ) for any v: the rule's error by its exact logarithm.

    Where the panel is plain none of them is missed; a little closer, the worst one is.
    """
    start, length, count, tolerance = 0.0, 0.4, 14, 1e-5
    v = np.linspace(-6.0, 6.0, 2401)
    # ϱ^(−2n) is the error's size but for a factor: 2π from afar, and more near the ends.
    worst = {}
    rho = np.geomspace(1e-3, 3.0, 241)
    plain = [kernels.is_plain(foot, r, turn, start, length, count, tolerance) for r in rho]
    assert plain == sorted(plain)
    assert not plain[0]
    first = rho[plain.index(True)]
    for r in (first, 0.6 * first):
        poles = foot + r * np.sinh(v + 1j * turn)
        worst[r] = max(gauss_error_at(pole, start, length, count) for pole in poles)
    assert worst[first] < 8 * tolerance
    assert worst[0.6 * first] > 10 * tolerance


@pytest.mark.parametrize("seed", range(3))
def test_pieces_for_all_tile_a_panel_and_resolve_every_point(seed):
    """From end to end without a gap; each is plain for all points, and no two halves would join."""
    rng = np.random.default_rng(seed)
    start, length, shortest = 0.13, 0.8, 1e-3
    foot, rho = rng.uniform(start - 0.2, start + length, 6), 10.0 ** rng.uniform(-2, 0, 6)
    turn, tolerance = rng.uniform(0.3, 2.0, 6), 10.0 ** rng.uniform(-9, -2, 6)

    def served(begin, extent):
        count = max(12, int(np.ceil(30 * extent)) + 6)
        return all(
            kernels.is_plain(foot[i], rho[i], turn[i], begin, extent, count, tolerance[i])
            for i in range(6)
        )

    pieces = np.empty((5000, 3))
    how = foot, rho, turn, start, length, 12, 30.0, 6, tolerance, shortest
    number = kernels.cut_for_all(*how, pieces)
    assert kernels.cut_for_all(*how, np.empty((0, 3))) == number > 4
    begins, extents, _ = pieces[:number].T
    assert begins[0] == start
    assert begins[1:] == pytest.approx((begins + extents)[:-1], abs=1e-12)
    assert begins[-1] + extents[-1] == pytest.approx(start + length, abs=1e-12)
    for begin, extent, count in pieces[:number]:
        assert count == max(12, int(np.ceil(30 * extent)) + 6)
        assert served(begin, extent) or extent < shortest
        if extent < length:
            place = round((begin - start) / extent)
            assert not served(start + (place - place % 2) * extent, 2 * extent)


def cut(foot, rho, tolerance, start, length, shortest):
    """Pieces (start, length, points, served emitters) of a panel, one row of numbers each."""
    pieces, pairs = np.empty((5000, 4)), np.empty(5000 * foot.size, dtype=np.int64)
    square = np.full(foot.size, np.pi / 2)
    found, paired = kernels.cut_panel(
        foot, rho, square, start, length, 12, 30.0, 6, tolerance, shortest, pieces, pairs
    )
    assert found == 0 or pieces[found - 1, 3] == paired
    stops = pieces[:found, 3].astype(int)
    served = np.split(pairs[:paired], stops[:-1])
    return [(*row[:2], int(row[2]), ids) for row, ids in zip(pieces[:found], served, strict=True)]


@pytest.mark.parametrize("seed", range(4))
def test_the_pieces_of_a_panel_tile_it_once_for_every_emitter(seed):
    """Every emitter's pieces follow each other from end to end, and resolve it; none is too small.

    That a piece resolves: ϱ^(−2n) by exp|Re arcosh x| (numpy); that none is too small: twice as
    large, in its own place among the halves, it would not. Points: 30 a metre and 6, at least 12.
    """
    rng = np.random.default_rng(seed)
    start, length, shortest = 0.13, 0.8, 1e-3
    foot = rng.uniform(start - 0.2, start + length + 0.2, 40)
    rho = 10.0 ** rng.uniform(-5, 0, 40)
    tolerance = 10.0 ** rng.uniform(-12, -2, 40)

    def resolved(i, begin, extent):
        count = max(12, int(np.ceil(30 * extent)) + 6)
        x = (foot[i] + 1j * rho[i] - begin) / (0.5 * extent) - 1
        return np.exp(-2 * count * abs(np.arccosh(x).real)) < tolerance[i]

    pieces = cut(foot, rho, tolerance, start, length, shortest)
    assert len(pieces) > 40
    own = {i: [] for i in range(40)}
    for begin, extent, count, served in pieces:
        assert count == max(12, int(np.ceil(30 * extent)) + 6)
        assert served.size == np.unique(served).size > 0
        for i in served:
            own[i].append((begin, extent))
            assert resolved(i, begin, extent) or extent < shortest
            assert extent < shortest or kernels.is_plain(
                foot[i], rho[i], np.pi / 2, begin, extent, count, tolerance[i]
            )
            if extent < length:
                place = round((begin - start) / extent)
                twice = start + (place - place % 2) * extent
                assert 2 * extent >= shortest
                assert not resolved(i, twice, 2 * extent)
    for tiles in own.values():
        begins, extents = np.array(sorted(tiles)).T
        ends = begins + extents
        assert begins[0] == start
        assert ends[-1] == pytest.approx(start + length, abs=1e-12)
        assert begins[1:] == pytest.approx(ends[:-1], abs=1e-12)


def test_a_far_emitter_has_the_panel_whole_and_one_on_it_the_shortest_pieces():
    foot, rho = np.array([0.5, 0.5]), np.array([5.0, 0.0])
    pieces = cut(foot, rho, np.full(2, 1e-6), 0.0, 1.0, 1e-3)
    assert [row[:2] for row in pieces if 0 in row[3]] == [(0.0, 1.0)]
    about = [row[1] for row in pieces if 1 in row[3] and row[0] <= 0.5 <= row[0] + row[1]]
    assert about == [2.0**-10, 2.0**-10]


# Zone boundaries


POLES = [
    (f, foot, rho, zr, rhor)
    for f in (-1.1, -1e-3, 1e-6, 0.4)
    for foot, rho, zr, rhor in [(0.1, 0.05, 0.3, 2.0), (0.2, 0.3, -40.0, 3.0), (0.0, 0.02, 0.0, 1)]
]


@pytest.mark.parametrize("pole", POLES)
def test_zone_pole_is_where_eta_is_jf(pole):
    """η = asinh((z_e−z)/ρ) + asinh((z_r−z)/ρ_r) by numpy's complex arcsinh; path by geometry.

    For the first term of β the pole's m + l is the straight line from emitter to receiver.
    """
    f, foot, rho, zr, rhor = pole
    y, m, l, sigma, path = kernels.zone_pole(f, foot, rho, zr, rhor)  # noqa: E741
    eta = np.arcsinh(-y / rho) + np.arcsinh((zr - foot - y) / rhor)
    assert y.imag > 0
    assert eta == pytest.approx(1j * sigma * f, abs=1e-9)
    assert m**2 == pytest.approx(rho**2 + y**2, rel=1e-12)
    assert l**2 == pytest.approx(rhor**2 + (zr - foot - y) ** 2, rel=1e-12)
    theta = np.pi - f
    emitter = np.array([rho, 0.0, foot])
    receiver = np.array([rhor * np.cos(theta), rhor * np.sin(theta), zr])
    assert path == pytest.approx(np.linalg.norm(receiver - emitter), rel=1e-12)
    assert m + l == pytest.approx(path, rel=1e-9)


@pytest.mark.parametrize("count", [8, 14, 28])
def test_pole_disturbs_where_it_lies_in_the_ellipse_of_the_rule(count):
    """ϱ^(−2n) over 10⁻⁶, by exp|Re arcosh x| (numpy) of the pole, by DEVELOPERS' formula."""
    rng = np.random.default_rng(count)
    found, exact = [], []
    for _ in range(600):
        f, foot, rho = rng.uniform(-1.2, 1.2), rng.uniform(-0.5, 1), rng.uniform(0.01, 0.5)
        receiver = zr, rhor, _ = rng.uniform(-2, 2), rng.uniform(0.3, 3), np.pi - f
        pole = pole_at(2 * np.pi, foot, rho, receiver)  # of a plate: the other term's is far
        size = np.exp(abs(np.arccosh((pole - 0.1) / 0.2 - 1).real)) ** (-2.0 * count)
        found.append(kernels.pole_disturbs(f, foot, rho, zr, rhor, 0.1, 0.4, count))
        exact.append(size > 1e-6)
    assert found == exact
    assert 30 < sum(exact) < 570


@pytest.mark.parametrize("count", [8, 14, 28])
@pytest.mark.parametrize("pole", [0.2 + 1e-3j, -0.99 + 0.02j, 1.1 + 1e-6j, 0.5 + 0.3j, 0.1 - 0.1j])
def test_gauss_error_is_what_the_rule_misses(count, pole):
    rule = gauss_rule(count)
    exact = complex_quad(lambda x: 1 / (x - pole), -1.0, 1.0, [pole.real])
    by_rule = np.sum(rule.w / (rule.x - pole))
    assert kernels.gauss_error(pole, rule.x, rule.w) == pytest.approx(exact - by_rule, abs=1e-9)


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


def fading_to(z, rho, slant):
    return kernels.fading(kernels.grazing(z, rho, slant))


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


def test_fading_off_the_real_axis():
    """The same formula with complex directions: numpy's arcsinh and tanh."""
    slant = np.array([2 / 3, 0.05, 0.3, -0.02, np.sqrt(1 - 0.09)])
    for z in (0.1 + 0.02j, 0.0 + 0.01j, 0.4 - 0.1j):
        ahead, aside = slant[1] + slant[2] * z, slant[4] * (z - slant[3])
        exact = 1 - np.tanh(slant[0] / 2 * np.arcsinh(ahead / aside)) ** 2
        assert fading_to(z, 0.1, slant) == pytest.approx(exact, rel=1e-10)


@pytest.mark.parametrize("nu", [0.5, 2 / 3, 0.9])
@pytest.mark.parametrize("pole", [0.3 + 0.2j, 0.01 + 1e-3j, -0.05 + 1e-4j, -0.4 + 0.6j])
def test_what_a_rule_misses_of_a_root_over_a_pole(nu, pole):
    """∫u^ν/(u−u*) du less its Gauss rule, the integral by adaptive quadrature."""
    rule = gauss_rule(12)
    u = 1.0 + rule.x
    exact = complex_quad(lambda u: u**nu / (u - pole), 0.0, 2.0, [abs(pole), 1e-3, 1e-5])
    missed = exact - rule.w @ (u**nu / (u - pole))
    assert kernels.root_error(pole, nu, u, rule.w) == pytest.approx(missed, abs=1e-7)


def test_beside_a_vertex_the_root_is_that_of_the_edge_and_real_beyond_it():
    """s is `grazing` on the panel, whichever of its ends is the vertex, and the product is s."""
    for start, half, end in ((0.0, 0.1, -1.0), (0.05, 0.2, 1.0)):
        vertex = start + half * (1.0 + end)
        slant = np.array([2 / 3, 0.05 - 0.3 * vertex, 0.3, vertex, np.sqrt(1 - 0.09)])
        assert kernels.meets_at(slant, start, half) == end
        for u in (1e-4, 0.02, 0.7):
            z = complex(vertex - end * half * u)
            root, s = kernels.beside_vertex(complex(u), end > 0, z, half, slant)
            expected = kernels.grazing(z.real, 1.0, slant)
            assert s == pytest.approx(expected, rel=1e-12)
            assert root * u ** (2 / 3) == pytest.approx(expected, rel=1e-12)
        beyond = complex(vertex + end * half * 0.02)
        _, s = kernels.beside_vertex(-0.02 + 1e-12j, end > 0, beyond, half, slant)
        assert abs(s.imag) < 1e-9 * abs(s)


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


def pole_at(wedge, foot, rho, receiver):
    """DEVELOPERS, "Zone boundaries"; for the references it only tells where to look closely."""
    zr, rhor, theta = receiver
    f = min((np.pi - theta, 2 * wedge - np.pi - theta), key=abs)
    gap, h2 = zr - foot, rho**2 + 2 * rho * rhor * np.cos(f) + rhor**2
    offset = gap * (rho + rhor * np.cos(f)) + 1j * abs(rhor * np.sin(f)) * np.sqrt(gap**2 + h2)
    return foot + rho * offset / h2


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
    """What goes straight on next to a zone boundary, of an emitter whose strength is its fall."""
    (start, length, points), (zr, rhor, theta) = piece, receiver
    rule, basis, one = gauss_rule(int(points)), gauss_rule(12), np.ones(1)
    wedge = grid.edges.wedge[grid.edge[panel]]
    path, out = np.zeros((1, 1)), np.zeros((1, 1, 12))
    kernels.needle_waves(
        np.array([0]), foot * one, rho * one, slants, one, start, length, rule.x, rule.w, wedge,
        zr * one, rhor * one, theta * one, one, basis, path, out,
    )  # fmt: skip
    # The leg's factor, −ν/4π, is in the waves and not in `exact_leg`.
    heard = out[0, 0] @ (1 - basis.x**2) * np.exp(-1j * wavenumber * path[0, 0])
    return -4 * wedge * heard


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


def test_the_size_of_what_leaves_is_a_sum_over_points_and_directions():
    """∫ |value|² by numpy's einsum, the points weighted; added to what is there."""
    rng = np.random.default_rng(9)
    weight, value = rng.uniform(size=5), noise(rng, 2, 5, 4, 3)
    exact = np.einsum("n,snpc->c", weight, np.abs(value) ** 2)
    out = np.full(3, 7.0)
    kernels.power(weight, planes(value), out)
    assert out == pytest.approx(7.0 + exact, rel=1e-12)


def test_replacing_tells_the_size_of_the_change():
    """Nodes 2 to 4 of five; the others stay (numpy)."""
    rng = np.random.default_rng(10)
    weight, value, new = rng.uniform(size=5), noise(rng, 2, 5, 4, 3), noise(rng, 2, 2, 4, 3)
    there, out = planes(value), np.zeros(3)
    kernels.replace(weight, 2, planes(new), there, out)
    change = np.einsum("n,snpc->c", weight[2:4], np.abs(new - value[:, 2:4]) ** 2)
    assert out == pytest.approx(change, rel=1e-12)
    assert np.array_equal(joined(there)[:, 2:4], new)
    assert np.array_equal(joined(there)[:, [0, 1, 4]], value[:, [0, 1, 4]])


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


LAST_LEGS = {
    "box": (BOX, ()),
    "box cut": (BOX, (1, 2, 8)),
    "slab": (SLAB, ()),
    "veneer": (VENEER, ()),
}


@pytest.mark.parametrize(("body", "beside"), LAST_LEGS.values(), ids=LAST_LEGS.keys())
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
        radiate_edges(leg, phase, leaving, wavenumber, pressure)
        sent = np.where(sources.edge == 0, along(sources.z), 0.0)
        exact = exact_last_leg(grid, leg, sent, wavenumber)
        errors = np.abs(joined(pressure)[leg.view.index] - np.hstack([exact, second * exact]))
        meets = np.isin(grid.edges.corners[edge], grid.edges.corners[0]).any()
        assert errors.max() < (5e-4 if meets else 1e-8) * np.abs(exact).max()
        legs += 1
        near += sum(part.chosen.size for part in leg.near)
    assert legs == 6
    assert near > 20


# The piston's rim


RIM = [(0.0, 0.05), (0.3, 0.05), (0.8, 0.02), (0.97, 0.03), (1.4, 0.02), (3.0, 0.5), (30.0, 0.1)]
"""Receivers: distance from the axis over the radius, height in m."""


@pytest.mark.parametrize(("lateral", "height"), RIM)
def test_rim_integral_is_the_integral_over_the_disc(lateral, height):
    """jk·∬ e^{−jkR}/R dS in rings and rays: Gauss times trapezoid, 160 × 512 points."""
    radius = 0.06
    wavenumber = np.array([1.0, 40.0, 150.0])
    rule = gauss_rule(200)
    phi, weight = 0.5 * np.pi * (1 + rule.x), 0.5 * np.pi * rule.w
    out = np.empty((1, 2, 3))
    kernels.rim_integral(
        radius,
        np.array([lateral * radius]),
        np.array([height]),
        wavenumber / np.pi,
        phi[None],
        weight[None],
        out,
    )
    x, w = np.polynomial.legendre.leggauss(160)
    ring = 0.5 * radius * (1 + x)[:, None]
    ray = np.linspace(0, 2 * np.pi, 512, endpoint=False)
    across = ring**2 + (lateral * radius) ** 2 - 2 * ring * lateral * radius * np.cos(ray)
    distance = np.sqrt(across + height**2)[None]
    area = (0.5 * radius * w[:, None] * ring) * 2 * np.pi / 512
    waves = np.exp(-1j * wavenumber[:, None, None] * distance) / distance
    exact = 1j * wavenumber * (waves * area).sum(axis=(1, 2))
    assert out[0, 0] + 1j * out[0, 1] == pytest.approx(exact, rel=1e-8)


def test_rim_integral_on_the_axis_down_to_the_disc():
    """2π·(e^{−jkz} − e^{−jk√(z²+a²)}) (Kinsler et al., Fundamentals of Acoustics, 4th ed., ch. 7).

    The difference is written with expm1, which keeps its digits far off.
    """
    rule = gauss_rule(8)
    phi, weight = 0.5 * np.pi * (1 + rule.x)[None], 0.5 * np.pi * rule.w[None]
    wavenumber = np.array([5.0, 90.0])
    for height in (0.0, 1e-6, 0.4, 1000.0):
        out = np.empty((1, 2, 2))
        at = np.zeros(1), np.array([height])
        kernels.rim_integral(0.05, *at, wavenumber / np.pi, phi, weight, out)
        further = 0.05**2 / (np.sqrt(height**2 + 0.05**2) + height)
        exact = np.exp(-1j * wavenumber * height) * -np.expm1(-1j * wavenumber * further)
        assert out[0, 0] + 1j * out[0, 1] == pytest.approx(2 * np.pi * exact, rel=1e-10)


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
