"""How much air everything moves per volt, and how many volts it stands."""

from acoustics.source.drive import Drive, drive_of
from acoustics.source.limits import LIMITS, PORT_SPEED, air_speed, displacement, input_limits
from acoustics.source.load import radiation_load
from acoustics.source.motion import Motion, motion_of, total
from acoustics.source.radiators import Radiator, radiators_of
from acoustics.source.terminals import induced_admittance, terminal_admittance

__all__ = [
    "LIMITS",
    "PORT_SPEED",
    "Drive",
    "Motion",
    "Radiator",
    "air_speed",
    "displacement",
    "drive_of",
    "induced_admittance",
    "input_limits",
    "motion_of",
    "radiation_load",
    "radiators_of",
    "terminal_admittance",
    "total",
]
