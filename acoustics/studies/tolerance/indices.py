"""Which spread matters most: Sobol indices from the builds that are there, through a polynomial.

Variances of a figure over independent spreads come apart into what each makes by itself (first
order) and what it makes together with others besides (total). A polynomial of total degree 2 in
the standardised draws, in Hermite polynomials for normal spreads and Legendre ones for uniform
spreads, is fitted to the builds by least squares (polynomial chaos; Sudret, Reliab. Eng. Syst. Saf.
93, 2008, 964; from memory). It is told how much of the variance it explains in builds that it was
not fitted to; a figure with kinks, as the worst of several places is one, it may not.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy import stats

from acoustics.case.design.tolerance_model import Shape

PER_TERM = 3
"""Builds for every term of a polynomial, at least (common practice, no source)."""

POINTS = 2**12
"""Points of the design from which indices are taken; scipy asks for a power of 2."""

LEAST_EXPLAINED = 0.8
"""Share of the variance that the polynomial must explain for its indices to be told."""

STILL = 1e-9
"""Standard deviation, relative to the figure: what strays less does not stray."""

AT_ONCE = 8192
"""Points at which a polynomial is evaluated together."""


@dataclass(frozen=True)
class Polynomial:
    """Σ coefficient · term, in orthonormal terms; pairs are the spreads of the products.

    coefficients: (term, figure): 1, the first degree of every spread, the second, the pairs.
    """

    shapes: tuple[Shape, ...]
    pairs: tuple[tuple[int, int], ...]
    coefficients: np.ndarray

    def __call__(self, draws: np.ndarray) -> np.ndarray:
        """Values at standardised draws, (point, spread) → (point, figure)."""
        return terms_of(draws, self.shapes, self.pairs) @ self.coefficients


@dataclass(frozen=True)
class Indices:
    """Sobol indices; first and total (spread, figure), grouped (kind, figure), explained (figure).

    NaN where the polynomial does not explain enough; `reasons` (figure) then say so.
    """

    first: np.ndarray
    total: np.ndarray
    grouped: np.ndarray
    explained: np.ndarray
    reasons: tuple[str, ...]


def terms_of(
    draws: np.ndarray, shapes: Sequence[Shape], pairs: Sequence[tuple[int, int]]
) -> np.ndarray:
    """Orthonormal terms at standardised draws, (point, spread) → (point, term).

    Normal: t, (t² − 1)/√2. Uniform from −1 to 1: √3 t, √5 (3t² − 1)/2.
    """
    normal = np.array([shape == "normal" for shape in shapes], dtype=bool)
    one = np.where(normal, draws, np.sqrt(3) * draws)
    two = np.where(normal, (draws**2 - 1) / np.sqrt(2), np.sqrt(5) * (3 * draws**2 - 1) / 2)
    left, right = ([pair[n] for pair in pairs] for n in (0, 1))
    products = one[:, left] * one[:, right]
    return np.concatenate([np.ones((len(draws), 1)), one, two, products], axis=1)


def fitted(
    draws: np.ndarray, values: np.ndarray, shapes: Sequence[Shape]
) -> tuple[Polynomial, np.ndarray] | None:
    """Fit the polynomial to some figures, and tell how much of each it explains.

    With fewer builds than three for every term the products are left out; None with fewer still.

    Args:
        draws: standardised, (build, spread).
        values: (build, figure).
        shapes: of the spreads.

    Returns:
        The polynomial, and 1 minus the mean squared error of builds left out one at a time over the
        variance, (figure): the error of one left out is e/(1 − h), h its diagonal entry of the hat
        matrix (Allen, Technometrics 16, 1974, 125; from memory).
    """
    for pairs in (tuple(combinations(range(len(shapes)), 2)), ()):
        terms = terms_of(draws, shapes, pairs)
        if len(draws) >= PER_TERM * terms.shape[1]:
            break
    else:
        return None
    basis, upper = np.linalg.qr(terms)
    coefficients = np.linalg.solve(upper, basis.T @ values)
    left = (values - terms @ coefficients) / (1 - (basis**2).sum(axis=1))[:, None]
    variance = values.var(axis=0)
    explained = 1 - (left**2).mean(axis=0) / np.where(variance > 0, variance, np.nan)
    return Polynomial(tuple(shapes), pairs, coefficients), explained


def sobol(polynomial: Polynomial, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """First-order and total indices of a polynomial, each (spread, figure).

    By scipy (Saltelli et al., Comput. Phys. Commun. 181, 2010, 259), over `POINTS` points.
    """
    dists = [
        stats.norm() if shape == "normal" else stats.uniform(-1, 2) for shape in polynomial.shapes
    ]

    def values(points: np.ndarray) -> np.ndarray:
        rows = points.T
        parts = [polynomial(rows[at : at + AT_ONCE]) for at in range(0, len(rows), AT_ONCE)]
        return np.concatenate(parts).T

    function: Callable[[np.ndarray], np.ndarray] = values
    found = stats.sobol_indices(
        func=function, n=POINTS, dists=dists, rng=np.random.default_rng(seed)
    )
    first, total = (np.atleast_2d(each).T for each in (found.first_order, found.total_order))
    return first, total


def grouped(polynomial: Polynomial, groups: Sequence[Sequence[int]]) -> np.ndarray:
    """What groups of spreads make by themselves, all members together, (group, figure).

    From the coefficients directly: the terms are orthonormal, so a group's share of the variance is
    the sum of squares of all coefficients of terms in its members alone (Sudret 2008, eq. 38).
    """
    count = len(polynomial.shapes)
    squares = polynomial.coefficients[1:] ** 2
    members = [{n} for n in range(count)] * 2 + [set(pair) for pair in polynomial.pairs]
    own = np.array([[m <= set(group) for m in members] for group in groups], dtype=float)
    answer: np.ndarray = own.reshape(len(groups), len(members)) @ squares / squares.sum(axis=0)
    return answer


def indices_of(
    draws: np.ndarray,
    values: np.ndarray,
    shapes: Sequence[Shape],
    groups: Sequence[Sequence[int]],
    seed: int,
) -> Indices:
    """Sobol indices of every figure.

    Args:
        draws: standardised, (build, spread).
        values: (build, figure), NaN where a figure is not known.
        shapes: of the spreads.
        groups: numbers of spreads that are told together.
        seed: of the points from which indices are taken.
    """
    spreads, figures = len(shapes), values.shape[1]
    first, total = (np.full((spreads, figures), np.nan) for _ in range(2))
    together = np.full((len(groups), figures), np.nan)
    explained, reasons = np.full(figures, np.nan), [""] * figures
    known = np.isfinite(values)
    # Figures that are known of the same builds are fitted together.
    for builds in {column.tobytes(): column for column in known.T}.values():
        some = [n for n in range(figures) if (known[:, n] == builds).all()]
        own = values[builds][:, some]
        fit = fitted(draws[builds], own, shapes) if spreads else None
        if fit is None:
            for n in some:
                reasons[n] = (
                    f"known of {np.count_nonzero(builds)} builds, and {spreads} spreads need "
                    f"{PER_TERM * (1 + 2 * spreads)}; ask for more builds"
                )
            continue
        polynomial, share = fit
        still = own.std(axis=0) <= STILL * np.abs(own).max(axis=0, initial=0.0)
        sound = np.flatnonzero(~still & (share >= LEAST_EXPLAINED))
        for place, n in enumerate(some):
            explained[n] = np.nan if still[place] else share[place]
            if still[place]:
                reasons[n] = "does not stray"
            elif place not in sound:
                reasons[n] = (
                    f"a polynomial of second degree explains {max(share[place], 0):.0%} of its "
                    f"variance, less than {LEAST_EXPLAINED:.0%}: the figure has kinks"
                )
        if sound.size:
            told = Polynomial(
                polynomial.shapes, polynomial.pairs, polynomial.coefficients[:, sound]
            )
            where = np.array(some)[sound]
            first[:, where], total[:, where] = sobol(told, seed)
            together[:, where] = grouped(told, groups)
    return Indices(first, total, together, explained, tuple(reasons))
