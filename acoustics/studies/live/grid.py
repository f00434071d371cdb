"""At what frequencies, angles and heights a draft is heard: the same in every state."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from acoustics.case.design.model import Case, FrequencyGrid
from acoustics.prediction.receivers import seat_heights

PER_OCTAVE = 20
"""frequencies at most: about 200 from 20 Hz to 20 kHz"""

AXIS_ANGLES = (-60.0, -45.0, -30.0, -15.0, 15.0, 30.0, 45.0, 60.0)
"""degrees to the right of the reference axis"""

HEIGHT_STEP = 0.1
"""m"""


def page_frequencies(case: Case) -> FrequencyGrid:
    """The case's own frequencies, or fewer."""
    grid = case.frequencies
    return replace(grid, per_octave=min(grid.per_octave, PER_OCTAVE))


def page_heights(case: Case) -> np.ndarray:
    """Heights above the floor over which lobes are heard, m; of the case, whatever the draft."""
    return seat_heights(case, HEIGHT_STEP)
