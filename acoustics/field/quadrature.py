"""Gauss rules and the basis of directions, as plain arrays."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np


class Rule(NamedTuple):
    """A Gauss–Legendre rule on [−1, 1]: nodes, weights, and barycentric weights of its nodes."""

    x: np.ndarray
    w: np.ndarray
    bary: np.ndarray


@cache
def gauss_rule(count: int) -> Rule:
    """The Gauss–Legendre rule of `count` points.

    Barycentric weights (−1)^j·√((1−x²)·w): Wang & Xiang, Math. Comp. 81, 2012, 861, theorem 3.1.
    """
    x, w = np.polynomial.legendre.leggauss(count)
    bary = (-1.0) ** np.arange(count) * np.sqrt((1.0 - x**2) * w)
    for array in (x, w, bary):
        array.flags.writeable = False
    return Rule(x, w, bary)


def rule_table(counts: np.ndarray) -> np.ndarray:
    """Gauss rules of some numbers of points, by that number: (points, 3, q), the rest zero."""
    most = int(counts.max())
    table = np.zeros((most + 1, 3, most))
    for count in map(int, counts):
        for row, values in enumerate(gauss_rule(count)):
            table[count, row, :count] = values
    return table
