"""A first look at all faults: a few readings of each, between which sizes are guessed."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from acoustics.field.blas import one_blas_thread
from acoustics.field.plan import usable_cores
from acoustics.studies.verification.diagnosis.over_sizes import between, dense
from acoustics.studies.verification.diagnosis.shared import Shared
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.size_scale import faulty, first_places, on_scale, size_at
from acoustics.studies.verification.misfit.evidence import Fit, fits_of
from acoustics.studies.verification.strays.strayed import log_ratio

TOGETHER = 32
"""builds that are fitted in one go, whatever the number of cores: more do not stay near them"""

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

    def guessed_places(self) -> np.ndarray:
        """Places that are faults, between those looked at."""
        sizes = self.fault.sizes
        return self.places if sizes is None else dense(self.places, faulty(sizes))

    def guessed(self, places: np.ndarray, kept: np.ndarray) -> np.ndarray:
        """By what a fault multiplies what is read, guessed at places, of the points `kept`."""
        ratios: np.ndarray = np.exp(between(self.places, self.ratios[:, kept], places))
        return ratios


def looks_at(shared: Shared, faults: Sequence[Fault]) -> list[Look]:
    """Faults at four sizes each, or as they are: as many readings."""
    lined = _lined(shared, shared.row)
    return [_look(shared, fault, lined) for fault in faults]


def _look(shared: Shared, fault: Fault, lined: np.ndarray) -> Look:
    """One fault, beside what is read of the design, lined up (point,)."""
    design = shared.bench.design
    sizes = fault.sizes
    if sizes is None:
        row = shared.read(fault.changed(design, 0.0))
        ratio = log_ratio(_lined(shared, row), lined)
        return Look(fault, np.zeros(1), ratio[None], row[None])
    middle = on_scale(sizes, sizes.design)
    places = sorted([*first_places(sizes), middle])
    rows, ratios = [], []
    for place in places:
        at_design = place == middle
        row = shared.row if at_design else shared.read(fault.changed(design, size_at(sizes, place)))
        rows.append(row)
        ratios.append(log_ratio(_lined(shared, row), lined))
    turned = _unwrapped(np.array(ratios), places.index(middle))
    return Look(fault, np.array(places), turned, np.array(rows))


def best_guesses(shared: Shared, base: Fit, looks: Sequence[Look]) -> list[tuple[float, float]]:
    """Each fault's likeliest place beside a build, and about the evidence there.

    Every place is fitted by itself, from where nothing strays: what seems to stray while the fault
    is not thought of is bent to explain it, and then the fault explains nothing more.

    Args:
        shared: of the bench.
        base: `Shared.unbent` of the build.
        looks: at the faults.
    """
    all_places = [look.guessed_places() for look in looks]
    found: list[dict[int, float]] = [{} for _ in looks]
    step = SPARSE
    wanted = [list(range(0, len(places), step)) for places in all_places]
    while True:
        ratios = [
            look.guessed(places[numbers], shared.kept)
            for look, places, numbers in zip(looks, all_places, wanted, strict=True)
        ]
        heights = iter(evidences_near(shared, base, np.concatenate(ratios)))
        for known, numbers in zip(found, wanted, strict=True):
            known.update((number, float(next(heights))) for number in numbers)
        best = [max(known, key=lambda n: known[n]) for known in found]
        if step == 1:
            break
        step //= 2
        wanted = [
            [n for n in (at - step, at + step) if 0 <= n < len(places) and n not in known]
            for at, places, known in zip(best, all_places, found, strict=True)
        ]
    return [
        (float(places[at]), known[at])
        for at, places, known in zip(best, all_places, found, strict=True)
    ]


def evidences_near(shared: Shared, base: Fit, ratios: np.ndarray) -> np.ndarray:
    """The evidence of a build after one step of what strays.

    Args:
        shared: of the bench.
        base: `Shared.unbent` of the build.
        ratios: by what it is multiplied at the points of that, shape (ratio, point).

    Returns:
        Shape (ratio,).
    """
    lined = base.lined.applied(shared.thin.points, base.row)

    def near(part: np.ndarray) -> np.ndarray:
        rows = lined * part
        return fits_of(shared.thin, rows, base.moves, shared.free, base.shares, steps=1).evidence

    parts = [ratios[n : n + TOGETHER] for n in range(0, len(ratios), TOGETHER)]
    with one_blas_thread(), ThreadPoolExecutor(usable_cores()) as pool:
        return np.concatenate([np.zeros(0), *pool.map(near, parts)])


def _lined(shared: Shared, row: np.ndarray) -> np.ndarray:
    return shared.lined_up(row).applied(shared.points, row)


def _unwrapped(ratios: np.ndarray, middle: int) -> np.ndarray:
    """Phases that go on from place to place, away from the design."""
    phase = ratios.imag.copy()
    phase[middle:] = np.unwrap(phase[middle:], axis=0)
    phase[: middle + 1] = np.unwrap(phase[: middle + 1][::-1], axis=0)[::-1]
    return ratios.real + 1j * phase
