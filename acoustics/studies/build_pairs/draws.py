"""Draws for builds of several designs: one listener in one room, cabinets built by themselves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import ndtri

from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.studies.sweeps.dataset import distinct

LISTENER = ("ear height", "distance", "temperature")
"""Kinds of spreads that are of the listener or the air."""

CABINET = ("cabinet", "drivers", "enclosures", "structure", "crossover", "amplifier", "processor")
"""Tables of the case whose keys are built; of all others the room and the listener are made."""

SHARED = 0
"""Stream of draws for all designs; a design's own is one more than its number."""


def paired_draws(tolerances: Sequence[Tolerance], builds: int, seed: int) -> list[np.ndarray]:
    """Standardised draws of as many builds of every design.

    Whatever listener and room do in a build of one design they do in that of like number of all
    others, found by the spreads' names; what is built strays by itself. The draws of each spread
    are spread over it evenly, one in each of as many equally likely parts, joined at random
    (McKay, Beckman & Conover, Technometrics 21, 1979, 239; from memory): the ends of a band need
    fewer builds so.

    Args:
        tolerances: of each design.
        builds: how many.
        seed: which of the many draws.

    Returns:
        Of each design, shape (build, spread), as `tolerance.draws.drawn` has them.
    """
    return [
        np.stack(
            [
                _draws(seed, SHARED if shared(spread) else number, name, spread.shape, builds)
                for name, spread in zip(_names(tolerance), tolerance.spreads, strict=True)
            ],
            axis=1,
        )
        if tolerance.spreads
        else np.zeros((builds, 0))
        for number, tolerance in enumerate(tolerances, start=SHARED + 1)
    ]


def shared(spread: Spread) -> bool:
    """Whether a spread is of the listener or the room, which all designs have in common."""
    if spread.kind == "key":
        return not any(key.split(".")[0] in CABINET for key in spread.keys)
    return spread.kind in LISTENER


def _names(tolerance: Tolerance) -> list[str]:
    return [str(name) for name in distinct([spread.name for spread in tolerance.spreads])]


def _draws(seed: int, stream: int, name: str, shape: str, builds: int) -> np.ndarray:
    random = np.random.default_rng([seed, stream, *name.encode()])
    share = (random.permutation(builds) + random.uniform(size=builds)) / builds
    answer: np.ndarray = ndtri(share) if shape == "normal" else 2 * share - 1
    return answer
