"""What reaches each driver: ideal filters, peaks, shelves, gain, delay, polarity; real parts."""

from acoustics.crossover.acoustic import full_pressure, needed_filter, target_pressure
from acoustics.crossover.alignments import ALIGNMENTS
from acoustics.crossover.branch import before_amplifier, branch_response, branches_of
from acoustics.crossover.crossings import Crossing, crossings, leaders
from acoustics.crossover.network import Network, solve_network
from acoustics.crossover.starting_ladder import ideal_filter, start_ladder
from acoustics.crossover.textbook import band_pass_gain, textbook_ladder

__all__ = [
    "ALIGNMENTS",
    "Crossing",
    "Network",
    "band_pass_gain",
    "before_amplifier",
    "branch_response",
    "branches_of",
    "crossings",
    "full_pressure",
    "ideal_filter",
    "leaders",
    "needed_filter",
    "solve_network",
    "start_ladder",
    "target_pressure",
    "textbook_ladder",
]
