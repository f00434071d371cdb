"""A first look at all faults: a few readings of each, between which sizes are guessed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy.linalg as sl

from acoustics.studies.verification.evidence import Fit
from acoustics.studies.verification.fault import Fault
from acoustics.studies.verification.ground import Ground
from acoustics.studies.verification.misfit import Misfit
from acoustics.studies.verification.over_sizes import between, dense
from acoustics.studies.verification.size_scale import faulty, first_places, on_scale, size_at
from acoustics.studies.verification.strayed import log_ratio

SPARSE = 4
"""every so many of the guessed sizes are looked at"""


@dataclass(frozen=True, eq=False)
class Look:
    """A fault at a few sizes.

    `places` on the scale of its sizes (one that says nothing without sizes), ascending, the design
    among them; `ratios` the logarithm of what is read there over what is read of the design, both
    lined up, shape (place, point); `rows` what is read, the same shape.
    """

    fault: Fault
    places: np.ndarray
    ratios: np.ndarray
    rows: np.ndarray

    def guesses(self) -> tuple[np.ndarray, np.ndarray]:
        """Places that are faults, and the ratios there, guessed between those looked at."""
        if self.fault.sizes is None:
            return self.places, self.ratios
        wanted = dense(self.places, faulty(self.fault.sizes))[::SPARSE]
        return wanted, between(self.places, self.ratios, wanted)


def looked_at(ground: Ground, fault: Fault) -> Look:
    """A fault at four sizes, or as it is: as many readings."""
    design = ground.bench.design
    lined = _lined(ground, ground.row)
    sizes = fault.sizes
    if sizes is None:
        row = ground.read(fault.changed(design, 0.0))
        ratio = log_ratio(_lined(ground, row), lined)
        return Look(fault, np.zeros(1), ratio[None], row[None])
    middle = on_scale(sizes, sizes.design)
    places = sorted([*first_places(sizes), middle])
    rows, ratios = [], []
    for place in places:
        at_design = place == middle
        row = ground.row if at_design else ground.read(fault.changed(design, size_at(sizes, place)))
        rows.append(row)
        ratios.append(log_ratio(_lined(ground, row), lined))
    turned = _unwrapped(np.array(ratios), places.index(middle))
    return Look(fault, np.array(places), turned, np.array(rows))


def scores(misfit: Misfit, fit: Fit, ratios: np.ndarray, free: int) -> np.ndarray:
    """About how much likelier the readings become if a fitted build changes by some ratios.

    What strays follows to first order.

    Args:
        misfit: what it is held against.
        fit: of the build.
        ratios: logarithms, shape (change, point).
        free: how many of the fit's shares are free.

    Returns:
        Log densities but for what all have in common, shape (change,); see `height`.
    """
    bound = np.ones(len(fit.shares))
    bound[len(bound) - free :] = 0
    rest = misfit.measured - misfit.white(fit.predicted * np.exp(ratios))
    pull = rest @ fit.changes.T - bound * fit.shares
    taken = sl.cho_solve(fit.curvature, pull.T).T
    left = (rest**2).sum(axis=1) - (pull * taken).sum(axis=1)
    own = bound * fit.shares
    answer: np.ndarray = -0.5 * (left + float(own @ own))
    return answer


def height(fit: Fit, free: int) -> float:
    """What `scores` would be of a fit itself."""
    own = fit.shares[: len(fit.shares) - free]
    return -0.5 * float(fit.rest @ fit.rest + own @ own)


def best_guess(ground: Ground, thin: Fit, look: Look) -> tuple[float, float]:
    """A fault's likeliest place by `scores` from a thinned fit, and its score there."""
    places, ratios = look.guesses()
    found = scores(ground.thin, thin, ratios[:, ground.kept], ground.free)
    best = int(np.argmax(found))
    return float(places[best]), float(found[best])


def _lined(ground: Ground, row: np.ndarray) -> np.ndarray:
    return ground.lined_up(row).applied(ground.points, row)


def _unwrapped(ratios: np.ndarray, middle: int) -> np.ndarray:
    """Phases that go on from place to place, away from the design."""
    phase = ratios.imag.copy()
    phase[middle:] = np.unwrap(phase[middle:], axis=0)
    phase[: middle + 1] = np.unwrap(phase[: middle + 1][::-1], axis=0)[::-1]
    return ratios.real + 1j * phase
