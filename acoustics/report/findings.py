"""What a design does, in sentences: on the axis, off it, over height and over the floor."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.bands import why_not_covered
from acoustics.listening.floor_bounce import HIGHEST
from acoustics.report.plain_text import columns
from acoustics.studies.floor import deeper, has_floor
from acoustics.studies.wording import amount, beam, hertz, listed, number

ALIKE = 0.1
"""dB: left and right that differ by less are alike"""


def on_axis(answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Level, ripple and tilt on the reference axis and at the seat."""
    low, high = answers.attrs["band"]
    ripple, tilt = float(answers.axis_ripple), float(answers.axis_tilt)
    if np.isnan(ripple):
        why = why_not_covered(prediction.frequency.values, (low, high), answers.attrs["smoothing"])
        return [f"Ripple and tilt are not known: {why}."]
    seat = [_range(each, "dB") for each in (answers.seat_ripple, answers.seat_level)]
    by_ear = ", depending on the ear height" if any(" to " in each for each in seat) else ""
    return [
        f"From {hertz(low)} to {hertz(high)}, smoothed by 1/{answers.attrs['smoothing']:g} octave: "
        f"within ±{amount(ripple, 'dB')} of a straight line (ripple) that {_slope(tilt)}; mean "
        f"level {amount(float(answers.axis_level), 'dB')} re 20 µPa.",
        f"At the seat, without the floor: ripple {seat[0]}, mean level {seat[1]}{by_ear}.",
    ]


def off_axis(answers: xr.Dataset) -> list[str]:
    """How left and right differ, and where the beam is narrowest."""
    apart = float(answers.side_difference)
    points = []
    if np.isfinite(apart):
        points.append(
            "Left and right are alike."
            if apart < ALIKE
            else f"Left and right differ by {amount(apart, 'dB')} (rms, up to 60° off the axis)."
        )
    least = answers.least_beamwidth
    if np.isfinite(least).all():
        low, high = answers.attrs["band"]
        across, along = (
            beam(float(least.sel(plane=plane))) for plane in ("horizontal", "vertical")
        )
        points.append(
            f"Narrowest beam (to 6 dB below the axis) from {hertz(low)} to {hertz(high)}: "
            f"{across} from left to right, {along} up and down."
        )
    return points


def beam_table(answers: xr.Dataset) -> str:
    """Beamwidth in both planes, octave by octave, as a plain-text table; empty if there is none."""
    if answers.octave.size == 0:
        return ""
    rows = [["beamwidth", "left to right", "up and down"]]
    for octave in answers.octave.values:
        widths = answers.beamwidth.sel(octave=octave)
        rows.append(
            [
                hertz(float(octave)),
                *(beam(float(widths.sel(plane=plane))) for plane in ("horizontal", "vertical")),
            ]
        )
    legend = {
        "all round": "all round: at no angle 6 dB below the axis",
        "none": "none: the axis itself lies in a null",
    }
    cells = {cell for row in rows for cell in row}
    return "\n".join([columns(rows), *(text for word, text in legend.items() if word in cells)])


def around_crossovers(answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """Where each crossover's main lobe points, and how far the ears may move."""
    frequency, height = prediction.frequency.values, prediction.height.values
    if answers.crossover.size == 0:
        if prediction.driver.size == 1:
            return ["One driver plays everything, so there is no lobing."]
        return [
            "No handover from one driver to another lies within the predicted frequencies, "
            f"{hertz(frequency[0])} to {hertz(frequency[-1])}. How the drivers add up over height "
            "is not judged."
        ]
    points = []
    for i in range(answers.crossover.size):
        one = answers.isel(crossover=i)
        direction = float(one.lobe_direction)
        way = (
            "straight ahead"
            if abs(direction) < 0.5
            else f"{amount(abs(direction), 'degree', finer=1)} {'up' if direction > 0 else 'down'}"
        )
        lobe = (
            f"the main lobe points {way}"
            if bool(one.lobe_sampled)
            else "the arc's steps are too coarse to follow the lobes (a smaller [arcs] step helps)"
        )
        points.append(
            f"{one.crossover.values} at {hertz(float(one.crossover_frequency))}: {lobe}. "
            f"Within 3 dB of the level at the ears: {_rooms(one)}."
        )
    if bool(answers.window_open.any()):
        points.append(
            f"Only heights from {height[0]:.2f} to {height[-1]:.2f} m were predicted; a window "
            "that ends there is at least that high."
        )
    return points


def over_the_floor(answers: xr.Dataset, prediction: xr.Dataset) -> list[str]:
    """The floor's first dip at each ear height, and the deepest one where it is deeper."""
    if not has_floor(prediction):
        return ["The case has no floor."]
    points = []
    for i in range(answers.ear_height.size):
        one = answers.isel(ear_height=i)
        if why := str(one.dip_note.values):
            text = why
        elif np.isnan(one.dip_frequency):
            text = "no dip of 1 dB or more"
        else:
            text = f"first dip at {_dip(one, 'dip')}"
        if bool(deeper(one)):
            text += f"; deepest up to {hertz(HIGHEST)} at {_dip(one, 'deepest_dip')}"
        points.append(f"Ears at {float(one.ear_height):.2f} m: {text}.")
    return points


def _dip(one: xr.Dataset, name: str) -> str:
    frequency, depth = float(one[f"{name}_frequency"]), float(one[f"{name}_depth"])
    driver = one[f"{name}_driver"].values
    return f"{hertz(frequency)}, {amount(depth, 'dB')} deep ({driver})"


def _slope(tilt: float) -> str:
    if abs(tilt) < 0.05:
        return "is level"
    return f"{'rises' if tilt > 0 else 'falls'} by {amount(abs(tilt), 'dB/octave')} (tilt)"


def _range(values: xr.DataArray, unit: str) -> str:
    low, high = number(float(values.min()), unit), number(float(values.max()), unit)
    return amount(float(values.max()), unit) if low == high else f"{low} to {high} {unit}"


def _rooms(one: xr.Dataset) -> str:
    """The windows of one crossover; ear heights with the same one are named together."""
    ears: dict[str, list[str]] = {}
    for ear, low, high in zip(
        one.ear_height.values, one.window_low.values, one.window_high.values, strict=True
    ):
        ears.setdefault(f"{low:.2f} to {high:.2f} m", []).append(f"{ear:.2f}")
    return listed([f"{window} (ears at {listed(those)} m)" for window, those in ears.items()])
