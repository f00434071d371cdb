"""What is heard, in figures and curves: Datasets in, Datasets out. Nothing here solves."""

from acoustics.listening.aims import AimVerdict, judge_aims
from acoustics.listening.crossovers import crossovers
from acoustics.listening.directivity import directivity, least_beamwidth, off_axis_level
from acoustics.listening.first_answers import first_answers
from acoustics.listening.floor_bounce import floor_bounce
from acoustics.listening.levels import band_level, level
from acoustics.listening.lobing import lobing
from acoustics.listening.ripple import ripple_and_tilt
from acoustics.listening.symmetry import rms_side_difference, side_difference

__all__ = [
    "AimVerdict",
    "band_level",
    "crossovers",
    "directivity",
    "first_answers",
    "floor_bounce",
    "judge_aims",
    "least_beamwidth",
    "level",
    "lobing",
    "off_axis_level",
    "ripple_and_tilt",
    "rms_side_difference",
    "side_difference",
]
