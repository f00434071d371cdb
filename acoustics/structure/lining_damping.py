"""How strongly porous material damps standing waves: complex resonances."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from acoustics.structure.air_modes import AirModes
from acoustics.structure.lining_box import lined_box
from acoustics.structure.lining_layer import density_and_compressibility, layer_slope
from acoustics.structure.lining_parts import Treatment

BARE_LOSS = 0.01
"""Loss factor of standing waves in a bare wooden box, Q = 100 (common practice, no source)."""

STRONG_Q = 3.0
"""Below it a wave is gone before it stands: its frequency and Q say little (no source)."""

ROUNDS = 60
"""in which frequency and material settle on each other"""

SETTLED = 1e-9

HEAVIEST = 1.0
"""Loss factor that stands for anything above it, and for a wave that cannot be followed."""

TWINS = 1e-6
"""Waves as near to each other as this are one."""

LEAST_SHIFT, MOST_SHIFT = 0.4, 1.3
"""By how much porous material may change the frequency of a wave that is still the same."""


def damped(
    modes: AirModes, treatment: Treatment, *, loss: float = BARE_LOSS
) -> tuple[np.ndarray, np.ndarray]:
    """Frequency and loss factor of each standing wave in a space with porous material.

    With the wavenumber k = (ω/c)(1 + jη/2) of free decay, η = 2 Im k/Re k is the loss factor, 1/Q.
    The material counts as it is at each wave's complex frequency, so what it stores counts.

    In a box the linings are solved, see `lined_box`. Elsewhere, and for loose fibre, the shapes of
    the bare space are kept (Rayleigh's quotient over the air that the layers leave; Kuttruff, Room
    Acoustics, ch. 3; from memory). Losses of linings and fibre add up.

    With kept shapes the loss of a wave that meets a lined wall straight on is right to 1 % with
    layers of 10 mm and to 10 % up to about 30 mm; of one that runs along a single lined wall it
    comes out up to twice too low in 20 to 30 mm, because the wave is drawn into the layer.

    Args:
        modes: of the bare space.
        treatment: what is in it.
        loss: loss factor of the bare space.

    Returns:
        Hz, NaN where a wave cannot be followed, and 1, at most 1; each of shape (mode,).
    """
    if not modes.count:  # a small box, or a low reach
        return np.zeros(0), np.zeros(0)
    scale = 2 * np.pi / modes.air.speed_of_sound
    bare = scale * modes.frequency
    if not treatment.depths.any():
        lined = bare + 0j
    elif modes.inside.square and modes.indices is not None:
        lined = _box(modes, treatment)
    else:
        lined = _settled(bare, lambda wave: _lined_square(modes, treatment, wave))
    fibre = _settled(bare, lambda wave: bare**2 / _slowness(modes, treatment, wave))
    with np.errstate(invalid="ignore"):
        wave = lined * fibre / bare
        losses = loss + 2 * (lined.imag / lined.real + fibre.imag / fibre.real)
        # What takes nothing, meets another or is far from where it began is another wave.
        alike = np.abs(wave / wave[:, None] - 1) < TWINS
        twins = alike & (np.abs(bare / bare[:, None] - 1) > TWINS)
        slower = (wave.real > LEAST_SHIFT * bare) & (wave.real < MOST_SHIFT * bare)
        gone = ~(losses >= loss * (1 - 1e-6)) | (losses >= HEAVIEST) | twins.any(axis=1) | ~slower
    return (
        np.where(gone, np.nan, wave.real / scale),
        np.where(gone, HEAVIEST, losses),
    )


def _box(modes: AirModes, treatment: Treatment) -> np.ndarray:
    """Of a box, see `lined_box`: complex wavenumbers, (mode,)."""
    assert modes.indices is not None
    inside = modes.inside
    walls = [
        [int((sign * inside.normals[:, axis]).argmax()) for sign in (-1, 1)] for axis in range(3)
    ]
    orders = modes.indices[1 : 1 + modes.count]

    def slopes(wave: np.ndarray, across: np.ndarray, share: float) -> np.ndarray:
        ends = np.zeros((wave.size, 3, 2), dtype=complex)
        for axis in range(3):
            for end, wall in enumerate(walls[axis]):
                depth, resistivity = treatment.depths[wall], treatment.resistivities[wall]
                if depth > 0:
                    ends[:, axis, end] = layer_slope(
                        depth, resistivity, wave, across[:, axis], modes.air, share=share
                    )
        return ends

    with np.errstate(all="ignore"):
        return lined_box(inside.sizes, treatment.depths[walls], orders, slopes)


def _lined_square(modes: AirModes, treatment: Treatment, wave: np.ndarray) -> np.ndarray:
    """k² = (∫|∇φ|² + Σ s ∫φ² dA)/∫φ² over the air that the layers leave, s the slopes into them."""
    held, moved = treatment.left
    total = moved * (2 * np.pi * modes.frequency / modes.air.speed_of_sound) ** 2 + 0j
    for wall in np.flatnonzero(treatment.depths).tolist():
        squares, along = treatment.surfaces[wall]
        depth, resistivity = treatment.depths[wall], treatment.resistivities[wall]
        total += squares * layer_slope(depth, resistivity, wave, along, modes.air)
    return total / held


def _slowness(modes: AirModes, treatment: Treatment, wave: np.ndarray) -> np.ndarray:
    """(1 + (ρ'/ρ − 1) of the motion)·(1 + (κ'/κ − 1) of the pressure), the shares in the fibre."""
    if treatment.fibre is None:
        return np.ones_like(wave)
    resistivity, (held, moved) = treatment.fibre
    frequency = wave * modes.air.speed_of_sound / (2 * np.pi)
    density, compressibility = density_and_compressibility(resistivity, frequency)
    answer: np.ndarray = (1 + (density - 1) * moved) * (1 + (compressibility - 1) * held)
    return answer


def _settled(bare: np.ndarray, square: Callable[[np.ndarray], np.ndarray]) -> np.ndarray:
    """Where k² = square(k), from the bare waves on; NaN where nothing settles."""
    wave = bare + 0j
    with np.errstate(all="ignore"):
        for _ in range(ROUNDS):
            last, found = wave, np.sqrt(square(wave))
            if np.abs(found / last - 1).max() < SETTLED:
                break
            wave = (found + last) / 2
        return np.where(np.abs(found / last - 1) < 1e-4, found, np.nan)
