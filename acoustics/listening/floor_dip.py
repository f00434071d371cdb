"""How deep the floor's deepest dip is, for many layouts at once."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from acoustics.listening.bands import why_not_followed
from acoustics.listening.bounce import BEYOND, HIGHEST, LEAST_DEPTH
from acoustics.listening.interpolation import cubic

FINER = 8
"""times as many frequencies as were predicted are looked at"""


def deepest_floor_dips(
    direct: np.ndarray,
    added: np.ndarray,
    frequency: np.ndarray,
    ways: tuple[float, float],
    speed_of_sound: float,
) -> np.ndarray:
    """Depth of the deepest dip up to 1.5 kHz that a reflection makes of the direct sound.

    As `bounce` finds it, on a grid of frequencies as fine as the depth needs, for many at once.
    Where that does not know a dip, because it lies outside the frequencies predicted, the deepest
    within them is taken here.

    Args:
        direct: pressure without the reflection, complex, shape (…, frequency).
        added: what the reflection adds, likewise.
        frequency: Hz, ascending, shape (frequency,).
        ways: of the direct sound and of the reflection, m, about: what turns the phase fast.
        speed_of_sound: m/s.

    Returns:
        dB, 0 where no dip is at least 1 dB deep; shape (…); NaN where the frequencies lie too far
        apart to follow the sound between them.
    """
    if why_not_followed(frequency):
        return np.full(direct.shape[:-1], np.nan)
    fine, carry = _carried(tuple(frequency.tolist()))
    below = carry.shape[0]
    turn = 2j * np.pi / speed_of_sound

    def followed(pressure: np.ndarray, way: float) -> np.ndarray:
        slow = pressure[..., :below] * np.exp(turn * frequency[:below] * way)
        between: np.ndarray = slow.real @ carry + 1j * (slow.imag @ carry)
        return between * np.exp(-turn * fine * way)

    # Not a number stays that: where nothing was solved there is no dip.
    with np.errstate(invalid="ignore", divide="ignore"):
        power = np.abs(1.0 + followed(added, ways[1]) / followed(direct, ways[0])) ** 2
    inner = power[..., 1:-1]
    pit = (inner < power[..., :-2]) & (inner <= power[..., 2:]) & (fine[1:-1] <= HIGHEST)
    least = np.where(pit, inner, 1.0).min(axis=-1)
    depth = -10.0 * np.log10(np.maximum(least, np.finfo(float).tiny))
    return np.where(depth >= LEAST_DEPTH, depth, 0.0)


@lru_cache(8)
def _carried(frequency: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Close frequencies (Hz, (fine,)), and what carries values to them, (frequency, fine).

    A design is asked many times; only the lowest frequencies count, as many as there are rows.
    """
    given = np.array(frequency)
    low, high = given[0], min(given[-1], BEYOND * HIGHEST)
    steps = FINER * int(np.count_nonzero(given <= high))
    fine = np.geomspace(low, max(high, low), max(steps, 3))
    fine[-1] = min(fine[-1], given[-1])
    below = min(int(np.searchsorted(given, high)) + 3, given.size)
    carry = cubic(np.log(given[:below]), np.eye(below), np.log(fine))
    fine.flags.writeable = carry.flags.writeable = False
    return fine, carry
