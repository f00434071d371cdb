"""What every explanation of the same readings has in common: made once, before any is tried."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import chi2

from acoustics.listening.error import NEPER
from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.misfit.alignment import (
    Alignment,
    Search,
    aligned,
    first_delays,
    free_changes,
    searches,
)
from acoustics.studies.verification.misfit.allowances import Allowances
from acoustics.studies.verification.misfit.evidence import STEPS, Fit, factor_of, fitted
from acoustics.studies.verification.misfit.misfit import Misfit, misfit_of
from acoustics.studies.verification.misfit.points import Points, in_a_row, points_of
from acoustics.studies.verification.strays.strayed import Straying, stray_changes
from acoustics.studies.verification.strays.strays import Stray

TURNS = 3
"""times that the design is read with all that strays"""

TRUSTED, FARTHEST = 1.5, 5.0
"""spreads: as far as what seems to have strayed is believed while nothing else is known, and as far
as it is followed"""

BENT = 0.01
"""share of builds in which as much strays: rarer, it is bent to explain something else"""

AGAIN, CLOSE = 2, 0.4
"""times that a build is read again; spreads that are near enough not to"""

THIN = 200
"""points of a first look, about"""


@dataclass(frozen=True, eq=False)
class About:
    """Where what strays is read, and reckoned from.

    `shares` of each stray; `changes` of the logarithm of what is read there for one spread more of
    each, then of each delay and level, shape (each, point).
    """

    shares: np.ndarray
    changes: np.ndarray

    @property
    def factor(self) -> np.ndarray:
        """By what that which strayed multiplies what is read, shape (point,)."""
        return factor_of(self.changes[: self.shares.size], self.shares)


@dataclass(frozen=True, eq=False)
class Shared:
    """A bench, what strays there, and the design fitted to the readings.

    Attributes:
        bench, straying, allowances: what was given.
        points: what is compared.
        misfit: what predictions are held against; `thin` on `kept`, a part of all points, for a
            first look.
        about: from where what strays is reckoned, about what it seems to have been.
        free: how many delays and levels there are.
        row: what would be read of the design, nothing strayed, shape (point,): from what is read
            with strays at `about` reckoned back, as all rows are.
        where: delays are looked for, about the design's.
        design: its fit.
    """

    bench: Bench
    straying: Straying
    allowances: Allowances
    points: Points
    misfit: Misfit
    thin: Misfit
    kept: np.ndarray
    about: About
    free: int
    row: np.ndarray
    where: tuple[Search, ...]
    design: Fit

    @property
    def strays(self) -> tuple[Stray, ...]:
        """What strays there."""
        return self.straying.strays

    def read(self, built: Built, about: About | None = None) -> np.ndarray:
        """What would be read of a build, shape (point,); see `row`."""
        about = self.about if about is None else about
        there = in_a_row(self.bench.answers(self.straying.strayed(built, about.shares)))
        answer: np.ndarray = there / about.factor
        return answer

    def lined_up(self, row: np.ndarray, about: About | None = None) -> Alignment:
        """The delays and levels that suit a row, with what seems to have strayed."""
        about = self.about if about is None else about
        return aligned(self.points, row * about.factor, self.where)

    def fit_row(self, row: np.ndarray, steps: int = STEPS, about: About | None = None) -> Fit:
        """The fit of what would be read of a build (point,), to first order."""
        about = self.about if about is None else about
        return self._fitted(row, self.lined_up(row, about), about, steps)

    def fit(self, built: Built, row: np.ndarray | None = None, about: About | None = None) -> Fit:
        """The fit of a build, read again where it seems to have strayed far.

        Args:
            built: the build.
            row: what is read of it, if that is known.
            about: from where what strays is reckoned, that of `Shared` for None.
        """
        about = self.about if about is None else about
        fit = self.fit_row(self.read(built, about) if row is None else row, about=about)
        for _ in range(AGAIN):
            own = self.own(fit.shares)
            if not own.size or np.abs(own - about.shares).max() < CLOSE:
                break
            about = replace(about, shares=own)
            again = self._fitted(self.read(built, about), fit.lined, about, STEPS)
            if again.evidence <= fit.evidence:  # what strays does something else to this build
                break
            fit = again
        return fit

    def own(self, shares: np.ndarray) -> np.ndarray:
        """Of a fit's shares those of the strays alone, as far as they are followed."""
        return np.clip(shares[: len(self.strays)], -FARTHEST, FARTHEST)

    def unbent(self, built: Built) -> Fit:
        """A build on these points, fitted by nothing: what strays is where `Shared` has it."""
        row, changes = self.read(built), self.about.changes[:, self.kept]
        shares = np.concatenate([self.about.shares, np.zeros(self.free)])
        lined = self.lined_up(row)
        return fitted(self.thin, row[self.kept], lined, changes, self.free, shares, steps=0)

    def read_anew(self, built: Built, shares: np.ndarray) -> tuple[About, np.ndarray]:
        """What strays looked at anew, for a build and where it did: a reading for each, and one.

        Returns:
            From where it is reckoned then, and what is read of the build so, as `read` has it.
        """
        at = read_at(self.bench, self.straying, built, shares)
        unknown = self.about.changes[len(self.strays) :]
        about = About(shares, np.concatenate([at.changes, unknown]))
        return about, at.row / about.factor

    def _fitted(self, row: np.ndarray, lined: Alignment, about: About, steps: int) -> Fit:
        shares = np.concatenate([about.shares, np.zeros(self.free)])
        return fitted(self.misfit, row, lined, about.changes, self.free, shares, steps)

    def freed(self, fit: Fit) -> tuple[np.ndarray, np.ndarray]:
        """The fitted delays (s) of all clocks and gains (nepers) of all free levels."""
        shares = fit.shares[len(self.strays) :]
        clocks = fit.lined.delays.size
        level = self.allowances.level * NEPER
        return (
            fit.lined.delays + self.allowances.delay * shares[:clocks],
            fit.lined.gains + level * shares[clocks:],
        )


