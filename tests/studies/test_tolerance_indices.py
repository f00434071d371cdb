"""Sobol indices by the whole route, draws to polynomial to scipy, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.studies.tolerance.draws import amounts, drawn
from acoustics.studies.tolerance.indices import fitted, indices_of
from acoustics.studies.tolerance.share import share_met

SHAPES = ("normal", "uniform", "normal")


def draws_of(builds, shapes=SHAPES, seed=3):
    spreads = tuple(
        Spread(f"x{n}", "level", (f"x{n}",), (0.0,), 1.0, shape=shape)
        for n, shape in enumerate(shapes)
    )
    return drawn(Tolerance(spreads, builds=builds, seed=seed))


def test_draws_are_as_the_spreads_say():
    spreads = (
        Spread("normal", "level", ("a",), (0.0,), 2.0),
        Spread("even", "level", ("b",), (0.0,), 3.0, shape="uniform"),
    )
    found = amounts(spreads, drawn(Tolerance(spreads, builds=4000, seed=2)))
    # 95 % within: three standard errors of a share of 4000, sqrt(0.95·0.05/4000), are 0.0104.
    assert (np.abs(found[:, 0]) < 2.0).mean() == pytest.approx(0.95, abs=0.0104)
    for column, law in zip(found.T, (stats.norm(0, 2 / 1.96), stats.uniform(-3, 6)), strict=True):
        assert stats.kstest(column, law.cdf).pvalue > 0.01
    # More builds begin with those of fewer.
    assert (drawn(Tolerance(spreads, builds=10)) == drawn(Tolerance(spreads, builds=20))[:10]).all()


def test_a_linear_figure_has_indices_of_its_slopes():
    draws = draws_of(200)
    slopes = np.array([1.0, 2.0, 0.5])
    found = indices_of(draws, (5 + draws @ slopes)[:, None], SHAPES, [[0, 1], [2]], seed=1)
    # Var of a uniform variable on −1…1 is 1/3, of a standard normal one 1.
    parts = slopes**2 * [1.0, 1 / 3, 1.0]
    assert found.first[:, 0] == pytest.approx(parts / parts.sum(), abs=0.02)
    assert found.total[:, 0] == pytest.approx(parts / parts.sum(), abs=0.02)
    expected = np.array([parts[:2].sum(), parts[2]]) / parts.sum()
    assert found.grouped[:, 0] == pytest.approx(expected, abs=1e-9)
    assert found.explained[0] == pytest.approx(1.0)


def test_a_quadratic_figure_has_those_of_its_squares_and_products():
    draws = draws_of(200)
    x, u, z = draws.T
    values = x + 0.5 * x**2 + 2 * u * z + u**2
    # Variances, all terms being orthogonal: x: 1; x²/2: 2/4; 2uz: 4·1/3·1; u²: 1/5 − 1/9.
    own = np.array([1.5, 1 / 5 - 1 / 9, 0.0])
    whole = own.sum() + 4 / 3
    found = indices_of(draws, values[:, None], SHAPES, [[1, 2], [0]], seed=1)
    assert found.first[:, 0] == pytest.approx(own / whole, abs=0.02)
    assert found.total[:, 0] == pytest.approx((own + np.array([0, 4, 4]) / 3) / whole, abs=0.02)
    # Together u and z make their squares and their product.
    expected = np.array([own[1] + 4 / 3, own[0]]) / whole
    assert found.grouped[:, 0] == pytest.approx(expected, abs=1e-9)


def test_builds_left_out_one_at_a_time_tell_what_is_explained():
    draws = draws_of(60)
    rough = np.random.default_rng(5).standard_normal(60)
    values = (draws[:, 0] + rough)[:, None]
    polynomial, explained = fitted(draws, values, SHAPES)
    errors = []
    for n in range(60):
        rest = np.arange(60) != n
        fit, _ = fitted(draws[rest], values[rest], SHAPES)
        assert fit.pairs == polynomial.pairs
        errors.append(float((values[n] - fit(draws[n : n + 1])[0])[0]))
    assert explained[0] == pytest.approx(1 - np.mean(np.square(errors)) / values.var(), abs=1e-9)


def test_figures_with_kinks_and_too_few_builds_have_no_indices_but_a_reason():
    draws = draws_of(300)
    values = np.stack(
        [np.sign(draws[:, 0]) * np.abs(draws[:, 1] * draws[:, 2]), np.ones(300)], axis=1
    )
    values = np.concatenate([values, draws[:, :1]], axis=1)
    values[12:, 2] = np.nan
    found = indices_of(draws, values, SHAPES, [[0]], seed=1)
    assert np.isnan(found.first).all()
    kinks, still, few = found.reasons
    assert "kinks" in kinks
    assert "not stray" in still
    assert "12 builds" in few


@pytest.mark.parametrize(("met", "known"), [(0, 20), (20, 20), (7, 20), (931, 1000), (1, 2)])
def test_the_interval_of_a_share_is_wilsons(met, known):
    interval = stats.binomtest(met, known).proportion_ci(method="wilson")
    share, low, high = share_met(met, known)
    assert share == met / known
    assert (low, high) == pytest.approx((interval.low, interval.high), abs=1e-9)


def test_nothing_known_is_no_share():
    assert np.isnan(share_met(0, 0)).all()
