"""What reaches each driver: ideal filters, peaks, shelves, gain, delay, polarity; real parts."""

from acoustics.case.network_parts import parts_of
from acoustics.crossover.acoustic import full_pressure, needed_filter, target_pressure
from acoustics.crossover.alignments import ALIGNMENTS
from acoustics.crossover.branch import branch_response, branches_of
from acoustics.crossover.crossings import Crossing, crossings, leaders
from acoustics.crossover.network import Network, solve_network

__all__ = [
    "ALIGNMENTS",
    "Crossing",
    "Network",
    "branch_response",
    "branches_of",
    "crossings",
    "full_pressure",
    "leaders",
    "needed_filter",
    "parts_of",
    "solve_network",
    "target_pressure",
]
