"""Small-signal parameters of a driver: six that define it, and those that follow from them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE, Air

Measured = Literal["free air", "baffle", "vacuum"]
"""Where the parameters hold: which air is part of the moving mass."""


@dataclass(frozen=True)
class SmallSignal:
    """Electrical and mechanical parameters of a moving-coil driver, SI units.

    dc_resistance (ohm), force_factor (T m), moving_mass (kg, with the air that moves along where
    the driver was `measured`), compliance (m/N), mechanical_resistance (kg/s), effective_area (m²).

    Formulas: Small, J. Audio Eng. Soc. 20 (1972) 383 (from memory).
    """

    dc_resistance: float
    force_factor: float
    moving_mass: float
    compliance: float
    mechanical_resistance: float
    effective_area: float
    measured: Measured = "free air"

    @property
    def resonance(self) -> float:
        """Resonance frequency f_s, Hz."""
        return 1 / (2 * math.pi * math.sqrt(self.moving_mass * self.compliance))

    @property
    def mechanical_q(self) -> float:
        """Q_MS: of the mechanical losses alone."""
        return math.sqrt(self.moving_mass / self.compliance) / self.mechanical_resistance

    @property
    def electrical_q(self) -> float:
        """Q_ES: of the voice coil's resistance alone."""
        momentum = math.sqrt(self.moving_mass / self.compliance)
        return momentum * self.dc_resistance / self.force_factor**2

    @property
    def total_q(self) -> float:
        """Q_TS: of both."""
        return 1 / (1 / self.mechanical_q + 1 / self.electrical_q)

    @property
    def radius(self) -> float:
        """Radius of a disc of the effective area, m."""
        return math.sqrt(self.effective_area / math.pi)

    def equivalent_volume(self, air: Air) -> float:
        """V_AS: volume of air as stiff as the suspension, m³."""
        stiffness = air.density * air.speed_of_sound**2
        return stiffness * self.effective_area**2 * self.compliance

    def efficiency(self, air: Air) -> float:
        """η₀: sound power into half space over electrical power into the voice coil's resistance.

        4π² f_s³ V_AS / (c³ Q_ES), Small (1972).
        """
        volume = self.equivalent_volume(air)
        cubed = (self.resonance / air.speed_of_sound) ** 3
        return 4 * math.pi**2 * cubed * volume / self.electrical_q

    def sensitivity(self, air: Air) -> float:
        """Level at 1 m for 2.83 V into half space, far above resonance, dB."""
        power = self.efficiency(air) * DRIVE_VOLTAGE**2 / self.dc_resistance
        pressure = math.sqrt(power * air.density * air.speed_of_sound / (2 * math.pi))
        return 20 * math.log10(pressure / REFERENCE_PRESSURE)

    def air_mass(self, air: Air) -> float:
        """Mass of the air that is part of the moving mass, front and rear together, kg.

        A disc by itself moves 8ρa³/3 with it, both sides together (Lamb, Hydrodynamics, 1932,
        §108); each side of a piston in an infinite baffle 8ρa³/3 (Rayleigh). From memory.
        """
        one = self._disc_mass(air)
        return {"free air": one, "baffle": 2 * one, "vacuum": 0.0}[self.measured]

    def rear_air_mass(self, air: Air) -> float:
        """Mass of the air that moves along on its rear side in a box, kg.

        That with which it was measured; if that was none, as in free air.
        """
        return (self.air_mass(air) or self._disc_mass(air)) / 2

    def _disc_mass(self, air: Air) -> float:
        return 8 / 3 * air.density * self.radius**3
