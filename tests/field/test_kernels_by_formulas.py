"""Kernels of the solver's quadrature, each by itself, against the formula it stands for.

References are worked out here from the formulas named beside each check, with numpy or with
adaptive quadrature (QUADPACK in scipy.integrate.quad). "DEVELOPERS" is the chapter "The field
solver" of DEVELOPERS.md. Small arrays, so that Python alone runs all of them in seconds.
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.field import kernels
from acoustics.field.quadrature import gauss_rule, rule_table
from support.edge_waves import (
    beta,
    complex_quad,
    fading_to,
    joined,
    noise,
    over_directions,
    planes,
    pole_at,
)

SQUARE, SHALLOW, THIN = 1.5 * np.pi, 1.15 * np.pi, 2.0 * np.pi


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


def test_what_is_just_as_short_as_the_shortest_is_halved_once_more():
    on_it = np.array([0.5]), np.zeros(1)
    pieces = cut(*on_it, np.full(1, 1e-6), 0.0, 1.0, 2.0**-6)
    assert min(extent for _, extent, *_ in pieces) == 2.0**-7
    how = *on_it, np.full(1, np.pi / 2), 0.0, 1.0, 12, 30.0, 6, np.full(1, 1e-6), 2.0**-6
    for_all = np.empty((200, 3))
    number = kernels.cut_for_all(*how, for_all)
    assert for_all[:number, 1].min() == 2.0**-7


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


@pytest.mark.parametrize("turned", [False, True])
def test_beside_a_vertex_the_root_turns_with_the_pole(turned):
    """Close to the panel it is `grazing` itself, u^ν of a pole a little off the real axis.

    By itself it turns by νφ(1 − φ/π) in place of νφ, φ the pole's angle: νφ²/π apart.
    """
    nu, angle, half, vertex = 2 / 3, 0.02, 0.1, 0.3
    along = -0.3 if turned else 0.3  # seen from the vertex both run alike
    slant = np.array([nu, 0.05 - along * vertex, along, vertex, np.sqrt(1 - 0.09)])
    pole = 0.1 * np.exp(1j * angle)
    z = vertex - half * np.conj(pole) if turned else vertex + half * pole
    root, s = kernels.beside_vertex(pole, turned, z, half, slant)
    exact = kernels.grazing(z, 1.0, slant)
    assert root * (np.conj(pole) if turned else pole) ** nu == pytest.approx(exact, rel=1e-12)
    assert abs(s / exact - 1) < 1.01 * nu * angle**2 / np.pi


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
