"""What usually strays where a case does not say."""

from __future__ import annotations

from acoustics.case.design.model import Case
from acoustics.case.design.tolerance_model import Shape, Spread, Tolerance
from acoustics.case.objects.spreads import (
    distance_spread,
    ear_height_spread,
    level_spreads,
    parameter_spreads,
    part_spreads,
    position_spreads,
    temperature_spread,
)

POSITION = 1e-3
EAR_HEIGHT = 50e-3
DISTANCE = 100e-3
"""m"""
TEMPERATURE = 5.0
"""K"""
LEVEL = 0.5
"""dB"""
PART = 0.05
PARAMETERS = {"force_factor": 0.05, "moving_mass": 0.05, "compliance": 0.15}
"""shares"""


def usual_tolerance(case: Case) -> Tolerance:
    """The spreads of a build with usual care, from drivers and parts as they are usually sold.

    Holes are marked and cut to a millimetre. Nobody sits to the centimetre: ears rise and sink by
    50 mm, and the chair moves by 100 mm. A room is between 15 and 25 °C. Drivers of one kind play
    within half a decibel of each other, beside what the parameters below make of their low end; a
    suspension differs by more than coil, magnet and cone do, for it softens and ages. Parts of the
    crossover are sold within 5 %, and the best of them are sorted out to be sold as better ones:
    so any value in that range is about as likely as another, while all else adds up from many
    small causes to a normal spread. All of it common practice, no source.

    Args:
        case: the design; parts stray where branches are passive, parameters where drivers have any.

    Returns:
        The spreads, `usual`.
    """
    return Tolerance(usual_spreads(case), usual=True)


def usual_spreads(case: Case, shape: Shape = "normal") -> tuple[Spread, ...]:
    """As `usual_tolerance`, with another shape for all but parts."""
    return (
        *position_spreads(case, POSITION, shape),
        ear_height_spread(case, EAR_HEIGHT, shape),
        distance_spread(case, DISTANCE, shape),
        temperature_spread(case, TEMPERATURE, shape),
        *level_spreads(case, LEVEL, shape),
        *part_spreads(case, PART, "uniform"),
        *(
            spread
            for parameter, within in PARAMETERS.items()
            for spread in parameter_spreads(case, parameter, within, shape)
        ),
    )
