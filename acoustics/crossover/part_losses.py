"""Series resistance of real coils and capacitors."""

from __future__ import annotations

from typing import Literal

import numpy as np

RESISTIVITY = {"copper": 1.72e-8, "aluminium": 2.82e-8}
"""Of wire at 20 °C, ohm m (standard annealed copper, IEC 60028; hard-drawn aluminium, IEC 60889;
from memory, rounded)."""

PITCH = 1.05
"""Turns lie so many wire diameters apart: varnish and how neatly they lie (common practice, no
source)."""

BROOKS = 1.6994e-6
"""L/(a N²) of the coil below, H/m."""

FILM_LOSS_FACTOR = 1e-3
"""tan δ of a polypropylene film capacitor at 1 kHz, at most (common practice, no source); polyester
has about five times that, bipolar electrolytics fifty and more."""


def coil_resistance(
    inductance: np.ndarray | float,
    wire_diameter: np.ndarray | float,
    material: Literal["copper", "aluminium"] = "copper",
) -> np.ndarray:
    """Direct-current resistance of an air-core coil of the best shape.

    A Brooks coil, which has the most inductance for its wire: a winding of square section, its side
    c two thirds of its mean radius a, L = 1.6994e-6·a·N² (Grover, Inductance Calculations, 1946,
    from memory); turns in rows and columns, N = (c/pitch)². Coils that are bought are a little
    less good.

    Args:
        inductance: H, shape (…).
        wire_diameter: of the bare metal, m, shape (…).
        material: of the wire.

    Returns:
        ohm, shape (…).
    """
    pitch = PITCH * np.asarray(wire_diameter, dtype=float)
    # L = BROOKS·a·N² with N = (2a/3)²/pitch²
    radius = (np.asarray(inductance, dtype=float) * pitch**4 * (3 / 2) ** 4 / BROOKS) ** (1 / 5)
    turns = (2 / 3 * radius / pitch) ** 2
    section = np.pi / 4 * np.asarray(wire_diameter, dtype=float) ** 2
    answer: np.ndarray = RESISTIVITY[material] * 2 * np.pi * radius * turns / section
    return answer


def capacitor_resistance(
    capacitance: np.ndarray | float, loss_factor: float = FILM_LOSS_FACTOR, at: float = 1000.0
) -> np.ndarray:
    """Resistance in series with a capacitor that makes its loss factor, tan δ/(ωC).

    One value for a part: a film's tan δ changes little over the audible range, so this is too much
    above `at` and too little below, and too small to be heard either way (common practice, no
    source).

    Args:
        capacitance: F, shape (…).
        loss_factor: tan δ.
        at: where that was measured, Hz.

    Returns:
        ohm, shape (…).
    """
    answer: np.ndarray = loss_factor / (2 * np.pi * at * np.asarray(capacitance, dtype=float))
    return answer
