"""Layouts to half a millimetre: a saw needs no more."""

from __future__ import annotations

import itertools
from collections.abc import Callable

import numpy as np

from acoustics.studies.layout_search.variables import Variable
from acoustics.studies.layout_search.variant import Variant

SAWN = 0.5e-3
"""m: to which places are rounded"""

DIGITS = 3
"""of a corner"""

ONE_DELAY = 1e-6
"""s: to which delays are rounded"""

PLACES = 9
"""decimals of what is rounded: no noise of the arithmetic"""

Cost = Callable[[np.ndarray], np.ndarray]
"""rows (layout, unknown) → cost (layout,)"""


def as_sawn(variant: Variant, row: np.ndarray, cost: Cost) -> np.ndarray:
    """A layout rounded, an owner's values together, so that it costs least and keeps to the rules.

    What no rounded value within its span leaves allowed stays as it is.
    """
    row = row.copy()
    variables = variant.unknowns.variables
    for _, group in itertools.groupby(range(len(variables)), key=lambda n: _owner(variables[n])):
        numbers = list(group)
        choices = [_rounded(variables[n], float(row[n])) for n in numbers]
        tried = np.repeat(row[None], int(np.prod([len(each) for each in choices])), axis=0)
        tried[:, numbers] = list(itertools.product(*choices))
        tried = tried[variant.shortfall(tried) <= 0]
        if len(tried):
            row = tried[int(np.argmin(cost(tried)))]
    return row


def nearest_sawn(variant: Variant, row: np.ndarray) -> np.ndarray:
    """A layout rounded to the nearest that keeps to the rules."""

    def away(rows: np.ndarray) -> np.ndarray:
        found = [
            (variable.share(rows[:, n]) - variable.share(row[n])) ** 2
            for n, variable in enumerate(variant.unknowns.variables)
        ]
        answer: np.ndarray = np.sum(found, axis=0)
        return answer

    return as_sawn(variant, row, away)


def _owner(variable: Variable) -> tuple[str, int]:
    """Whose value it is: right and up of a driver go together."""
    return ("place" if variable.kind in ("right", "up") else variable.kind), variable.owner


def _rounded(variable: Variable, value: float) -> list[float]:
    """Rounded values beside one, two either way, within the span; the value itself if none is."""
    step = SAWN if variable.kind in ("right", "up") else ONE_DELAY
    if variable.kind == "corner":
        step = 10.0 ** (np.floor(np.log10(value)) + 1 - DIGITS)
    near = (np.floor(value / step) + np.arange(-1, 3)) * step
    slack = 1e-9 * max(abs(variable.low), abs(variable.high))
    inside = near[(near >= variable.low - slack) & (near <= variable.high + slack)]
    return [round(float(round(each / step) * step), PLACES) for each in inside] or [value]
