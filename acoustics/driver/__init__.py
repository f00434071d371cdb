"""What a driver is apart from where it sits: its small-signal parameters and its voice coil."""

from acoustics.driver.parameters import Measured, SmallSignal
from acoustics.driver.relations import Contradiction, Related, related
from acoustics.driver.voice_coil import NO_COIL, VoiceCoil, coil_impedance

__all__ = [
    "NO_COIL",
    "Contradiction",
    "Measured",
    "Related",
    "SmallSignal",
    "VoiceCoil",
    "coil_impedance",
    "related",
]
