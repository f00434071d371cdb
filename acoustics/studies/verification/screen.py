"""A first look at all faults: a few readings of each, between which sizes are guessed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.studies.verification.evidence import Fit, fitted
from acoustics.studies.verification.fault import Fault
from acoustics.studies.verification.ground import Ground
from acoustics.studies.verification.over_sizes import between, dense
from acoustics.studies.verification.size_scale import faulty, first_places, on_scale, size_at
from acoustics.studies.verification.strayed import log_ratio

SPARSE = 16
"""every so many of the guessed sizes are looked at first, then closer about the best of them"""


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
        wanted = dense(self.places, faulty(self.fault.sizes))
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


def best_guess(ground: Ground, base: Fit, look: Look) -> tuple[float, float]:
    """A fault's likeliest place beside a build, and about the evidence there.

    Every place is fitted by itself, from where nothing strays: what seems to stray while the fault
    is not thought of is bent to explain it, and then the fault explains nothing more.

    Args:
        ground: of the bench.
        base: `Ground.unbent` of the build.
        look: at the fault.
    """
    places, ratios = look.guesses()
    found: dict[int, float] = {}
    best, step = 0, SPARSE
    wanted = list(range(0, len(places), step))
    while True:
        for n in wanted:
            if n not in found:
                found[n] = evidence_near(ground, base, np.exp(ratios[n][ground.kept]))
        best = max(found, key=lambda n: found[n])
        if step == 1:
            return float(places[best]), found[best]
        step //= 2
        wanted = [n for n in (best - step, best + step) if 0 <= n < len(places)]


def evidence_near(ground: Ground, base: Fit, ratio: np.ndarray | float = 1.0) -> float:
    """The evidence of a build, times a ratio (point,), after one step of what strays."""
    row, moves = base.row * ratio, base.moves
    return fitted(ground.thin, row, base.lined, moves, ground.free, base.shares, steps=1).evidence


def _lined(ground: Ground, row: np.ndarray) -> np.ndarray:
    return ground.lined_up(row).applied(ground.points, row)


def _unwrapped(ratios: np.ndarray, middle: int) -> np.ndarray:
    """Phases that go on from place to place, away from the design."""
    phase = ratios.imag.copy()
    phase[middle:] = np.unwrap(phase[middle:], axis=0)
    phase[: middle + 1] = np.unwrap(phase[: middle + 1][::-1], axis=0)[::-1]
    return ratios.real + 1j * phase
