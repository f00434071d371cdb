"""What a search finds for one treatment of the edges, and how it is kept in files.

That is the longest part of a search; fields are solved anew.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Place
from acoustics.studies.kept_files import Arrays

LAYOUT = 2
"""Counts up whenever the search changes, or how its answers are laid out."""

KIND = "layouts"


@dataclass(frozen=True)
class Searched:
    """What the search of one treatment found.

    `best` (unknown,) is its best layout; `rows` (layout, unknown) and `aims` (layout, aim; dB, less
    being better) are all that were judged, by tables whose levels were off by `deviation` dB.
    """

    best: np.ndarray
    rows: np.ndarray
    aims: np.ndarray
    deviation: float


def about(case: Case, asked: Place) -> tuple[object, ...]:
    """What the answers rest on, but for the treatment: others may join later."""
    rest = {name: value for name, value in vars(asked).items() if name != "treatments"}
    return LAYOUT, case.digest, rest


def arrays_of(found: Searched) -> Arrays:
    """An answer as arrays."""
    return {name: np.asarray(value) for name, value in vars(found).items()}


def searched_of(arrays: Arrays) -> Searched:
    """Arrays as an answer."""
    best, rows, aims = (arrays[name] for name in ("best", "rows", "aims"))
    return Searched(best, rows, aims, float(arrays["deviation"]))
