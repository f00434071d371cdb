"""The text layer of a driver's tables small_signal and voice_coil."""

from __future__ import annotations

from typing import Annotated

from pydantic import ValidationInfo, field_validator

from acoustics.case.tables.fields import Number, Quantity
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.units import (
    AREA,
    COMPLIANCE,
    FORCE_FACTOR,
    FREQUENCY,
    INDUCTANCE,
    MASS,
    MECHANICAL_RESISTANCE,
    RESISTANCE,
    SEMI_INDUCTANCE,
    VOLUME,
)
from acoustics.driver import NO_COIL, Measured

Q = Annotated[float, Number(0.01, 1000)]

UNITS = {
    "resonance": "Hz",
    "equivalent_volume": "l",
    "dc_resistance": "ohm",
    "force_factor": "T m",
    "moving_mass": "g",
    "compliance": "mm/N",
    "mechanical_resistance": "kg/s",
    "effective_area": "cm2",
}
"""In which messages give them; a Q has none."""


class SmallSignalTable(Table):
    """Small-signal parameters: so many that the others follow."""

    resonance: Annotated[float, Quantity(FREQUENCY, "1 Hz", "20 kHz")] | None = optional(
        None, "Resonance frequency f_s.", examples=["42 Hz"]
    )
    mechanical_q: Q | None = optional(None, "Q of the mechanical losses, Q_ms.", examples=[4.0])
    electrical_q: Q | None = optional(
        None, "Q of the voice coil's resistance, Q_es.", examples=[0.42]
    )
    total_q: Q | None = optional(None, "Q of both, Q_ts.", examples=[0.38])
    equivalent_volume: Annotated[float, Quantity(VOLUME, "0.001 ml", "10 m3")] | None = optional(
        None, "Volume of air as stiff as the suspension, V_as.", examples=["20 l"]
    )
    dc_resistance: Annotated[float, Quantity(RESISTANCE, "0.01 ohm", "10 kohm")] | None = optional(
        None, "Resistance of the voice coil, R_e.", examples=["5.7 ohm"]
    )
    force_factor: Annotated[float, Quantity(FORCE_FACTOR, "0.01 T m", "1000 T m")] | None = (
        optional(None, "Force factor Bl.", examples=["6.5 T m"])
    )
    moving_mass: Annotated[float, Quantity(MASS, "1 mg", "10 kg")] | None = optional(
        None,
        "Moving mass M_ms, with the air that moves along (see measured).",
        examples=["14.5 g"],
    )
    compliance: Annotated[float, Quantity(COMPLIANCE, "0.01 um/N", "0.1 m/N")] | None = optional(
        None, "Compliance of the suspension, C_ms.", examples=["1.0 mm/N"]
    )
    mechanical_resistance: (
        Annotated[float, Quantity(MECHANICAL_RESISTANCE, "0.0001 kg/s", "1000 kg/s")] | None
    ) = optional(None, "Mechanical losses R_ms.", examples=["0.9 kg/s"])
    effective_area: Annotated[float, Quantity(AREA, "0.1 cm2", "1 m2")] | None = optional(
        None, "Area S_d that moves air. Default: that of the piston.", examples=["113 cm2"]
    )
    measured: Measured = optional(
        "free air", "Where they were measured: which air is part of the moving mass."
    )


class VoiceCoilTable(Table):
    """What the voice coil has beside its resistance.

    An inductance in series with a parallel circuit of the others.
    """

    inductance: Annotated[float, Quantity(INDUCTANCE, "0 mH", "1 H")] = optional(
        "0 mH", "L_e, the inductance in series.", examples=["0.15 mH"]
    )
    parallel_inductance: Annotated[float, Quantity(INDUCTANCE, "0.01 uH", "1 H")] | None = optional(
        None, "Inductance in the parallel circuit.", examples=["0.5 mH"]
    )
    parallel_resistance: Annotated[float, Quantity(RESISTANCE, "0.01 ohm", "100 kohm")] | None = (
        optional(None, "Resistance in the parallel circuit.", examples=["12 ohm"])
    )
    semi_inductance: Annotated[float, Quantity(SEMI_INDUCTANCE, "0.01 msH", "100 sH")] | None = (
        optional(
            None,
            "Semi-inductance in the parallel circuit, from eddy currents: ohm at s^exponent = 1.",
            examples=["0.02 sH"],
        )
    )
    exponent: Annotated[float, Number(0.1, 1)] = optional(
        NO_COIL.exponent, "Power of the frequency with which the semi-inductance rises."
    )

    @field_validator("exponent")
    @classmethod
    def _of_something(cls, exponent: float, info: ValidationInfo) -> float:
        if exponent != NO_COIL.exponent and info.data.get("semi_inductance", 0.0) is None:
            raise ClashError(
                "only a semi-inductance has an exponent; add semi_inductance, for example "
                'semi_inductance = "0.02 sH", or leave the key out',
                "semi_inductance",
            )
        return exponent
