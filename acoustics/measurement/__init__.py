"""Measurements from files: recordings, impulse responses, directivities, calibrations."""

from acoustics.measurement.calibration import TableOf, corrected, read_calibration
from acoustics.measurement.clipping import Clip, clipped
from acoustics.measurement.recording import (
    Recording,
    RecordingError,
    common_rate,
    one_channel,
)
from acoustics.measurement.sofa import DirectedCurve, read_sofa_curves, read_sofa_responses
from acoustics.measurement.text_recording import read_text_recording
from acoustics.measurement.wav import read_wav

__all__ = [
    "Clip",
    "DirectedCurve",
    "Recording",
    "RecordingError",
    "TableOf",
    "clipped",
    "common_rate",
    "corrected",
    "one_channel",
    "read_calibration",
    "read_sofa_curves",
    "read_sofa_responses",
    "read_text_recording",
    "read_wav",
]
