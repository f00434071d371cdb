"""What a box is tuned to, and what its driver is in it, from an impedance."""

from acoustics.measurement.tuning.circuit import Given, Kind, circuit_impedance
from acoustics.measurement.tuning.extremes import Extreme, extremes_of
from acoustics.measurement.tuning.figures import FIGURES, Figure, TuningFit
from acoustics.measurement.tuning.fit import fit_tuning

__all__ = [
    "FIGURES",
    "Extreme",
    "Figure",
    "Given",
    "Kind",
    "TuningFit",
    "circuit_impedance",
    "extremes_of",
    "fit_tuning",
]
