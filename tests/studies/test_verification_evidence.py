"""Evidence of builds against integration by general libraries, on a loudspeaker of closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.linalg as sl
from scipy.integrate import dblquad, quad
from scipy.stats import multivariate_normal

from acoustics.studies.verification.diagnosis import screen
from acoustics.studies.verification.diagnosis.over_sizes import between, explored, size_curve
from acoustics.studies.verification.diagnosis.shared import shared_of
from acoustics.studies.verification.misfit.alignment import free_changes
from acoustics.studies.verification.misfit.allowances import USUAL
from acoustics.studies.verification.misfit.evidence import fits_of, fitted
from acoustics.studies.verification.misfit.misfit import misfit_of
from acoustics.studies.verification.misfit.points import NEPER, in_a_row, points_of
from support.toy_loudspeaker import DESIGN, STRAYS, toy_answers, toy_bench

LEVEL, TWEETER = STRAYS[2], STRAYS[5]


@pytest.fixture(scope="module")
def bench():
    return toy_bench(DESIGN, np.random.default_rng(11))


def density(shared, built) -> float:
    """Log density of the readings of a build of which nothing strays, lined up as the design."""
    row = in_a_row(shared.bench.answers(built))
    lined = shared.design.lined.applied(shared.points, row)
    rest = shared.misfit.measured - shared.misfit.white(lined)
    return -0.5 * float(rest @ rest) - shared.misfit.log_size


def test_evidence_is_the_integral_over_what_strays(bench):
    """Against scipy.integrate.dblquad over level and the tweeter's level, to 1 %."""
    shared = shared_of(bench, (LEVEL, TWEETER), USUAL)
    clocks = free_changes(shared.points, USUAL)
    fit = shared.design
    delays = fit.lined.delays + fit.shares[2:] * USUAL.delay

    def at(two: float, one: float) -> float:
        built = TWEETER.changed(LEVEL.changed(DESIGN, one), two)
        row = in_a_row(toy_answers(built))
        late = np.where(
            shared.points.clock >= 0, np.exp(-2j * np.pi * shared.points.frequency * delays[0]), 1.0
        )
        rest = shared.misfit.measured - shared.misfit.white(row * late)
        prior = math.exp(-0.5 * (one**2 + two**2)) / (2 * math.pi)
        return math.exp(-0.5 * float(rest @ rest) - shared.misfit.log_size - fit.evidence) * prior

    share, spread = fit.shares[:2], fit.spreads[:2]
    (low, other), (high, top) = share - 5 * spread, share + 5 * spread
    whole, _ = dblquad(at, low, high, other, top, epsrel=1e-3)
    held = fitted(
        shared.misfit,
        fit.row,
        type(fit.lined)(delays, fit.lined.gains),
        fit.moves[:2],
        0,
        fit.shares[:2],
    )
    assert len(clocks) == 1
    assert whole * math.exp(fit.evidence - held.evidence) == pytest.approx(1.0, abs=0.01)


def test_marginalised_strays_are_a_wider_covariance(bench):
    """One Gaussian with covariance C + J·Jᵀ (scipy.stats), where everything is linear."""
    points = points_of(bench, USUAL)
    misfit = misfit_of(points, USUAL)
    shared = shared_of(bench, STRAYS, USUAL)
    fit = shared.design
    slopes = misfit.white_change(fit.predicted, fit.moves[: len(STRAYS)])
    mean = misfit.white(fit.predicted) - fit.shares[: len(STRAYS)] @ slopes
    joint = multivariate_normal(mean, np.eye(mean.size) + slopes.T @ slopes)
    rest = misfit.measured - misfit.white(fit.predicted)
    known = -0.5 * float(rest @ rest + fit.shares[:6] @ fit.shares[:6])
    known -= 0.5 * np.linalg.slogdet(np.eye(6) + slopes @ slopes.T)[1]
    # At the maximum of the height the two differ only by the step that is left of the fit.
    assert joint.logpdf(misfit.measured) + mean.size / 2 * math.log(2 * math.pi) == pytest.approx(
        known, abs=0.02
    )


def test_white_numbers_are_white():
    """Errors as allowed for make white numbers of unit covariance over 60 draws."""
    random = np.random.default_rng(3)
    drawn = []
    for _ in range(60):
        bench = toy_bench(DESIGN, random)
        misfit = misfit_of(points_of(bench, USUAL), USUAL)
        drawn.append(misfit.measured - misfit.white(in_a_row(toy_answers(DESIGN))))
    size = np.mean(np.square(drawn), axis=0)
    assert np.mean(size) == pytest.approx(1.0, abs=0.05)


