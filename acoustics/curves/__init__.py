"""Frequency curves from plain text: levels and impedances, and what had to be guessed."""

from acoustics.curves.between import at_frequencies
from acoustics.curves.curve import Curve, CurveError, CurveForm, Quantity
from acoustics.curves.read import curve_of, read_curve

__all__ = [
    "Curve",
    "CurveError",
    "CurveForm",
    "Quantity",
    "at_frequencies",
    "curve_of",
    "read_curve",
]
