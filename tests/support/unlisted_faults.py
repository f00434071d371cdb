"""What may be wrong with a build or its measurement that no list of faults has.

Each is a factor on what is heard, drawn at random within common bounds (common practice, no
source); a diagnosis that knows its limits calls it unknown.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

Heard = Callable[[np.ndarray], np.ndarray]
"""At Hz, shape (frequency,): what the sound of all drivers is multiplied by, complex."""


def near_surface(rng: np.random.Generator) -> Heard:
    """A table or a wall within the gate: a reflection of 0.25 to 0.5 that goes 0.3 to 1 m more."""
    strength, late = rng.uniform(0.25, 0.5), rng.uniform(0.3, 1.0) / 343.0
    return lambda f: 1 + strength * np.exp(-2j * np.pi * f * late)


def cone_resonance(rng: np.random.Generator) -> Heard:
    """A notch of 6 to 14 dB between 1.5 and 8 kHz, of Q 3 to 8."""
    return _dip(_between(rng, 1500, 8000), _between(rng, 3, 8), rng.uniform(6, 14))


def rolling_off(rng: np.random.Generator) -> Heard:
    """A sound card or an amplifier of first order, 3 dB down somewhere between 5 and 10 kHz."""
    corner = _between(rng, 5000, 10_000)
    return lambda f: 1 / (1 + 1j * f / corner)


def rattling_panel(rng: np.random.Generator) -> Heard:
    """Three narrow dips of 5 to 10 dB between 300 and 1200 Hz."""
    dips = [
        _dip(_between(rng, 300, 1200), _between(rng, 8, 15), rng.uniform(5, 10)) for _ in range(3)
    ]
    return lambda f: np.prod([dip(f) for dip in dips], axis=0)


def heavy_grille(rng: np.random.Generator) -> Heard:
    """A shelf of 3 to 6 dB down above 3 to 6 kHz, and a frame that sends a fifth back."""
    corner, drop = _between(rng, 3000, 6000), 10 ** (rng.uniform(3, 6) / 20)
    late = rng.uniform(0.04, 0.12) / 343.0
    frame = rng.uniform(0.1, 0.25)

    def heard(f: np.ndarray) -> np.ndarray:
        shelf = (1 + 1j * f / (corner * drop**0.5)) / (1 + 1j * f * drop**0.5 / corner)
        return shelf * (1 + frame * np.exp(-2j * np.pi * f * late))

    return heard


def wrong_calibration(rng: np.random.Generator) -> Heard:
    """The table of another microphone: levels alone, to 2 to 5 dB off at the top, and wavy."""
    places = np.log(np.geomspace(250, 20_000, 8))
    sign = rng.choice([-1, 1])
    off = sign * rng.uniform(2, 5) * np.linspace(0, 1, 8) ** 2 + rng.normal(0, 0.8, 8)
    return lambda f: 10 ** (np.interp(np.log(f), places, off) / 20) + 0j


UNLISTED: dict[str, Callable[[np.random.Generator], Heard]] = {
    "near surface": near_surface,
    "cone resonance": cone_resonance,
    "rolling off": rolling_off,
    "rattling panel": rattling_panel,
    "heavy grille": heavy_grille,
    "wrong calibration": wrong_calibration,
}


def _between(rng: np.random.Generator, low: float, high: float) -> float:
    """Equal ratios equally likely."""
    return float(low * (high / low) ** rng.uniform())


def _dip(centre: float, q: float, depth: float) -> Heard:
    """A peaking section of second order, minimum phase, `depth` dB down."""
    down = 10 ** (depth / 20)

    def heard(f: np.ndarray) -> np.ndarray:
        s = 1j * f / centre
        return (s**2 + s / q + 1) / (s**2 + down * s / q + 1)

    return heard