def test_many_are_fitted_as_each_by_itself(bench):
    """Some far off and some near; steps are those of normal equations by scipy.linalg."""
    shared = shared_of(bench, STRAYS, USUAL)
    fit, start = shared.design, np.zeros(len(shared.about.changes))
    factors = np.exp(np.linspace(-0.4, 0.4, 5))
    rows = fit.lined.applied(shared.points, fit.row) * factors[:, None]
    together = fits_of(shared.misfit, rows, fit.moves, shared.free, start, 8)
    for number, factor in enumerate(factors):
        alone = fitted(shared.misfit, fit.row * factor, fit.lined, fit.moves, shared.free)
        assert together.evidence[number] == pytest.approx(alone.evidence, abs=1e-6)
        np.testing.assert_allclose(together.shares[number], alone.shares, atol=1e-8)
    known = np.eye(len(start)) + together.slopes[2] @ together.slopes[2].T
    np.testing.assert_allclose(together.factor[2], sl.cholesky(known, lower=True), rtol=1e-9)
    bound = np.where(np.arange(len(start)) < len(STRAYS), together.shares[2], 0.0)
    left = sl.solve(known, together.slopes[2] @ together.rest[2] - bound)
    assert np.abs(left).max() < 0.05  # nothing pulls any more


def test_first_looks_do_not_rest_on_cores(bench, monkeypatch):
    shared = shared_of(bench, STRAYS, USUAL)
    base = shared.unbent(bench.design)
    ratios = np.exp(np.linspace(-0.3, 0.3, 3 * screen.TOGETHER - 5))[:, None] * np.ones(
        shared.kept.size
    )
    found = []
    for cores in (1, 3):
        monkeypatch.setattr(screen, "usable_cores", lambda cores=cores: cores)
        found.append(screen.evidences_near(shared, base, ratios))
    np.testing.assert_array_equal(found[0], found[1])
    assert np.argmax(found[0]) == pytest.approx(len(ratios) // 2, abs=3)


def test_delay_of_many_turns_is_found():
    late = shared_of(toy_bench(DESIGN, np.random.default_rng(5), delay=4.2e-3), STRAYS[2:], USUAL)
    delays, _ = late.freed(late.design)
    assert delays[0] == pytest.approx(4.2e-3, abs=0.3e-6)


def test_free_level_is_found():
    louder = 10 ** (7.5 / 20)
    bench = toy_bench(DESIGN, np.random.default_rng(6), calibrated=False, off=np.full(39, louder))
    shared = shared_of(bench, STRAYS[3:5], USUAL)
    _, gains = shared.freed(shared.design)
    assert gains[0] / NEPER == pytest.approx(7.5, abs=0.3)


@pytest.mark.parametrize(("middle", "spread"), [(0.2, 0.01), (0.5, 0.08), (0.98, 0.05), (0.5, 3.0)])
def test_evidence_over_a_size_is_its_integral(middle, spread):
    """Against scipy.integrate.quad of a bent Gaussian over what is left of a gap, to 1 %."""
    stretches = [(0.0, 0.4), (0.45, 1.0)]

    def log(x: float) -> float:
        away = (x - middle) / spread
        return -0.5 * away**2 + 0.02 * math.tanh(away) ** 3

    places = [0.0, 0.3, 0.7, 1.0]
    curve, _, _ = explored(log, places, [log(x) for x in places], stretches, 9)
    parts = [
        quad(lambda x: math.exp(log(x)), a, b, points=[min(max(middle, a), b)])[0]
        for a, b in stretches
    ]
    assert math.exp(curve.evidence) == pytest.approx(sum(parts) / 0.95, rel=0.01)


def test_blended_parabolas_are_exact_for_parabolas():
    places = np.array([0.0, 0.3, 0.5, 1.2, 2.0])
    wanted = np.linspace(0, 2, 41)
    np.testing.assert_allclose(
        between(places, 3 * places**2 - places, wanted), 3 * wanted**2 - wanted, atol=1e-12
    )
    curve = size_curve(places, -0.5 * ((places - 0.6) / 0.2) ** 2, [(0.0, 2.0)])
    assert (curve.low, curve.high) == pytest.approx((0.6 - 0.392, 0.6 + 0.392), abs=0.01)


def test_a_size_lies_within_its_own_ends_also_at_the_least_that_is_a_fault():
    # A Gaussian cut off one standard deviation beyond its middle, where it is highest: 95 % of
    # what is left lie below 2.41 (tail of 0.05 x 0.1587, from a table of the normal distribution).
    places = np.array([1.0, 1.5, 2.0, 3.0, 4.0])
    curve = size_curve(places, -0.5 * places**2, [(1.0, 4.0)])
    assert curve.best == 1.0
    assert (curve.low, curve.high) == pytest.approx((1.0, 2.41), abs=0.03)
