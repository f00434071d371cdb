"""What part of a level is the crossover's, the baffle's and each surface's.

Let s_d be the strength of driver d, r_d its distance and p_d its direct pressure at the seat. The
level there, in dB, is taken apart exactly:

    level = lg Σ s_d/r_d                      how much the drivers play: the crossover's
          + lg Σ|p_d| / Σ s_d/r_d             what becomes of each by itself: the baffle's
          + lg |Σ p_d + reflections| / Σ|p_d|   how waves meet: the crossover's and the surfaces'

So the baffle, with the directivity of the pistons, answers for magnitudes: `BAFFLE` is both.
Strength is the level into half space with electrical slopes, so that all diffraction counts as the
baffle's, on the reference axis too; with acoustic slopes it is the level on the reference axis,
which the filter has made, so that only what differs at the seat does. One rule serves both, and
mixtures. Setting the sum of free point sources against the direct sound instead would blame the
baffle wherever it moves a null between drivers a little, because then both have a notch, one beside
the other; sums of magnitudes have no nulls to move.

The last term is divided by the Shapley value (L. S. Shapley, 1953, in Contributions to the Theory
of Games II) among the drivers' phases and the surfaces: the mean, over every order in which they
could be brought in, of what each changes when its turn comes. Without the phases the direct sounds
of all drivers are in step, and each driver's reflections stay as they are to its own direct sound;
with them the drivers cancel one another as polarity, delays and distances have it, for which the
crossover answers. The value depends on no order, adds up, and gives a cause without effect nothing.
Were the crossover always first, a faint reflection that completes a null between drivers would take
the credit for it.
"""

from __future__ import annotations

from math import factorial

import numpy as np

CROSSOVER = "crossover"
BAFFLE = "cabinet and cone"
"""Edges and faces of the cabinet, and the directivity of the pistons themselves."""

FAINTEST = 1e-6
"""Of the sum of magnitudes: what cancels further counts as this much, so that its level is
finite."""


def level_parts(pressure: np.ndarray, strength: np.ndarray, distance: np.ndarray) -> np.ndarray:
    """Parts of the level at one ear height that add up to it.

    Args:
        pressure: Pa, complex, shape (driver, path, place); the first path is the direct one, the
            others are those over surfaces.
        strength: Pa m, shape (driver, place).
        distance: of the drivers on the direct path, m, shape (driver,).

    Returns:
        dB re 1 Pa, shape (cause, place): crossover, baffle, then the surfaces in the paths' order.
    """
    played = _decibels((strength / distance[:, None]).sum(axis=0))
    each = _decibels(np.abs(pressure[:, 0]).sum(axis=0))
    met = meeting_parts(pressure)
    return np.concatenate([[played + met[0], each - played], met[1:]])


def meeting_parts(pressure: np.ndarray) -> np.ndarray:
    """Shapley values in the level of everything over that of the direct sounds in step.

    Args:
        pressure: Pa, complex, shape (driver, path, place); the first path is the direct one.

    Returns:
        dB, shape (1 + surface, place): the drivers' phases, then the surfaces.
    """
    turn = np.exp(-1j * np.angle(pressure[:, :1]))
    versions = (pressure * turn).sum(axis=0), pressure.sum(axis=0)  # each (path, place)
    players = pressure.shape[1]
    members = (np.arange(2**players)[:, None] >> np.arange(players)) & 1  # (subset, player)
    sums = np.empty((members.shape[0], pressure.shape[2]))
    for phases, by_path in enumerate(versions):
        own = members[:, 0] == phases
        sums[own] = np.abs(by_path[0] + members[own, 1:] @ by_path[1:])
    least = FAINTEST * np.abs(pressure).sum(axis=(0, 1))
    answer: np.ndarray = shapley_weights(members) @ _decibels(np.maximum(sums, least))
    return answer


def shapley_weights(members: np.ndarray) -> np.ndarray:
    """What each subset's value counts for each member: its mean change over all orders.

    Args:
        members: 0 or 1, shape (subset, member), every subset once.

    Returns:
        Shape (member, subset).
    """
    count = members.shape[1]
    size = members.sum(axis=1)
    total = factorial(count)
    # A member joins `before` others; the rest follow.
    joins = np.array([factorial(n) * factorial(count - n - 1) / total for n in range(count)])
    weights = np.zeros((count, members.shape[0]))
    for member in range(count):
        inside = members[:, member] == 1
        weights[member, inside] = joins[size[inside] - 1]
        weights[member, ~inside] = -joins[size[~inside]]
    return weights


def _decibels(size: np.ndarray) -> np.ndarray:
    """20·log₁₀ of magnitudes."""
    answer: np.ndarray = 20 * np.log10(size)
    return answer
