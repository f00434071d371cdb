"""What reaches each driver: ideal filters by alignment, peaks, shelves, gain, delay, polarity."""

from acoustics.crossover.alignments import ALIGNMENTS
from acoustics.crossover.branch import branch_response, crossover_response
from acoustics.crossover.crossings import Crossing, crossings, leaders

__all__ = [
    "ALIGNMENTS",
    "Crossing",
    "branch_response",
    "crossings",
    "crossover_response",
    "leaders",
]
