"""A design as text, checked, to frozen objects in SI units."""

from acoustics.case.model import (
    Absorber,
    Aim,
    Alignment,
    Branch,
    Cabinet,
    Case,
    Chamfer,
    Driver,
    FrequencyGrid,
    Measure,
    ParametricSection,
    PassFilter,
    Placement,
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
from acoustics.case.source_model import Amplifier, Brief, Enclosure, PassiveRadiator, Port

__all__ = [
    "Absorber",
    "Aim",
    "Alignment",
    "Amplifier",
    "Branch",
    "Brief",
    "Cabinet",
    "Case",
    "Chamfer",
    "Driver",
    "Element",
    "Enclosure",
    "FrequencyGrid",
    "Measure",
    "ParametricSection",
    "PassFilter",
    "PassiveRadiator",
    "Placement",
    "Port",
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
