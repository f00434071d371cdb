"""What a prediction rests on: what was assumed, what was left out, how exact the sums are."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.model import Case
from acoustics.studies.wording import hertz

CLOSE_TO_FLOOR = 0.1
"""m: a base this near the floor stands on it, for what is said about the mirrored body"""

KELVIN = 273.15


def what_was_predicted(case: Case, prediction: xr.Dataset) -> str:
    """The prediction in a sentence."""
    frequency = prediction.frequency.values
    seat, reference = case.seat, case.reference
    ears = ", ".join(f"{ear:.2f}" for ear in seat.ear_heights)
    return (
        f"Predicted: one loudspeaker of {len(case.drivers)} "
        f"{'driver' if len(case.drivers) == 1 else 'drivers'}, {frequency.size} frequencies from "
        f"{hertz(frequency[0])} to {hertz(frequency[-1])}, all round it "
        f"{reference.distance:g} m from the reference axis' start on the front face, and at a seat "
        f"{seat.distance:g} m away with ears {ears} m above the floor. Levels are for "
        f"{prediction.attrs['drive_voltage']:g} V at the input."
    )


def basis(case: Case, prediction: xr.Dataset) -> list[str]:
    """What the numbers rest on, one point each; the design's own note first."""
    points = [f"The design's own note: {case.note}"] if case.note else []
    points += [
        "Drivers are flat rigid pistons with the same sensitivity at every frequency. There is no "
        "low-frequency roll-off until a driver model exists: below a real driver's range the true "
        "level is lower than shown. Cones do not break up here.",
        "The cabinet is a rigid body with sharp edges; its walls do not sing and nothing leaks. "
        "Sound bends round all its edges any number of times.",
    ]
    if case.floor is None:
        points.append("There is no floor and no room: the loudspeaker hangs in free space.")
    else:
        points.append(
            "The floor is a mirror: the seat hears what the cabinet truly sends toward the seat's "
            f"mirror image, times {case.floor.reflection:g}. There is no other wall, no ceiling "
            "and no furniture."
        )
        if case.cabinet.base_height < CLOSE_TO_FLOOR:
            stands = (
                "stands on the floor"
                if case.cabinet.base_height == 0
                else f"stands {1000 * case.cabinet.base_height:g} mm above the floor"
            )
            points.append(
                f"The cabinet {stands}: that cabinet and mirror image then act as one larger body "
                "is not included, so the bass is less certain than the rest."
            )
    points.append(
        f"Air at {case.temperature - KELVIN:.3g} °C: sound travels at "
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
        f"The field solver puts its own error at no more than {worst:.2f} dB (reached near "
        f"{where}) wherever the level lies within 20 dB of the loudest direction. Real drivers, "
        "parts and saw cuts differ by more than that."
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
