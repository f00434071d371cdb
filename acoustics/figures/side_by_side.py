"""Labels in a row: which of them fit beside one another, and where they go."""

from __future__ import annotations

import numpy as np
from scipy.optimize import isotonic_regression

REACH = 0.8
"""of half its width: how far a label may stand off the place it belongs to"""


def fitting_labels(places: np.ndarray, widths: np.ndarray, most: int) -> dict[int, float]:
    """Choose labels, the first ones first, that fit in one row over their places.

    Args:
        places: where each label belongs, as part of the row (0 to 1), most important first.
        widths: of the labels, likewise.
        most: how many are chosen at most.

    Returns:
        Index → where the centre of the label goes.
    """
    chosen: dict[int, float] = {}
    for i in range(len(places)):
        if len(chosen) == most:
            break
        trial = sorted([*chosen, i], key=lambda each: places[each])
        centres = side_by_side(places[trial], widths[trial])
        if (np.abs(centres - places[trial]) <= REACH * widths[trial] / 2).all():
            chosen = dict(zip(trial, map(float, centres), strict=True))
    return chosen


def side_by_side(places: np.ndarray, widths: np.ndarray) -> np.ndarray:
    """Centres of labels that do not overlap, inside the row, each as near its place as can be.

    Least squares under an order is an isotonic regression (Barlow et al. 1972, from memory).

    Args:
        places: ascending, as part of the row.
        widths: likewise.

    Returns:
        The centres; they pass the row's ends where the labels are too wide for it.
    """
    offset = np.concatenate(([0.0], np.cumsum((widths[1:] + widths[:-1]) / 2)))
    free = isotonic_regression(places - offset).x
    first, last = widths[0] / 2, 1 - widths[-1] / 2 - offset[-1]
    centres: np.ndarray = np.clip(free, min(first, last), max(first, last)) + offset
    return centres
