"""Aims held against a prediction: what was measured, met or missed, and by how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.model import Aim, Case
from acoustics.conventions import RoundoverError
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.directivity import FULL_CIRCLE, axis_in_null, least_beamwidth
from acoustics.listening.floor_bounce import floor_bounce
from acoustics.listening.height_window import height_window
from acoustics.listening.levels import band_level, level
from acoustics.listening.ripple import ripple_and_tilt

PRINTED = 0.005
"""In the aim's unit: a miss that two decimals would show as 0.00 is none."""


@dataclass(frozen=True)
class Measured:
    """What an aim's measure came to: a figure for each place, and what to know about it.

    A figure is NaN where it cannot be determined; `open` names the places whose true figures may
    be larger.
    """

    values: tuple[tuple[str, float], ...]
    note: str = ""
    open: frozenset[str] = frozenset()


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
    """Hold one aim against a prediction; see `MEASURES` for what each measure is.

    One place that surely misses decides, whatever is not known of the others.
    """
    measure, unit = MEASURES[aim.measure]
    measured = measure(aim, prediction)
    values, note = measured.values, measured.note
    states = [state_of(aim, value, place in measured.open) for place, value in values]
    deciding = next((state for state in (False, None, True) if state in states), None)
    # Ties go to the figure closest to a limit, so that the worst place is the one shown.
    figures = [value for (_, value), state in zip(values, states, strict=True) if state is deciding]
    if not figures or any(np.isnan(figures)):
        reason = note or "the figure cannot be determined"
        return AimVerdict(aim, None, unit, values, None, None, reason)
    value = max(figures, key=lambda figure: shortfall(aim, figure))
    missed_by = {True: 0.0, False: shortfall(aim, value), None: None}[deciding]
    return AimVerdict(aim, value, unit, values, deciding, missed_by, note)


def state_of(aim: Aim, value: float, larger: bool) -> bool | None:
    """Whether a figure meets an aim; None where that is not known.

    Args:
        aim: the aim, with its limits.
        value: the figure, NaN if it cannot be determined.
        larger: whether the true figure may be larger.
    """
    if np.isnan(value):
        return None
    met = bool(shortfall(aim, value) < PRINTED)
    if not larger or (met and aim.at_most is None):
        return met
    exceeds = aim.at_most is not None and value - aim.at_most >= PRINTED
    return False if exceeds else None


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
        lambda p: ripple_and_tilt(level(p), p.frequency, _band(aim), aim.smoothing)[0],
        aim.smoothing,
    )


def measured_tilt(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Slope of that line, dB per octave, on the aim's curves."""
    return _on_curves(
        aim,
        prediction,
        lambda p: ripple_and_tilt(level(p), p.frequency, _band(aim), aim.smoothing)[1],
        aim.smoothing,
    )


def measured_level(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Level of the mean power over the band, every octave alike, dB re 20 µPa for 2.83 V."""
    return _on_curves(aim, prediction, lambda p: band_level(p, p.frequency, _band(aim)))


def measured_beamwidth(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Smallest angle between the −6 dB points over the band, horizontal, degrees.

    Levels relative to the reference axis, smoothed as the aim says; 360 where the level falls by
    6 dB at no angle. Not known where the axis lies in a null.
    """
    band = _band(aim)
    gap = why_not_covered(prediction.frequency.values, band, aim.smoothing)
    if gap:
        return Measured((), gap)
    how = {} if aim.smoothing is None else {"smoothing": aim.smoothing}
    value = float(least_beamwidth(prediction, band, **how).sel(plane="horizontal"))
    if np.isnan(value):
        nulls = axis_in_null(prediction, aim.smoothing)
        inside = nulls.isel(frequency=in_band(nulls.frequency.values, band))
        first = float(inside.frequency[int(inside.values.argmax())])
        note = f"the reference axis lies in a null at {first:.0f} Hz, so a beam has no width there"
    else:
        note = "" if value < FULL_CIRCLE else "never falls by 6 dB"
    return Measured((("horizontal", value),), note)


def measured_floor_dip(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Depth of the deepest dip the floor makes up to 1.5 kHz at each ear height, dB.

    0 where the floor makes no dip of at least 1 dB; not known where the predicted frequencies
    leave out the first dip or end below 1.5 kHz.
    """
    if prediction.attrs["floor_reflection"] == 0:
        return Measured((), "the case has no reflecting floor")
    bounce = floor_bounce(prediction)
    unknown = bounce.deepest_dip_note != ""
    notes = []
    for ear, frequency, reason in zip(
        bounce.ear_height.values,
        bounce.deepest_dip_frequency.values,
        bounce.deepest_dip_note.values,
        strict=True,
    ):
        if reason:
            notes.append(f"{_ear(ear)}: {reason}")
        elif np.isfinite(frequency):
            notes.append(f"{_ear(ear)}: at {frequency:.0f} Hz")
    depth = bounce.deepest_dip_depth
    figures = _per_ear(depth.where(unknown | depth.notnull(), 0.0))
    return Measured(figures, "; ".join(notes) or "no dip")


def measured_lobe_window(aim: Aim, prediction: xr.Dataset) -> Measured:
    """Height around the ear in which every crossover keeps within 3 dB, m, per ear height.

    At each crossover frequency, relative to the level at the ear height, in free space; the
    windows of all crossovers have this range in common.
    """
    windows = height_window(prediction)
    if windows.crossover.size == 0:
        return Measured((), "no handover lies within the predicted frequencies")
    low = windows.window_low.max("crossover", skipna=False)
    high = windows.window_high.min("crossover", skipna=False)
    heights = prediction.height.values
    short = (low <= heights[0]) | (high >= heights[-1])
    which = frozenset(_ear(ear) for ear in short.ear_height.values[short.values])
    note = (
        f"{', '.join(sorted(which))}: the window reaches an end of the heights predicted, "
        f"{heights[0]:.2f} to {heights[-1]:.2f} m"
    )
    return Measured(_per_ear(high - low), note if which else "", which)


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
    aim: Aim,
    prediction: xr.Dataset,
    figure: Callable[[xr.DataArray], xr.DataArray],
    smoothing: float | None = None,
) -> Measured:
    """Take a figure of the pressure on the reference axis, or in free space at each ear height."""
    gap = why_not_covered(prediction.frequency.values, _band(aim), smoothing)
    if gap:
        return Measured((), gap)
    if aim.where == "reference axis":
        axis = prediction.arc_total.sel(plane="horizontal", angle=0.0)
        return Measured((("reference axis", float(figure(axis))),))
    return Measured(_per_ear(figure(prediction.seat_total.sel(surroundings="free space"))))


def _band(aim: Aim) -> tuple[float, float]:
    """Band of an aim whose measure has one; the checks of a case see to that."""
    assert aim.band is not None
    return aim.band


def _per_ear(figures: xr.DataArray) -> tuple[tuple[str, float], ...]:
    return tuple(
        (_ear(ear), float(value))
        for ear, value in zip(figures.ear_height.values, figures.values, strict=True)
    )


def _ear(height: float) -> str:
    return f"ear height {height:.2f} m"
