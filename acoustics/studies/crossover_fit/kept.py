"""What is found for a candidate as arrays, as it is kept in files."""

from __future__ import annotations

import numpy as np

from acoustics.studies.crossover_fit.outcome import Outcome
from acoustics.studies.kept_files import Arrays

LAYOUT = 3
"""Counts up whenever the search changes, or how its answers are laid out."""

KIND = "fit"


def arrays_of(outcome: Outcome) -> Arrays:
    """An answer as arrays."""
    return {
        "values": np.array(outcome.values, dtype=float),
        "cost": np.array(outcome.cost, dtype=float),
        "seconds": np.array(outcome.seconds, dtype=float),
    }


def outcome_of(arrays: Arrays) -> Outcome:
    """Arrays as an answer."""
    values, seconds = (tuple(arrays[name].tolist()) for name in ("values", "seconds"))
    return Outcome(values, float(arrays["cost"]), seconds)
