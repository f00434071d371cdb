"""What reaches each driver: ideal filters by alignment, peaks, shelves, gain, delay, polarity."""

from acoustics.crossover.acoustic import full_pressure, needed_filter, target_pressure
from acoustics.crossover.alignments import ALIGNMENTS
from acoustics.crossover.branch import branch_response, branches_of
from acoustics.crossover.crossings import Crossing, crossings, leaders

__all__ = [
    "ALIGNMENTS",
    "Crossing",
    "branch_response",
    "branches_of",
    "crossings",
    "full_pressure",
    "leaders",
    "needed_filter",
    "target_pressure",
]
