"""What a fit tells: figures with their uncertainty, or why there is none."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from acoustics.measurement.tuning.circuit import Given, Kind, circuit_impedance

FIGURES = {
    "lower_peak": "Hz",
    "minimum": "Hz",
    "upper_peak": "Hz",
    "tuning": "Hz",
    "driver_resonance": "Hz",
    "compliance_ratio": "1",
    "box_stiffness": "Hz",
    "leakage_q": "1",
    "passive_resonance": "Hz",
    "mechanical_q": "1",
    "electrical_q": "1",
    "total_q": "1",
    "dc_resistance": "ohm",
    "inductance": "H",
    "semi_inductance": "ohm s^0.5",
}
"""Figure → unit. The first three as read; all others of the fitted circuit. Of a closed box
`tuning` is its resonance f_c, and the Q are those in it (Q_mc, Q_ec, Q_tc). `box_stiffness` is
f_s√α: the resonance that the driver's mass would have with the box's air alone, which does not
depend on how soft its suspension is."""


@dataclass(frozen=True)
class Figure:
    """A value and its standard deviation; both NaN where `reason` says why it cannot be told."""

    value: float
    uncertainty: float
    reason: str = ""


def untold(reason: str) -> Figure:
    """No figure, and why."""
    return Figure(math.nan, math.nan, reason)


@dataclass(frozen=True, eq=False)
class TuningFit:
    """A circuit fitted to an impedance.

    Attributes:
        kind: of the box.
        figures: by the names of FIGURES, those that a box of this kind has.
        given: what was not fitted.
        unknown: of `circuit_impedance`; empty where nothing was fitted.
        covariance: of these, shape (unknown, unknown).
        band: Hz, within which it was fitted.
        misfit: root mean square of ln(measured/fitted) in it, real and imaginary parts alike.
        reason: why there is no fit, or why it does not hold; "" where it does.
    """

    kind: Kind
    figures: Mapping[str, Figure]
    given: Given
    unknown: np.ndarray = field(default_factory=lambda: np.zeros(0))
    covariance: np.ndarray = field(default_factory=lambda: np.zeros((0, 0)))
    band: tuple[float, float] = (math.nan, math.nan)
    misfit: float = math.nan
    reason: str = ""

    @property
    def fitted(self) -> bool:
        """Whether there is a circuit, however well it holds."""
        return self.unknown.size > 0

    def impedance(self, frequency: np.ndarray) -> np.ndarray:
        """Of the fitted circuit, ohm, complex, shape (frequency,)."""
        return circuit_impedance(self.kind, self.unknown, frequency, self.given)


def names_of(kind: Kind) -> tuple[str, ...]:
    """Names of the figures that a box has."""
    alike = ("mechanical_q", "electrical_q", "total_q", "dc_resistance")
    coil = ("inductance", "semi_inductance")
    if kind == "closed":
        return ("upper_peak", "tuning", *alike, *coil)
    box = ("tuning", "driver_resonance", "compliance_ratio", "box_stiffness", "leakage_q")
    own = ("passive_resonance",) if kind == "passive radiator" else ()
    return ("lower_peak", "minimum", "upper_peak", *box, *own, *alike, *coil)
