"""The optimiser of layouts: globally, then locally, and along the front between two aims."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import differential_evolution

from acoustics.field.blas import one_blas_thread
from acoustics.field.plan import usable_cores
from acoustics.studies.layout_search.figures import SENSE
from acoustics.studies.layout_search.places import drawn_layouts
from acoustics.studies.layout_search.tabled import Tabled
from acoustics.studies.layout_search.variables import Variable
from acoustics.studies.layout_search.variant import Variant

CROWD, FOR_EACH = 24, 10
"""layouts that are looked at together: the first, and so many more for every unknown"""

GENERATIONS, SHORT = 60, 20
"""how often a crowd is renewed: all over, and where much is known already"""

KNOWN = 0.5
"""of a crowd that begins with what is known: the rest is drawn"""

FINISHED = 2
"""of the best found, from so many the search goes on near by"""

FIRST_STEP = 6e-3
"""m: with which a search near by begins; others begin with a twentieth of their span"""

DRAWN, ROUNDS, LAST_STEP = 24, 40, 1 / 100
"""near by: steps drawn at once, how often, and what is left of the first step when it ends"""

TOGETHER = 32
"""layouts judged by one thread at once"""

FORBIDDEN = 1e4
"""dB: what breaks a rule costs more than anything that keeps to all"""

NOTHING = 1e-3
"""dB: what two layouts differ by where they are as good as each other"""

Cost = Callable[[np.ndarray], np.ndarray]
"""aims (layout, aim), dB with less being better → cost (layout,)"""


@dataclass
class Archive:
    """Every layout that was judged: rows of values, and aims with less being better, dB."""

    rows: list[np.ndarray] = field(default_factory=list)
    aims: list[np.ndarray] = field(default_factory=list)

    def add(self, rows: np.ndarray, aims: np.ndarray) -> None:
        """Keep some."""
        self.rows.append(rows)
        self.aims.append(aims)

    @property
    def all(self) -> tuple[np.ndarray, np.ndarray]:
        """Everything kept: (layout, unknown), (layout, aim)."""
        return np.concatenate(self.rows), np.concatenate(self.aims)

    def best(self, cost: Cost, count: int) -> np.ndarray:
        """The best rows by a cost, of equal ones the first."""
        rows, aims = self.all
        order = np.argsort(cost(aims), kind="stable")
        _, first = np.unique(rows[order], axis=0, return_index=True)
        answer: np.ndarray = rows[order][np.sort(first)[:count]]
        return answer


@dataclass(frozen=True)
class Optimiser:
    """A search on one variant, by tables; what it judges goes to the archive."""

    tabled: Tabled
    archive: Archive
    draw: np.random.Generator

    @property
    def variant(self) -> Variant:
        """What is searched."""
        return self.tabled.variant

    @property
    def free(self) -> np.ndarray:
        """Which unknowns have a span, (unknown,)."""
        return np.array([each.high > each.low for each in self.variant.unknowns.variables])

    def rows(self, shares: np.ndarray) -> np.ndarray:
        """Values of the unknowns from shares (layout, free unknown) of their spans."""
        variables = self.variant.unknowns.variables
        every = np.zeros((len(shares), len(variables)))
        every[:, self.free] = np.clip(shares, 0.0, 1.0)
        return np.stack([each.value(every[:, n]) for n, each in enumerate(variables)], axis=1)

    def shares(self, rows: np.ndarray) -> np.ndarray:
        """The other way round."""
        variables = self.variant.unknowns.variables
        every = np.stack([each.share(rows[:, n]) for n, each in enumerate(variables)], axis=1)
        answer: np.ndarray = np.clip(every, 0.0, 1.0)[:, self.free]
        return answer

    def cost(self, rows: np.ndarray, cost: Cost) -> np.ndarray:
        """What layouts cost, (layout,); those that break a rule are not judged."""
        lack = self.variant.shortfall(rows)
        answer = FORBIDDEN * (1.0 + lack)
        good = lack <= 0
        if good.any():
            aims = judged_aims(self.tabled, rows[good])
            self.archive.add(rows[good], aims)
            answer[good] = np.nan_to_num(cost(aims), nan=FORBIDDEN)
        return answer

    def drawn(self, count: int) -> np.ndarray:
        """Layouts that keep to the rules, drawn at random, (layout, unknown)."""
        variant = self.variant
        places = drawn_layouts(variant.rules, variant.allowed, count, self.draw)
        others = variant.unknowns.variables[2 * len(variant.unknowns.sites) :]
        rest = [each.value(self.draw.random(len(places))) for each in others]
        return np.concatenate(
            [places.reshape(len(places), -1), *(x[:, None] for x in rest)], axis=1
        )

    def all_over(self, cost: Cost, known: np.ndarray, generations: int) -> None:
        """Differential evolution (Storn and Price, J. Global Optimization 11, 1997, 341).

        The crowd begins with what is known and layouts that are drawn.
        """
        count = CROWD + FOR_EACH * int(self.free.sum())
        known = known[: int(KNOWN * count)]
        crowd = self.shares(np.concatenate([known, self.drawn(count - len(known))]))
        if not self.free.any() or len(crowd) < 5:
            self.cost(self.rows(crowd), cost)
            return
        differential_evolution(
            lambda shares: self.cost(self.rows(shares.T), cost),
            [(0.0, 1.0)] * crowd.shape[1],
            init=crowd,
            maxiter=generations,
            tol=1e-4,
            polish=False,
            vectorized=True,
            updating="deferred",
            rng=self.draw,
        )

    def near_by(self, cost: Cost, starts: np.ndarray) -> np.ndarray:
        """The best row near some: steps drawn round the best, halved when none of them is better.

        An evolution strategy of one parent (Rechenberg 1973, Schwefel 1981, from memory), with
        steps along single unknowns beside those that are drawn: the cost has kinks and rules, and
        a crowd is judged at hardly more time than a single layout.
        """
        every = zip(self.variant.unknowns.variables, self.free, strict=True)
        first = np.array([_first_step(variable) for variable, free in every if free])
        ways = np.concatenate([np.eye(first.size), -np.eye(first.size)])
        found = []
        for row in starts:
            best, least, steps = row, float(self.cost(row[None], cost)[0]), first
            for _ in range(ROUNDS if first.size else 0):
                drawn = self.draw.standard_normal((DRAWN, first.size))
                tried = self.rows(self.shares(best[None]) + steps * np.concatenate([ways, drawn]))
                costs = self.cost(tried, cost)
                if costs.min() < least:
                    best, least = tried[int(costs.argmin())], float(costs.min())
                else:
                    steps = steps / 2
                if (steps < LAST_STEP * first).all():
                    break
            found.append((least, best))
        return min(found, key=lambda each: each[0])[1]


def _first_step(variable: Variable) -> float:
    """With which share of its span a search near by begins."""
    if variable.kind in ("right", "up"):
        return min(FIRST_STEP / (variable.high - variable.low), 0.25)
    return 0.05


def judged_aims(tabled: Tabled, rows: np.ndarray) -> np.ndarray:
    """The aims of layouts by tables, less being better, dB, (layout, aim)."""
    parts = [rows[n : n + TOGETHER] for n in range(0, len(rows), TOGETHER)]

    def judge(part: np.ndarray) -> np.ndarray:
        found = tabled.judged(part)
        return np.stack([SENSE[name] * found[name] for name in tabled.wanted], axis=1)

    if len(parts) == 1:
        return judge(parts[0])
    with one_blas_thread(), ThreadPoolExecutor(usable_cores()) as pool:
        return np.concatenate(list(pool.map(judge, parts)))


def first_aim(aims: np.ndarray) -> np.ndarray:
    """By the aim alone."""
    answer: np.ndarray = aims[:, 0]
    return answer


def second_aim(aims: np.ndarray) -> np.ndarray:
    """By the other aim alone; of layouts as good, by the first."""
    answer: np.ndarray = aims[:, 1] + 1e-3 * aims[:, 0]
    return answer


def weighted(weight: float, ideal: np.ndarray, scale: np.ndarray) -> Cost:
    """The larger of two weighted distances from the best of each aim (Chebyshev's norm).

    Bowman, in Multiple Criteria Decision Making, 1976, 76 (from memory): unlike a weighted sum it
    finds every point of the front, also where that is hollow.
    """
    weights = np.array([weight, 1.0 - weight])

    def cost(aims: np.ndarray) -> np.ndarray:
        parts = weights * (aims - ideal) / scale
        # A trace of the sum keeps from the front what another layout beats in one aim alone.
        answer: np.ndarray = parts.max(axis=1) + 1e-3 * parts.sum(axis=1)
        return answer

    return cost


def not_beaten(aims: np.ndarray) -> np.ndarray:
    """Indices of the layouts that no other beats in both aims, by the first aim ascending.

    What is worse in the first has to be better in the second by more than `NOTHING`: left and right
    of layouts on the middle line are alike but for rounding, and the best of them is enough.
    """
    order = np.lexsort((aims[:, 1], aims[:, 0]))
    kept, least = [], np.inf
    for n in order:
        if aims[n, 1] < least - NOTHING:
            kept.append(n)
            least = aims[n, 1]
    return np.array(kept, dtype=int)
