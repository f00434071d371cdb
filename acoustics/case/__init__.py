"""A design as text, checked, to frozen objects in SI units.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from acoustics.loading import on_first_use

if TYPE_CHECKING:
    from acoustics.case.enclosure_model import Amplifier, Brief, Enclosure, PassiveRadiator, Port
    from acoustics.case.model import (
        Absorber,
        Aim,
        Alignment,
        AllPass,
        Biquad,
        Branch,
        Cabinet,
        Case,
        Chamfer,
        Driver,
        Fir,
        FrequencyGrid,
        Measure,
        ParametricSection,
        PassFilter,
        Placement,
        Processor,
        ReferenceAxis,
        Rounding,
        Seat,
        SeatPlace,
        Section,
        Surface,
    )
    from acoustics.case.network_model import Element
    from acoustics.case.read import read_case
    from acoustics.case.schema import case_schema, schema_text

__all__ = [
    "Absorber",
    "Aim",
    "Alignment",
    "AllPass",
    "Amplifier",
    "Biquad",
    "Branch",
    "Brief",
    "Cabinet",
    "Case",
    "Chamfer",
    "Driver",
    "Element",
    "Enclosure",
    "Fir",
    "FrequencyGrid",
    "Measure",
    "ParametricSection",
    "PassFilter",
    "PassiveRadiator",
    "Placement",
    "Port",
    "Processor",
    "ReferenceAxis",
    "Rounding",
    "Seat",
    "SeatPlace",
    "Section",
    "Surface",
    "case_schema",
    "read_case",
    "schema_text",
]

__getattr__ = on_first_use(
    __name__,
    {
        "model": (
            "Absorber",
            "Aim",
            "Alignment",
            "AllPass",
            "Biquad",
            "Branch",
            "Cabinet",
            "Case",
            "Chamfer",
            "Driver",
            "Fir",
            "FrequencyGrid",
            "Measure",
            "ParametricSection",
            "PassFilter",
            "Placement",
            "Processor",
            "ReferenceAxis",
            "Rounding",
            "Seat",
            "SeatPlace",
            "Section",
            "Surface",
        ),
        "network_model": ("Element",),
        "read": ("read_case",),
        "schema": ("case_schema", "schema_text"),
        "enclosure_model": ("Amplifier", "Brief", "Enclosure", "PassiveRadiator", "Port"),
    },
)
