"""What reaches each driver: ideal filters by alignment, peaks, shelves, gain, delay, polarity."""

from acoustics.crossover.alignments import ALIGNMENTS
from acoustics.crossover.branch import branch_response, crossover_response, section_response
from acoustics.crossover.crossings import Crossing, case_crossings, crossings

__all__ = [
    "ALIGNMENTS",
    "Crossing",
    "branch_response",
    "case_crossings",
    "crossings",
    "crossover_response",
    "section_response",
]
