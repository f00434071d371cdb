"""Frequencies between those that are solved: where many share a grid, a polynomial joins them.

Without the delay from a source to a receiver, a field differs from one frequency to the next only
by the ways round the body, which are a few of its sizes longer at most: a smooth function of
frequency, which Chebyshev points follow with an error that falls by powers.
"""

from __future__ import annotations

import math

import numpy as np

from acoustics.cabinet import Body
from acoustics.field import kernels
from acoustics.field.block import Problem, Solved

NODES, NODES_PER_RADIAN, NODES_PER_DIGIT = 18, 0.85, 8.0
"""Points for nothing, for every radian that a wave gains over the body's diagonal from the first
frequency to the last, and for every digit of accuracy beyond 0.1 dB. Measured on nine bodies: what
is between is then off by a tenth of the accuracy asked for, at most."""


def solved_at(wavenumber: np.ndarray, body: Body, accuracy: float) -> np.ndarray:
    """Wavenumbers at which to solve so as to know the field at those asked for, ascending.

    Chebyshev points from the first to the last, or, where they are no fewer, those asked for.

    Args:
        wavenumber: (frequency,), ascending, rad/m.
        body: the body.
        accuracy: dB.
    """
    first, last = float(wavenumber[0]), float(wavenumber[-1])
    diagonal = float(np.linalg.norm(np.ptp(body.points, axis=0)))
    digits = max(math.log10(0.1 / accuracy), 0.0)
    number = math.ceil(
        NODES + NODES_PER_RADIAN * (last - first) * diagonal + NODES_PER_DIGIT * digits
    )
    if number >= wavenumber.size:
        return wavenumber
    nodes = 0.5 * (first + last) + 0.5 * (last - first) * _chebyshev(number)
    nodes[0], nodes[-1] = first, last
    answer: np.ndarray = nodes
    return answer


def filled_in(
    problem: Problem, nodes: np.ndarray, solved: Solved, wavenumber: np.ndarray
) -> Solved:
    """The field at all frequencies from that at the nodes of `solved_at`.

    Args:
        problem: the sources and receivers.
        nodes: rad/m.
        solved: the field there.
        wavenumber: (frequency,), ascending, rad/m.
    """
    if nodes.size == wavenumber.size:
        return solved
    centres = np.array([source.centre for source in problem.sources])
    away = np.linalg.norm(problem.receivers[None] - centres[:, None], axis=-1)
    pressure = between_nodes(solved.pressure.swapaxes(1, 2), nodes, wavenumber, away)
    return Solved(pressure.swapaxes(1, 2), solved.tail[:, np.searchsorted(nodes, wavenumber)])


def between_nodes(
    pressure: np.ndarray, nodes: np.ndarray, wavenumber: np.ndarray, away: np.ndarray
) -> np.ndarray:
    """Pressure at all frequencies from that at the nodes of `solved_at`, in its own precision.

    Args:
        pressure: complex (…, node).
        nodes: rad/m.
        wavenumber: (frequency,), rad/m.
        away: from where the sound comes, m, shape (…).

    Returns:
        complex (…, frequency).
    """
    first, last, far = nodes[0], nodes[-1], away[..., None]
    x = (2.0 * wavenumber - first - last) / (last - first)
    # Berrut & Trefethen, SIAM Review 46, 2004, 501, eq. 5.4: weights of Chebyshev's points.
    weights = (-1.0) ** np.arange(nodes.size)
    weights[[0, -1]] *= 0.5
    between = np.empty((wavenumber.size, nodes.size))
    kernels.interpolation(x, _chebyshev(nodes.size), weights, between)
    smooth = pressure * np.exp(1j * nodes * far).astype(pressure.dtype)
    turn = np.exp(-1j * wavenumber * far).astype(pressure.dtype)
    answer: np.ndarray = (smooth @ between.T.astype(pressure.dtype)) * turn
    return answer


def _chebyshev(number: int) -> np.ndarray:
    """Chebyshev's points of the second kind, from −1 to 1."""
    points: np.ndarray = -np.cos(np.pi * np.arange(number) / (number - 1))
    return points
