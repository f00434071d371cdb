"""A design as text, checked, to frozen objects in SI units.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from acoustics.loading import on_first_use

if TYPE_CHECKING:
    from acoustics.case.design.brief_model import Brief
    from acoustics.case.design.enclosure_model import Amplifier, Enclosure, PassiveRadiator, Port
    from acoustics.case.design.model import (
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
    from acoustics.case.design.network_model import Element
    from acoustics.case.messages.schema import case_schema, schema_text
    from acoustics.case.read import read_case

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
        "design.model": (
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
        "design.network_model": ("Element",),
        "read": ("read_case",),
        "messages.schema": ("case_schema", "schema_text"),
        "design.brief_model": ("Brief",),
        "design.enclosure_model": ("Amplifier", "Enclosure", "PassiveRadiator", "Port"),
    },
)
