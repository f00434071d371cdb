"""Which readings an aim rests on, and which would tell it where they are lacking."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
import xarray as xr

from acoustics.case.design.model import Aim, Case
from acoustics.listening.aims import judge
from acoustics.listening.standard_curves import LISTENING_WINDOW, ON_AXIS, Direction
from acoustics.studies.verification.aims.as_predicted import Excess, in_directions

MIRRORED = 1e-6
"""m: drivers this close to the middle leave the left as the right"""

BEAM_STEP = 10.0
"""degrees between the directions of a measured beam, at most"""


def needed(
    aim: Aim, prediction: xr.Dataset, found: Sequence[Excess], case: Case
) -> tuple[Mapping[Direction, Excess], str]:
    """The readings an aim rests on, and which are lacking, in words."""
    mirrored = all(abs(driver.position[0]) < MIRRORED for driver in case.drivers)
    if aim.where == "seat" or aim.measure in ("lobe window", "floor dip"):
        return {}, _at_the_seat(aim, case)
    if aim.measure == "beamwidth":
        return _beam(aim, prediction, found, mirrored)
    if aim.where == "reference axis":
        asked: tuple[Direction, ...] = (ON_AXIS,)
        lacks = "a reading of the whole loudspeaker on the reference axis tells it"
    else:
        asked = LISTENING_WINDOW
        lacks = (
            "readings on the axis, 10° up and down, and 10°, 20° and 30° to "
            f"{'one side' if mirrored else 'either side'} tell it"
        )
    directions = in_directions(found, asked, mirrored)
    return directions, "" if len(directions) == len(asked) else lacks


def _beam(
    aim: Aim, prediction: xr.Dataset, found: Sequence[Excess], mirrored: bool
) -> tuple[Mapping[Direction, Excess], str]:
    """Readings out from the axis to where the level has fallen by 6 dB, at every 10° without a gap.

    One more than the predicted beam must have been read to either side, or all of the circle.
    """
    half = BEAM_STEP
    wanted = judge(aim, prediction, doubted=False).value
    if wanted is not None and not math.isnan(wanted):
        half = min(180.0, BEAM_STEP * (math.ceil(wanted / 2 / BEAM_STEP) + 1))
    steps = np.arange(0.0, half + BEAM_STEP / 2, BEAM_STEP)
    asked: list[Direction] = [("horizontal", float(a)) for a in steps]
    asked += [("horizontal", -float(a)) for a in steps[1:] if a < 180]
    directions = in_directions(found, asked, mirrored)
    if len(directions) == len(asked):
        return directions, ""
    way = "to one side" if mirrored else "to either side"
    return directions, f"readings every 10° from the axis to {half:.0f}° {way} tell it"


def _at_the_seat(aim: Aim, case: Case) -> str:
    """What is read at the seat, in words: of a loudspeaker in the open only the design says it."""
    seat, heights = case.seat.main, case.seat.ear_heights
    ears = " and ".join(f"{height:.2f} m" for height in heights)
    at = f"{seat.distance:.2f} m before the loudspeaker and {ears} above the floor"
    if aim.measure == "lobe window":
        return (
            f"a row of readings {seat.distance:.2f} m before the loudspeaker, every 5 cm from "
            f"0.5 m below to 0.5 m above ears at {ears}, the floor's reflection kept out, tells it"
        )
    if aim.measure == "floor dip":
        return (
            f"two readings {at} tell it: one that holds the floor's reflection but no other, and "
            "one that ends before it"
        )
    return (
        f"a reading {at}, ended before the first reflection, tells it; until then what was read "
        "nearer says whether the design was met"
    )
