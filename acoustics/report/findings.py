"""What a design does, in sentences: on the axis, off it, over height and over the floor."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.report.plain_text import columns
from acoustics.studies.wording import amount, hertz, listed

ALIKE = 0.1
"""dB: left and right that differ by less are alike"""


def on_axis(answers: xr.Dataset) -> list[str]:
    """Level, ripple and tilt on the reference axis and at the seat."""
    low, high = answers.attrs["band"]
    ripple, tilt = float(answers.axis_ripple), float(answers.axis_tilt)
    if np.isnan(ripple):
        return [
            f"Ripple and tilt are taken from {hertz(low)} to {hertz(high)}, which the predicted "
            "frequencies do not cover."
        ]
    seat = answers.seat_ripple
    return [
        f"From {hertz(low)} to {hertz(high)}, smoothed by 1/{answers.attrs['smoothing']:g} octave, "
        f"the level keeps within ±{amount(ripple, 'dB')} of a straight line (ripple); the line "
        f"{_slope(tilt)}; the mean is {amount(float(answers.axis_level), 'dB')} re 20 µPa.",
        f"At the seat, floor aside, the ripple is {_range(seat, 'dB')} and the mean level "
        f"{_range(answers.seat_level, 'dB')}.",
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
            _beam(float(least.sel(plane=plane))) for plane in ("horizontal", "vertical")
        )
        points.append(
            f"Narrowest beam (6 dB below the axis) from {hertz(low)} to {hertz(high)}: "
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
                *(_beam(float(widths.sel(plane=plane))) for plane in ("horizontal", "vertical")),
            ]
        )
    return columns(rows)


def around_crossovers(answers: xr.Dataset, heights: xr.DataArray) -> list[str]:
    """Where each crossover's main lobe points, and how far the ears may move.

    Args:
        answers: as `first_answers` gives them.
        heights: those predicted, m.
    """
    if answers.crossover.size == 0:
        return ["No driver hands over to another, so there is no lobing."]
    points = []
    for i in range(answers.crossover.size):
        one = answers.isel(crossover=i)
        direction = float(one.lobe_direction)
        way = (
            "straight ahead"
            if abs(direction) < 0.5
            else f"{amount(abs(direction), 'degree', 1)} {'up' if direction > 0 else 'down'}"
        )
        rooms = [_room(one.isel(ear_height=j)) for j in range(one.ear_height.size)]
        points.append(
            f"{one.crossover.values} at {hertz(float(one.crossover_frequency))}: the main lobe "
            f"points {way}. The level stays within 3 dB of that {listed(rooms)}."
        )
    if bool(answers.window_open.any()):
        low, high = float(heights.min()), float(heights.max())
        points.append(f"Only heights from {low:.2f} to {high:.2f} m were predicted.")
    return points


def over_the_floor(answers: xr.Dataset, reflection: float) -> list[str]:
    """The floor's first dip at each ear height, and the driver that plays there."""
    if reflection == 0:
        return ["The case has no floor."]
    points = []
    for ear, frequency, depth, driver in zip(
        answers.ear_height.values,
        answers.dip_frequency.values,
        answers.dip_depth.values,
        answers.dip_driver.values,
        strict=True,
    ):
        points.append(
            f"Ears at {ear:.2f} m: no dip of 1 dB or more."
            if np.isnan(frequency)
            else f"Ears at {ear:.2f} m: first dip at {hertz(frequency)}, {amount(depth, 'dB')} "
            f"deep, where the {driver} plays."
        )
    return points


def _slope(tilt: float) -> str:
    if abs(tilt) < 0.05:
        return "is level"
    return f"{'rises' if tilt > 0 else 'falls'} by {amount(abs(tilt), 'dB/octave')} (tilt)"


def _range(values: xr.DataArray, unit: str) -> str:
    low, high = amount(float(values.min()), unit), amount(float(values.max()), unit)
    return low if low == high else f"{low} to {high}, depending on the ear height"


def _beam(width: float) -> str:
    return "all round" if np.isnan(width) or width >= 360 else amount(width, "degree")


def _room(one: xr.Dataset) -> str:
    low, high = float(one.window_low), float(one.window_high)
    return f"at {float(one.ear_height):.2f} m from {low:.2f} to {high:.2f} m"
