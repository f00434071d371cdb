"""Frequency curves from plain text: levels and impedances, and what had to be guessed."""

from acoustics.curves.between import at_frequencies
from acoustics.curves.curve import (
    GUESS,
    Column,
    Curve,
    CurveError,
    CurveForm,
    Decimal,
    Delimiter,
    FrequencyUnit,
    Magnitude,
    Phase,
    Quantity,
)
from acoustics.curves.read import curve_of, read_curve

__all__ = [
    "GUESS",
    "Column",
    "Curve",
    "CurveError",
    "CurveForm",
    "Decimal",
    "Delimiter",
    "FrequencyUnit",
    "Magnitude",
    "Phase",
    "Quantity",
    "at_frequencies",
    "curve_of",
    "read_curve",
]
