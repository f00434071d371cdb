"""Aims held against a prediction: what was measured, met or missed, and by how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.model import Aim, Case
from acoustics.conventions import RoundoverError
from acoustics.listening.bands import why_not_covered
from acoustics.listening.directivity import least_beamwidth
from acoustics.listening.floor_bounce import floor_bounce
from acoustics.listening.height_window import height_window
from acoustics.listening.levels import band_level, level
from acoustics.listening.ripple import ripple_and_tilt


@dataclass(frozen=True)
class Measured:
    """What an aim's measure came to: a figure for each place, and what to know about it.

    `at_least_this` says that the true figures may be larger.
    """

    values: tuple[tuple[str, float], ...]
    note: str = ""
    at_least_this: bool = False


@dataclass(frozen=True)
class AimVerdict:
    """An aim, the figure that decides it, and whether it is met.

    `value` is the figure of the place that fares worst (in `unit`); `values` holds the figure of
    every place. `met` is None where the figure cannot be determined, and `note` then says why.
    `missed_by` is 0 for an aim that is met, None for one that cannot be judged.
    """

    aim: Aim
    value: float | None
    unit: str
    values: tuple[tuple[str, float], ...]
    met: bool | None
    missed_by: float | None
    note: str = ""


def judge_aims(case: Case, prediction: xr.Dataset) -> tuple[AimVerdict, ...]:
    """Hold every aim of a case against its prediction.

    Args:
        case: the design, with its aims.
        prediction: the prediction of that same design.

    Returns:
        One verdict per aim, in the case's order.

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    require_same_design(case, prediction)
    return tuple(judge(aim, prediction) for aim in case.aims)


def judge(aim: Aim, prediction: xr.Dataset) -> AimVerdict:
    """Hold one aim against a prediction; see `MEASURES` for what each measure is."""
    measure, unit = MEASURES[aim.measure]
    measured = measure(aim, prediction)
    values, note = measured.values, measured.note
    if not values or any(np.isnan(value) for _, value in values):
        reason = note or "the figure cannot be determined"
        return AimVerdict(aim, None, unit, values, None, None, reason)
    # Ties go to the figure closest to a limit, so that the worst place is the one shown.
    _, value = max(values, key=lambda entry: shortfall(aim, entry[1]))
    missed_by = max(shortfall(aim, value), 0.0)
    if measured.at_least_this:
        above = aim.at_most is not None and value > aim.at_most
        enough = aim.at_most is None and missed_by == 0
        if not (above or enough):
            return AimVerdict(aim, value, unit, values, None, None, note)
    return AimVerdict(aim, value, unit, values, missed_by == 0, missed_by, note)


def shortfall(aim: Aim, value: float) -> float:
    """How far a figure lies outside the aim's limits; negative inside: the margin."""
    lacks = [] if aim.at_least is None else [aim.at_least - value]
    exceeds = [] if aim.at_most is None else [value - aim.at_most]
    return max(lacks + exceeds)


def require_same_design(case: Case, prediction: xr.Dataset) -> None:
    """Refuse a prediction that was made from another design."""
    if prediction.attrs.get("case_digest") != case.digest:
        raise RoundoverError(
            f"the prediction was made from another design than {case.path or case.title!r}; "
            "predict the case again"
        )


def measured_ripple(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Half peak to peak about a straight line in log frequency, dB, on the aim's curves."""
    return _on_curves(
        aim,
        prediction,
        lambda p: ripple_and_tilt(level(p), p.frequency, aim.band, aim.smoothing)[0],
    )


def measured_tilt(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Slope of that line, dB per octave, on the aim's curves."""
    return _on_curves(
        aim,
        prediction,
        lambda p: ripple_and_tilt(level(p), p.frequency, aim.band, aim.smoothing)[1],
    )


def measured_level(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Level of the mean power over the band, every octave alike, dB re 20 µPa for 2.83 V."""
    return _on_curves(aim, prediction, lambda p: band_level(p, p.frequency, aim.band))


def measured_beamwidth(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Smallest angle between the −6 dB points over the band, horizontal, degrees.

    Levels relative to the reference axis, smoothed as the aim says; 360 where the level falls by
    6 dB at no angle.
    """
    gap = why_not_covered(prediction.frequency.values, aim.band)
    if gap:
        return Measured((), gap)
    least = least_beamwidth(prediction, aim.band, smoothing=aim.smoothing)
    value = float(least.sel(plane="horizontal"))
    return Measured((("horizontal", value),), "" if value < 360 else "never falls by 6 dB")


def measured_floor_dip(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Depth of the floor's first dip at each ear height, dB; the aim's band is not used.

    0 where the floor makes no dip of at least 1 dB.
    """
    if prediction.attrs["floor_reflection"] == 0:
        return Measured((), "the case has no reflecting floor")
    bounce = floor_bounce(prediction)
    notes = [
        f"{_ear(ear)}: at {frequency:.0f} Hz"
        for ear, frequency in zip(
            bounce.ear_height.values, bounce.dip_frequency.values, strict=True
        )
        if np.isfinite(frequency)
    ]
    return Measured(_per_ear(bounce.dip_depth.fillna(0.0)), "; ".join(notes) or "no dip")


def measured_lobe_window(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Height around the ear in which every crossover keeps within 3 dB, m, per ear height.

    At each crossover frequency, relative to the level at the ear height, in free space; the
    windows of all crossovers have this range in common. The aim's band is not used.
    """
    windows = height_window(prediction)
    if windows.crossover.size == 0:
        return Measured((), "no two drivers cross over, so there is no lobe")
    low, high = windows.window_low.max("crossover"), windows.window_high.min("crossover")
    heights = prediction.height.values
    short = bool(((low <= heights[0]) | (high >= heights[-1])).any())
    note = f"reaches an end of the heights predicted, {heights[0]:.2f} to {heights[-1]:.2f} m"
    return Measured(_per_ear(high - low), note if short else "", at_least_this=short)


MEASURES: dict[str, tuple[Callable[[Aim, xr.Dataset], Measured], str]] = {
    "ripple": (measured_ripple, "dB"),
    "tilt": (measured_tilt, "dB/octave"),
    "level": (measured_level, "dB"),
    "beamwidth": (measured_beamwidth, "degree"),
    "floor dip": (measured_floor_dip, "dB"),
    "lobe window": (measured_lobe_window, "m"),
}
"""What each measure is, and its unit. The place that fares worst decides.

Curves at the seat are those in free space: the floor's comb would hide what the loudspeaker does,
and has a measure of its own.
"""


def _on_curves(
    aim: Aim, prediction: xr.Dataset, figure: Callable[[xr.DataArray], xr.DataArray]
) -> Measured:
    """Take a figure of the pressure on the reference axis, or in free space at each ear height."""
    gap = why_not_covered(prediction.frequency.values, aim.band)
    if gap:
        return Measured((), gap)
    if aim.where == "reference axis":
        axis = prediction.arc_total.sel(plane="horizontal", angle=0.0)
        return Measured((("reference axis", float(figure(axis))),))
    return Measured(_per_ear(figure(prediction.seat_total.sel(surroundings="free space"))))


def _per_ear(figures: xr.DataArray) -> tuple[tuple[str, float], ...]:
    return tuple(
        (_ear(ear), float(value))
        for ear, value in zip(figures.ear_height.values, figures.values, strict=True)
    )


def _ear(height: float) -> str:
    return f"ear height {height:.2f} m"