def shared_of(bench: Bench, strays: Sequence[Stray], allowances: Allowances) -> Shared:
    """What all explanations of the readings on a bench share.

    Where things strayed far, what they change is not what it was: so it is read again where they
    seem to be. They are looked for with a small unknown deviation allowed, and held, lest they be
    bent to explain a fault.
    """
    straying = Straying(strays)
    points = points_of(bench, allowances)
    wide, misfit = misfit_of(points, allowances, unknown=0), misfit_of(points, allowances)
    unknown = free_changes(points, allowances)
    shares, where = np.zeros(len(strays)), tuple[Search, ...]()
    for turn in range(TURNS):
        at = read_at(bench, straying, bench.design, shares)
        changes = np.concatenate([at.changes, unknown])
        where = where if turn else searches(points, first_delays(points, at.row))
        start = aligned(points, at.row, where)
        everything = np.concatenate([shares, np.zeros(len(unknown))])
        row = at.row / factor_of(at.changes, shares)
        if turn < TURNS - 1:
            near = fitted(wide, row, start, changes, len(unknown), everything)
            shares = believed(near.shares[: len(strays)])
    first = fitted(misfit, row, start, changes, len(unknown), everything)
    fewer, kept = points.every(max(1, round(points.frequency.size / THIN)))
    shared = Shared(
        bench,
        straying,
        allowances,
        points,
        misfit,
        misfit_of(fewer, allowances),
        kept,
        About(shares, changes),
        len(unknown),
        row,
        where,
        first,
    )
    return replace(shared, design=shared.fit(bench.design, row))


def believed(shares: np.ndarray) -> np.ndarray:
    """What seems to have strayed, while nothing else is known: nothing where it hardly can have."""
    if chi2.sf(float(shares @ shares), max(shares.size, 1)) < BENT:
        return np.zeros(shares.shape)
    return np.clip(shares, -TRUSTED, TRUSTED)


@dataclass(frozen=True, eq=False)
class ReadAt:
    """What is read (point,) of a strayed build, and what one spread more changes (stray, point)."""

    row: np.ndarray
    changes: np.ndarray


def read_at(bench: Bench, straying: Straying, built: Built, shares: np.ndarray) -> ReadAt:
    """A build read with strays off by shares of their spreads: one reading, one for each stray."""
    there = straying.strayed(built, shares)
    row = in_a_row(bench.answers(there))
    return ReadAt(row, stray_changes(bench, there, straying.strays, shares, row))
