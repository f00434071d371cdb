"""What rules along edges miss next to zone boundaries, as waves from the nodes themselves.

Next to a boundary the pole of a last leg stands for what the emitter's own edge stops or begins to
send to the receiver by itself: a wave from the emitter straight to the receiver, of a real
amplitude for each of the emitter's directions. So nothing is carried along the edge between.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.field import kernels
from acoustics.field.emitters import Emitters
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution
from acoustics.field.views import View


@dataclass(frozen=True)
class Waves:
    """Of one last leg, for the receivers next to a zone boundary; nothing of frequency."""

    which: np.ndarray
    """receivers of the view (n,)"""
    path: np.ndarray
    """(emitter, n), m"""
    weights: np.ndarray
    """(emitter, n, direction)"""


def no_waves(wedge: float, view: View, emitters: int, resolution: Resolution) -> Waves:
    """Room for the waves of a number of emitters across an edge of that exterior angle."""
    off = np.minimum(np.abs(np.pi - view.theta), np.abs(2.0 * wedge - np.pi - view.theta))
    which = np.flatnonzero(off < kernels.NEEDLE)
    shape = emitters, which.size
    weights = np.zeros((*shape, resolution.directions), dtype=resolution.real)
    return Waves(which, np.zeros(shape), weights)


def add_waves(
    waves: Waves,
    wedge: float,
    view: View,
    emitters: Emitters,
    served: np.ndarray,
    piece: tuple[float, float, int],
) -> None:
    """Add what a panel, or a piece of one, misses of the emitters that it serves.

    Args:
        waves: added to.
        wedge: exterior angle of the panel's edge, rad.
        view: the receivers.
        emitters: all of the leg.
        served: which of them.
        piece: start and length (m along the edge), points.
    """
    which = waves.which
    if which.size == 0:
        return
    start, length, count = piece
    rule, basis = gauss_rule(int(count)), gauss_rule(waves.weights.shape[2])
    kernels.needle_waves(
        served, emitters.foot, emitters.rho, emitters.slants, emitters.points.weight, start, length,
        rule.x, rule.w, wedge, view.z[which], view.rho[which], view.theta[which],
        view.share[which], basis, waves.path, waves.weights,
    )  # fmt: skip


def radiate_waves(
    waves: Waves,
    strength: np.ndarray,
    half_turns: np.ndarray,
    index: np.ndarray,
    pressure: np.ndarray,
) -> None:
    """Add the waves to pressure (receiver, 2, column), strength (emitter, direction, 2, column)."""
    if waves.which.size == 0:
        return
    emitters, directions, _, columns = strength.shape
    flat = strength.reshape(emitters, directions, 2 * columns)
    sent = np.matmul(waves.weights, flat).reshape(-1, 2, columns)
    kernels.turn_rows(sent, _phases(waves, half_turns))
    heard = sent.reshape(*waves.path.shape, 2, columns).sum(axis=0)
    # A receiver may be in a view twice.
    np.add.at(pressure, index[waves.which], heard)


def waves_back(waves: Waves, half_turns: np.ndarray, strength: np.ndarray) -> None:
    """`radiate_waves` transposed: strength (emitter, direction, 2, receiver × frequency)."""
    if waves.which.size == 0:
        return
    frequencies = half_turns.size
    phases = _phases(waves, half_turns).reshape(*waves.path.shape, 1, 2, frequencies)
    turned = waves.weights[..., None, None] * phases
    by_receiver = strength.reshape(*strength.shape[:3], -1, frequencies)
    by_receiver[..., waves.which, :] += turned.transpose(0, 2, 3, 1, 4)


def _phases(waves: Waves, half_turns: np.ndarray) -> np.ndarray:
    """e^(−jk·path) of every emitter and receiver: (emitter × receiver, 2, frequency)."""
    out = np.empty((waves.path.size, 2, half_turns.size), dtype=waves.weights.dtype)
    kernels.phase_table(half_turns, waves.path.ravel(), out)
    return out
