"""What a prediction rests on: what was assumed, what was left out, how exact the sums are."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.model import Case
from acoustics.case.units import in_unit
from acoustics.studies.floor import has_floor
from acoustics.studies.wording import hertz, listed

CLOSE_TO_FLOOR = 0.1
"""m: a base this near the floor stands on it, for what is said about the mirrored body"""


def what_was_predicted(case: Case, prediction: xr.Dataset) -> str:
    """The prediction in a sentence."""
    frequency = prediction.frequency.values
    ears = listed([f"{ear:.2f}" for ear in case.seat.ear_heights])
    return (
        f"One loudspeaker, {prediction.attrs['drive_voltage']:g} V at its input, "
        f"{frequency.size} frequencies from {hertz(frequency[0])} to {hertz(frequency[-1])}: all "
        f"round at {case.reference.distance:g} m, and at a seat {case.seat.distance:g} m away with "
        f"ears {ears} m above the floor."
    )


def basis(case: Case, prediction: xr.Dataset) -> list[str]:
    """What the numbers rest on, one point each; the design's own note first."""
    points = [f"The design's own note: {case.note}"] if case.note else []
    points += [
        what_was_predicted(case, prediction),
        "Drivers are flat rigid pistons that do not break up. Drivers have no low-frequency "
        "roll-off here: below a real driver's range the true level is lower than shown.",
        "The cabinet is rigid, with sharp edges, round which sound bends any number of times.",
    ]
    if not has_floor(prediction):
        points.append("There is no floor and no room: the loudspeaker hangs in free space.")
    else:
        points.append(
            "The floor is a mirror: the seat hears what the cabinet sends toward the seat's "
            f"mirror image, times {prediction.attrs['floor_reflection']:g}. There are no walls, no "
            "ceiling and no furniture."
        )
        if case.cabinet.base_height < CLOSE_TO_FLOOR:
            stands = (
                "stands on the floor"
                if case.cabinet.base_height == 0
                else f"stands {1000 * case.cabinet.base_height:g} mm above the floor"
            )
            points.append(
                f"The cabinet {stands}; that it and its mirror image then act as one larger body "
                "is not included, so the bass is less certain than the rest."
            )
    points.append(
        f"Air at {in_unit(case.temperature, '°C', digits=3)}: sound travels at "
        f"{case.air.speed_of_sound:.1f} m/s."
    )
    points.append(solver_error(prediction))
    return points


def solver_error(prediction: xr.Dataset) -> str:
    """The field solver's estimate of its own error, in a sentence."""
    if "error_estimate" not in prediction.coords:
        return "The field solver gave no estimate of its own error."
    estimate = prediction.error_estimate
    worst = float(estimate.max())
    where = hertz(float(prediction.frequency.values[int(np.argmax(estimate.values))]))
    return (
        f"The field solver puts its own error at no more than {worst:.2f} dB (near {where}), where "
        "the level lies within 20 dB of the loudest direction. Real drivers, parts and saw cuts "
        "differ by more."
    )


CAUTIONS = (
    "Sawing and sanding boards: dust mask and extraction, eyes and ears protected, fingers clear "
    "of the blade; glues and finishes need fresh air.",
    "Heavy cabinets: lift with two people, and make sure that a stand or a tall box cannot tip.",
    "First sweeps: start very quiet and raise the level slowly; wear hearing protection for long "
    "loud ones.",
    "A tweeter driven without its crossover by a full-range sweep is soon a dead one.",
    "Inside amplifiers there is mains voltage, and capacitors hold their charge after the plug is "
    "out: leave them closed.",
)
"""Usual cautions (common practice)."""

WHO_DECIDES = "These are usual cautions; local codes and licensed practice decide."
