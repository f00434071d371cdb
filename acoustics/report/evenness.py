"""How even the sound is by itself: on the axis, around it, and to all sides; without a room."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING, Case
from acoustics.listening import unreached
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.directivity import directivity
from acoustics.report.phrases import slope
from acoustics.studies.wording import ALL_ROUND, amount, beam, hertz

ALIKE = 0.1
"""dB: left and right that differ by less are alike"""

EVEN = 0.5
"""dB: what is left of the ripple on the axis where computed filters do what they are to do"""

PLAYS = 12.0
"""dB below the strongest driver: one weaker than that hardly counts (common practice)"""


def evenness(case: Case, answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Axis, ripple in two parts, baffle step, what reaches the room, beams, left and right."""
    low, high = answers.attrs["band"]
    if np.isnan(answers.axis_ripple):
        why = why_not_covered(prediction.frequency.values, (low, high), answers.attrs["smoothing"])
        return [f"Ripple and tilt are not known: {why}.", *baffle_steps(case, answers, prediction)]
    return [
        *ripples(case, answers, prediction),
        *baffle_steps(case, answers, prediction),
        *to_the_room(answers),
        *beams(answers, prediction),
        *sides(answers, prediction),
    ]


def ripples(case: Case, answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Ripple on the axis, and around it in what a filter can correct and what it cannot."""
    given = prediction.attrs
    made = " (the computed filter makes it so)" if _made_even(case, answers, prediction) else ""
    axis, common, relative = (
        f"±{amount(float(answers[f'{name}_ripple']), 'dB')}"
        for name in ("axis", "window", "relative")
    )
    return [
        f"On the reference axis: ripple {axis} about a line that {slope(float(answers.axis_tilt))}"
        f"{made}; mean level {amount(float(answers.axis_level), 'dB')} at "
        f"{given['reference_distance']:g} m for {given['drive_voltage']:g} V.",
        f"A filter can correct {common}: the mean listening window (30° aside, 10° up or down).",
        f"A filter cannot correct {relative}: {_direction(answers)} relative to on axis "
        "(the worst).",
    ]


def baffle_steps(case: Case, answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Where the front lifts the level on the axis, for each driver that plays there."""
    frequency = prediction.frequency.values
    strength = prediction.strength.transpose("driver", "frequency").values
    strongest = strength.max(axis=0)
    steps, unknown = [], []
    for i, name in enumerate(map(str, answers.driver.values)):
        half, rise = float(answers.half_step_frequency[i]), float(answers.step_rise[i])
        near = int(np.abs(frequency - (half if np.isfinite(half) else frequency[0])).argmin())
        if strength[i, near] < strongest[near] * 10 ** (-PLAYS / 20):
            continue
        if np.isnan(half):
            unknown.append(f"Baffle step of the {name}: not known; {answers.step_note.values[i]}.")
            continue
        most = f", {amount(rise, 'dB')} at most" if np.isfinite(rise) else ""
        steps.append(f"{name} 3 dB up at {hertz(half)}{most}")
    if not steps:
        return unknown
    what = "in the filter already" if all_acoustic(case) else "for the crossover to take back"
    return [f"Baffle step, {what}: {'; '.join(steps)}.", *unknown]


def to_the_room(answers: xr.Dataset) -> list[str]:
    """How much louder the front is than the rest, and what a usual room makes of it."""
    return [
        f"In a usual room the sound {slope(float(answers.room_tilt))}, ripple "
        f"±{amount(float(answers.room_ripple), 'dB')} (estimated in-room curve); ahead it is "
        f"{amount(float(answers.power_index), 'dB')} louder than all round (directivity index)."
    ]


def beams(answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Where the beam is narrowest in both planes."""
    least = answers.least_beamwidth
    if not np.isfinite(least).all():
        return ["The reference axis lies in a null somewhere, so a beam about it has no width."]
    width = directivity(prediction, smoothing=SMOOTHING).beamwidth
    width = width.isel(frequency=in_band(width.frequency.values, BAND))
    found = []
    for plane, way in (("horizontal", "left to right"), ("vertical", "up and down")):
        value = float(least.sel(plane=plane))
        at = float(width.frequency[int(width.sel(plane=plane).values.argmin())])
        near = f" near {hertz(float(f'{at:.2g}'))}" if value < ALL_ROUND else ""
        found.append(f"{beam(value)} {way}{near}")
    return [f"Narrowest beam (−6 dB): {', '.join(found)}."]


def sides(answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """How left and right differ; nothing where they are alike."""
    apart = float(answers.side_difference)
    if np.isnan(apart) or apart < ALIKE:
        return []
    pair = "; the right cabinet is its mirror image" if prediction.speaker.size > 1 else ""
    return [f"Left and right of the axis differ by {amount(apart, 'dB')} (rms, up to 60°){pair}."]


def all_acoustic(case: Case) -> bool:
    """Whether every driver's filter is computed for an acoustic slope."""
    acoustic = {branch.driver for branch in case.crossover if branch.slopes == "acoustic"}
    return acoustic == {driver.name for driver in case.drivers}


def _made_even(case: Case, answers: xr.Dataset, prediction: xr.Dataset) -> bool:
    """Whether filters computed for acoustic slopes have made the axis even, as they should."""
    even = float(answers.axis_ripple) < EVEN
    return even and all_acoustic(case) and not unreached(case, prediction)


def _direction(answers: xr.Dataset) -> str:
    """The worst direction; a cabinet that is alike on both sides has no worst side."""
    worst = str(answers.worst_direction.values)
    if float(answers.side_difference) < ALIKE:
        worst = worst.replace("left", "to the sides").replace("right", "to the sides")
    return worst
