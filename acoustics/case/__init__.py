"""A design as text, checked, to frozen objects in SI units.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
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
    from acoustics.case.source_model import Amplifier, Brief, Enclosure, PassiveRadiator, Port

_HOMES = {
    "Absorber": "acoustics.case.model",
    "Aim": "acoustics.case.model",
    "Alignment": "acoustics.case.model",
    "AllPass": "acoustics.case.model",
    "Amplifier": "acoustics.case.source_model",
    "Biquad": "acoustics.case.model",
    "Branch": "acoustics.case.model",
    "Brief": "acoustics.case.source_model",
    "Cabinet": "acoustics.case.model",
    "Case": "acoustics.case.model",
    "Chamfer": "acoustics.case.model",
    "Driver": "acoustics.case.model",
    "Element": "acoustics.case.network_model",
    "Enclosure": "acoustics.case.source_model",
    "Fir": "acoustics.case.model",
    "FrequencyGrid": "acoustics.case.model",
    "Measure": "acoustics.case.model",
    "ParametricSection": "acoustics.case.model",
    "PassFilter": "acoustics.case.model",
    "PassiveRadiator": "acoustics.case.source_model",
    "Placement": "acoustics.case.model",
    "Port": "acoustics.case.source_model",
    "Processor": "acoustics.case.model",
    "ReferenceAxis": "acoustics.case.model",
    "Rounding": "acoustics.case.model",
    "Seat": "acoustics.case.model",
    "SeatPlace": "acoustics.case.model",
    "Section": "acoustics.case.model",
    "Surface": "acoustics.case.model",
    "case_schema": "acoustics.case.schema",
    "read_case": "acoustics.case.read",
    "schema_text": "acoustics.case.schema",
}

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


def __getattr__(name: str) -> Any:
    """Load a name from the file where it lives (PEP 562)."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
