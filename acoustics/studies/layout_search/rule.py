"""One rule of a layout."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from acoustics.case.text.units import in_unit

Shortfall = Callable[..., np.ndarray]
"""(right, up) of one driver, or of two, m → m by which a rule is broken; 0 or less: it is kept"""

AT = 1e-6
"""m: a driver this close to the reference axis is the one it starts from"""


@dataclass(frozen=True)
class Rule:
    """One rule for one moved driver, or for two: their places among the moved ones.

    `ways` are ways out where it cannot be kept. `words` say what it asks, with numbers; `lines` are
    places that must not fall between those tried, (right, up), m.
    """

    ways: tuple[str, ...]
    drivers: tuple[int, ...]
    words: str
    shortfall: Shortfall
    lines: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())


def in_mm(value: float) -> str:
    """A length as rules tell it."""
    return in_unit(value, "mm", digits=4)
