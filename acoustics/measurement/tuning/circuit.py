"""The circuit that is fitted: a voice coil, a driver's resonance, and the box behind it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

Kind = Literal["closed", "vented", "passive radiator"]

COIL_FREQUENCY = 100.0
"""Hz, at which the coil's two unknowns are ohms."""

RESONANCE, MECHANICAL, MOTOR, RESISTANCE, INDUCTANCE, SEMI, RATIO, TUNING, LEAK = range(9)
"""Places of the unknowns, see `circuit_impedance`; the last three of boxes that are open."""

LARGEST = 30.0
"""of logarithms, so that a fit gone astray stays a number"""


@dataclass(frozen=True)
class Given:
    """What an impedance cannot tell and is taken as it is stated.

    Q at the tuning, infinite for no loss: `absorption_q` of the box's air, `port_q` of its ports;
    either looks like the leakage that is fitted. `passive_ratio` is the compliance of the passive
    radiators over that of the box's air (δ), `passive_q` their mechanical Q. Of a closed box
    `leakage_q` is given too, and `air_share` is how much of the stiffness behind its resonance is
    the air's, α/(1 + α).
    """

    absorption_q: float = math.inf
    port_q: float = math.inf
    passive_ratio: float = math.inf
    passive_q: float = math.inf
    leakage_q: float = math.inf
    air_share: float = 0.0

    @property
    def notch(self) -> float:
        """Own resonance of the passive radiators over the tuning, f_p/f_b = 1/√(1 + δ)."""
        return 1 / math.sqrt(1 + self.passive_ratio)


def unknowns(kind: Kind) -> int:
    """How many unknowns the circuit has."""
    return 6 if kind == "closed" else 9


def circuit_impedance(
    kind: Kind, unknown: np.ndarray, frequency: np.ndarray, given: Given
) -> np.ndarray:
    """Impedance at the terminals.

    With x = f/f_s, and ξ = f/f_b of an open box, in the manner of Small (J. Audio Eng. Soc. 20,
    1972, 383; 21, 1973, 363; 22, 1974, 592; from memory):

        Z   = R_e + jωL + K√(jω) + (R_e/Q_es)/[jx + 1/(jx) + 1/Q_ms + α (f_s/f_b)/y]
        y   = 1/(1/(jξ) + 1/Q_A) + 1/Q_L + 1/z
        z   = jξ + 1/Q_P                                         ports
        z   = m (jξ + f_p/f_b/Q_mp) + 1/(jξδ),  m = 1 + 1/δ      passive radiators

    Of a closed box, whose compliance cannot be told from its suspension's, with x = f/f_c and the
    air's share σ the bracket is j(x − (1 − σ)/x) + 1/Q_m + σ/y, y = 1/(1/(jx) + 1/Q_A) + 1/Q_L.

    Args:
        kind: of the box.
        unknown: ln f_s (Hz; closed: f_c), ln Q_ms, ln(R_e/Q_es) (ohm), ln R_e (ohm), then ohms at
            COIL_FREQUENCY of the inductance and the semi-inductance; of open boxes ln α, ln f_b
            (Hz) and 1/Q_L.
        frequency: Hz, shape (frequency,).
        given: what is not fitted.

    Returns:
        Ohm, complex, shape (frequency,).
    """
    logs = np.exp(np.clip(unknown, -LARGEST, LARGEST))
    x = frequency / logs[RESONANCE]
    moving = 1j * (x - 1 / x) + 1 / logs[MECHANICAL]
    if kind == "closed":
        moving = moving + lossy(x, given) - given.air_share / (1j * x)
    else:
        by_box = logs[RATIO] * logs[RESONANCE] / logs[TUNING]
        xi = frequency / logs[TUNING]
        moving = moving + by_box / _admittance(kind, unknown[LEAK], xi, given)
    turn = frequency / COIL_FREQUENCY
    coil = 1j * turn * unknown[INDUCTANCE] + np.sqrt(1j * turn) * unknown[SEMI]
    answer: np.ndarray = logs[RESISTANCE] + coil + logs[MOTOR] / moving
    return answer


def lossy(x: np.ndarray | float, given: Given) -> np.ndarray:
    """What a closed box's air adds to the driver's bracket, its losses included."""
    admittance = 1 / (1 / (1j * np.asarray(x)) + 1 / given.absorption_q) + 1 / given.leakage_q
    answer: np.ndarray = given.air_share / admittance
    return answer


def _admittance(kind: Kind, leak: float, xi: np.ndarray, given: Given) -> np.ndarray:
    """Of the box over that of its air at the tuning."""
    if kind == "vented":
        open_ = 1j * xi + 1 / given.port_q
    else:
        mass = 1 + 1 / given.passive_ratio
        open_ = mass * (1j * xi + given.notch / given.passive_q)
        open_ = open_ + 1 / (1j * xi * given.passive_ratio)
    answer: np.ndarray = 1 / (1 / (1j * xi) + 1 / given.absorption_q) + leak + 1 / open_
    return answer
