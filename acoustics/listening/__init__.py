"""What is heard, in figures and curves: Datasets in, Datasets out. Nothing here solves."""

from acoustics.listening.aims import AimVerdict, judge_aims
from acoustics.listening.baffle_step import baffle_step
from acoustics.listening.bounce import bounce
from acoustics.listening.brief import Held, hold
from acoustics.listening.crossovers import crossovers
from acoustics.listening.dips import dips
from acoustics.listening.directivity import directivity, least_beamwidth, off_axis_level
from acoustics.listening.key_figures import key_figures
from acoustics.listening.levels import band_level, level
from acoustics.listening.listeners import Listener, heard, listeners
from acoustics.listening.lobe_levels import lobe_levels
from acoustics.listening.lobing import lobing
from acoustics.listening.loudest import loudest
from acoustics.listening.phase_tracking import phase_tracking
from acoustics.listening.reach import unreached
from acoustics.listening.reverse_null import reverse_null
from acoustics.listening.ripple import ripple_and_tilt
from acoustics.listening.span import aside_span, height_span
from acoustics.listening.standard_curves import standard_curves
from acoustics.listening.symmetry import rms_side_difference, side_difference
from acoustics.listening.trust import doubtful, doubtful_bands, doubtful_share
from acoustics.listening.window_ripple import window_ripple

__all__ = [
    "AimVerdict",
    "Held",
    "Listener",
    "aside_span",
    "baffle_step",
    "band_level",
    "bounce",
    "crossovers",
    "dips",
    "directivity",
    "doubtful",
    "doubtful_bands",
    "doubtful_share",
    "heard",
    "height_span",
    "hold",
    "judge_aims",
    "key_figures",
    "least_beamwidth",
    "level",
    "listeners",
    "lobe_levels",
    "lobing",
    "loudest",
    "off_axis_level",
    "phase_tracking",
    "reverse_null",
    "ripple_and_tilt",
    "rms_side_difference",
    "side_difference",
    "standard_curves",
    "unreached",
    "window_ripple",
]
