"""A design as text, checked, to frozen objects in SI units."""

from acoustics.case.model import (
    Aim,
    Alignment,
    Branch,
    Cabinet,
    Case,
    Driver,
    Floor,
    FrequencyGrid,
    Measure,
    ParametricSection,
    PassFilter,
    ReferenceAxis,
    Seat,
    Section,
)
from acoustics.case.read import read_case
from acoustics.case.schema import case_schema, schema_text

__all__ = [
    "Aim",
    "Alignment",
    "Branch",
    "Cabinet",
    "Case",
    "Driver",
    "Floor",
    "FrequencyGrid",
    "Measure",
    "ParametricSection",
    "PassFilter",
    "ReferenceAxis",
    "Seat",
    "Section",
    "case_schema",
    "read_case",
    "schema_text",
]
