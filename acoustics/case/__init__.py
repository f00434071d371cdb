"""A design as text, checked, to frozen objects in SI units."""

from acoustics.case.model import (
    Absorber,
    Aim,
    Alignment,
    Branch,
    Cabinet,
    Case,
    Driver,
    FrequencyGrid,
    Measure,
    ParametricSection,
    PassFilter,
    Placement,
    ReferenceAxis,
    Seat,
    SeatPlace,
    Section,
    Surface,
)
from acoustics.case.read import read_case
from acoustics.case.schema import case_schema, schema_text

__all__ = [
    "Absorber",
    "Aim",
    "Alignment",
    "Branch",
    "Cabinet",
    "Case",
    "Driver",
    "FrequencyGrid",
    "Measure",
    "ParametricSection",
    "PassFilter",
    "Placement",
    "ReferenceAxis",
    "Seat",
    "SeatPlace",
    "Section",
    "Surface",
    "case_schema",
    "read_case",
    "schema_text",
]
