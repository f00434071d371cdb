"""Aims held against a prediction: what was measured, met or missed, and by how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import xarray as xr

from acoustics.case.design.model import Aim, Case
from acoustics.conventions import DIRECT, RoundoverError
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.bounce import bounce
from acoustics.listening.directivity import FULL_CIRCLE, axis_in_null, least_beamwidth
from acoustics.listening.distances import distances
from acoustics.listening.error import (
    band_uncertainty,
    curve_uncertainty,
    dip_error,
    dip_error_deeper,
    least_beam_error,
    level_error,
    tilt_error,
    window_error,
)
from acoustics.listening.height_window import height_window
from acoustics.listening.levels import band_level, level
from acoustics.listening.listeners import heard, listeners
from acoustics.listening.ripple import ripple_and_tilt
from acoustics.listening.standard_curves import window_pressure
from acoustics.listening.trust import doubtful_share, past_measurements

WORTH_TELLING = 0.1
"""Share of a band: less of it beyond what the piston model is good for is left unsaid."""


class Limited(Protocol):
    """Anything that asks for a figure between two limits, of which one may be None."""

    @property
    def at_least(self) -> float | None:
        """The lower limit."""

    @property
    def at_most(self) -> float | None:
        """The upper limit."""


CLOSE = "too close to call"


@dataclass(frozen=True)
class Figure:
    """What an aim's measure came to at one place, NaN if it cannot be determined.

    `down` and `up` are how far the solver's error may put it off to either side; `open` says that
    the true figure may be larger still.
    """

    place: str
    value: float
    down: float
    up: float
    open: bool = False

    @property
    def bounds(self) -> tuple[float, float]:
        """Between which the true figure lies; infinite above where it has no bound."""
        return self.value - self.down, np.inf if self.open else self.value + self.up


def even(place: str, value: float, doubt: float, open: bool = False) -> Figure:
    """A figure that may be off as far to either side."""
    return Figure(place, value, doubt, doubt, open)


@dataclass(frozen=True)
class Measured:
    """What an aim's measure came to: a figure for each place, and what to know about it."""

    figures: tuple[Figure, ...]
    note: str = ""


@dataclass(frozen=True)
class AimVerdict:
    """An aim, the figure that decides it, and whether it is met.

    `value` is the figure of the place that fares worst (in `unit`); `values` holds the figure of
    every place. `bounds` are the lowest and the highest that the value may truly be, the highest
    infinite where it is known only to be at least the lowest, as of a very deep dip or of a window
    that ends with the predicted heights. `uncertainty` is how far it may be off toward the limit it
    is nearest to, or to the other side where that has no bound. `met` is None where the figure
    cannot be determined, and `note` then says why, or where it is too `close` to the limit to call.
    `missed_by` is 0 for an aim that is met, None for one that cannot be judged. `caveat` says
    where the figure rests on a driver beyond what the piston model is good for.
    """

    aim: Aim
    value: float | None
    unit: str
    values: tuple[tuple[str, float], ...]
    met: bool | None
    missed_by: float | None
    note: str = ""
    uncertainty: float | None = None
    close: bool = False
    caveat: str = ""
    bounds: tuple[float, float] | None = None

    @property
    def state(self) -> str:
        """Whether it is met, in words."""
        if self.met is None:
            return CLOSE if self.close else "not known"
        return "met" if self.met else "missed"


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


def judge(aim: Aim, prediction: xr.Dataset, doubted: bool = True) -> AimVerdict:
    """Hold one aim against a prediction; see `MEASURES` for what each measure is.

    Without being `doubted` a figure counts as exact, and no caveat is looked for. One place that
    surely misses decides, whatever is not known of the others. Else one whose figure leaves it open
    decides, and then one without a figure; `note` names those.
    """
    measure, _ = MEASURES[aim.measure]
    caveat = _caveat(aim, prediction) if doubted else ""
    return verdict(aim, measure(aim, prediction, doubted), caveat)


def verdict(aim: Aim, measured: Measured, caveat: str = "") -> AimVerdict:
    """Hold an aim against what its measure came to."""
    unit = MEASURES[aim.measure][1]
    values = tuple((figure.place, figure.value) for figure in measured.figures)
    known = [figure for figure in measured.figures if not np.isnan(figure.value)]
    note = _with_unknown(measured)
    states = [state_of(aim, figure) for figure in known]
    deciding = next((state for state in (False, None, True) if state in states), None)
    pairs = zip(known, states, strict=True)
    figures = [figure for figure, state in pairs if state is deciding]
    if not figures or (deciding is True and len(known) < len(values)):
        reason = note or "the figure cannot be determined"
        return AimVerdict(aim, None, unit, values, None, None, reason, caveat=caveat)
    # Ties go to the figure closest to a limit, so that the worst place is the one shown; one that
    # is too close to call goes before one that is open.
    worst = max(figures, key=lambda figure: (is_close(aim, figure), shortfall(aim, figure.value)))
    return AimVerdict(
        aim,
        worst.value,
        unit,
        values,
        met=deciding,
        missed_by={True: 0.0, False: shortfall(aim, worst.value), None: None}[deciding],
        note=note,
        uncertainty=toward_limit(aim, worst),
        close=deciding is None and is_close(aim, worst),
        caveat=caveat,
        bounds=worst.bounds,
    )


def state_of(aim: Limited, figure: Figure) -> bool | None:
    """Whether a figure meets an aim; None where that is not known or too close to call."""
    if np.isnan(figure.value) or is_close(aim, figure):
        return None
    met = bool(shortfall(aim, figure.value) <= 0)
    if not figure.open or (met and aim.at_most is None):
        return met
    exceeds = aim.at_most is not None and bool(figure.value > aim.at_most)
    return False if exceeds else None


def is_close(aim: Limited, figure: Figure) -> bool:
    """Whether the figure's doubt reaches across a limit, on the side that faces it."""
    limits = [limit for limit in (aim.at_least, aim.at_most) if limit is not None]
    low, high = figure.value - figure.down, figure.value + figure.up
    return any(low < limit < high for limit in limits)


def toward_limit(aim: Limited, figure: Figure) -> float:
    """How far a figure may be off toward its nearest limit, or else away from it, if bounded."""
    limits = [limit for limit in (aim.at_least, aim.at_most) if limit is not None]
    nearest = min(limits, key=lambda limit: abs(limit - figure.value))
    sides = (figure.down, figure.up) if nearest < figure.value else (figure.up, figure.down)
    return next((side for side in sides if np.isfinite(side)), np.inf)


def shortfall(aim: Limited, value: float) -> float:
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


def measured_ripple(aim: Aim, prediction: xr.Dataset, doubted: bool = True) -> Measured:
    """Half peak to peak about a straight line in log frequency, dB, on the aim's curves."""
    band = _band(aim)
    return _on_curves(
        aim,
        prediction,
        doubted,
        lambda p: curve_uncertainty(prediction, p, band, aim.smoothing),
    )


def measured_tilt(aim: Aim, prediction: xr.Dataset, doubted: bool = True) -> Measured:
    """Slope of that line, dB per octave, on the aim's curves."""
    band = _band(aim)
    return _on_curves(
        aim,
        prediction,
        doubted,
        lambda p: curve_uncertainty(prediction, p, band, aim.smoothing) * tilt_error(1.0, band),
    )


def measured_level(aim: Aim, prediction: xr.Dataset, doubted: bool = True) -> Measured:
    """Level of the mean power over the band, every octave alike, dB re 20 µPa for 2.83 V."""
    band = _band(aim)
    return _on_curves(
        aim,
        prediction,
        doubted,
        lambda p: band_uncertainty(prediction, p, band),
    )


def curve_figure(aim: Aim, pressure: xr.DataArray) -> xr.DataArray:
    """The ripple, tilt or level that an aim asks of a pressure with a `frequency` coordinate."""
    frequency, band = pressure.frequency, _band(aim)
    if aim.measure == "level":
        return band_level(pressure, frequency, band)
    found = ripple_and_tilt(level(pressure), frequency, band, aim.smoothing)
    return found[CURVE_MEASURES.index(aim.measure)]


CURVE_MEASURES = ("ripple", "tilt", "level")
"""Measures that are figures of curves."""


def measured_beamwidth(aim: Aim, prediction: xr.Dataset, doubted: bool = True) -> Measured:
    """Smallest angle between the −6 dB points over the band, horizontal, degrees.

    Levels relative to the reference axis, smoothed as the aim says; 360 where the level falls by
    6 dB at no angle. Not known where the axis lies in a null.
    """
    band = _band(aim)
    gap = why_not_covered(prediction.frequency.values, band, aim.smoothing)
    if gap:
        return Measured((), gap)
    prediction = _near_band(prediction, band, aim.smoothing)
    how = {} if aim.smoothing is None else {"smoothing": aim.smoothing}
    value = float(least_beamwidth(prediction, band, **how).sel(plane="horizontal"))
    doubt = 0.0
    if doubted:
        doubt = float(least_beam_error(prediction, band, aim.smoothing).sel(plane="horizontal"))
    if np.isnan(value):
        nulls = axis_in_null(prediction, aim.smoothing)
        inside = nulls.isel(frequency=in_band(nulls.frequency.values, band))
        first = float(inside.frequency[int(inside.values.argmax())])
        note = f"the reference axis lies in a null at {first:.0f} Hz, so a beam has no width there"
    else:
        note = "" if value < FULL_CIRCLE else "never falls by 6 dB"
    return Measured((even("horizontal", value, doubt),), note)


def measured_floor_dip(aim: Aim, prediction: xr.Dataset, doubted: bool = True) -> Measured:
    """Depth of the deepest dip the floor makes up to 1.5 kHz at each ear height, dB.

    The floor alone, without any other surface. 0 where it makes no dip of at least 1 dB; not known
    where the predicted frequencies leave out the first dip or end below 1.5 kHz.
    """
    if "floor" not in prediction.path.values:
        return Measured((), "the case has no reflecting floor")
    figures, notes = [], []
    for cabinet, view in _at_the_main_seat(prediction):
        found = bounce(view, "floor")
        depths = found.deepest_dip_depth.values
        at = found.deepest_dip_frequency.values
        u = level_error(view, at) if doubted else np.zeros(at.shape)
        for ear, frequency, depth, error, reason in zip(
            found.ear_height.values,
            found.deepest_dip_frequency.values,
            depths,
            u,
            found.deepest_dip_note.values,
            strict=True,
        ):
            place = f"{cabinet}{_ear(ear)}"
            if reason:
                notes.append(f"{place}: {reason}")
                figures.append(even(place, np.nan, np.nan))
            elif np.isfinite(frequency):
                notes.append(f"{place}: at {frequency:.0f} Hz")
                down, up = (float(side(error, depth)) for side in (dip_error, dip_error_deeper))
                figures.append(Figure(place, float(depth), down, up))
            else:
                figures.append(even(place, 0.0, 0.0))
    return Measured(tuple(figures), "; ".join(notes) or "no dip")


def measured_lobe_window(aim: Aim, prediction: xr.Dataset, doubted: bool = True) -> Measured:
    """Height around the ear in which every crossover keeps within 3 dB, m, per ear height.

    At each crossover frequency, relative to the level at the ear height, without reflections; the
    windows of all crossovers have this range in common.
    """
    figures, short = [], []
    heights = prediction.height.values
    for cabinet, view in _at_the_main_seat(prediction):
        windows = height_window(view)
        if windows.crossover.size == 0:
            return Measured((), "no handover lies within the predicted frequencies")
        low = windows.window_low.max("crossover", skipna=False).values
        high = windows.window_high.min("crossover", skipna=False).values
        doubts = np.zeros(low.shape)
        if doubted:
            doubts = window_error(view).window_height.max("crossover").values
        for ear, bottom, top, doubt in zip(
            windows.ear_height.values, low, high, doubts, strict=True
        ):
            ends_open = bool((bottom <= heights[0]) or (top >= heights[-1]))
            height = float(top - bottom)
            figures.append(even(f"{cabinet}{_ear(ear)}", height, float(doubt), ends_open))
            short += [figures[-1].place] if ends_open else []
    note = (
        f"{', '.join(sorted(short))}: the window reaches an end of the heights predicted, "
        f"{heights[0]:.2f} to {heights[-1]:.2f} m"
    )
    return Measured(tuple(figures), note if short else "")


MEASURES: dict[str, tuple[Callable[[Aim, xr.Dataset, bool], Measured], str]] = {
    "ripple": (measured_ripple, "dB"),
    "tilt": (measured_tilt, "dB/octave"),
    "level": (measured_level, "dB"),
    "beamwidth": (measured_beamwidth, "degree"),
    "floor dip": (measured_floor_dip, "dB"),
    "lobe window": (measured_lobe_window, "m"),
}
"""What each measure is, and its unit. The place that fares worst decides.

Figures that are not to be `doubted` are told as if the field were known exactly: what the solver's
error may do to one takes longer than the figure itself, and thousands of builds do without it.

Curves at the seat are those in free space: the combs of the reflections would hide what the
loudspeaker does, and have figures of their own. It is the main seat that is judged, for each
cabinet of a pair.
"""


def _on_curves(
    aim: Aim,
    prediction: xr.Dataset,
    doubted: bool,
    doubt: Callable[[xr.DataArray], np.ndarray],
) -> Measured:
    """Take a figure of the pressure at the aim's place, or in free space at each ear height.

    Its doubt is taken of the pressure as it would be at the reference distance.
    """
    gap = why_not_covered(prediction.frequency.values, _band(aim), aim.smoothing)
    if gap:
        return Measured((), gap)
    if aim.where == "seat":
        figures = []
        for cabinet, view in _at_the_main_seat(prediction):
            pressure = view.seat_total.sel(surroundings="free space")
            values = curve_figure(aim, pressure)
            doubts = np.zeros(values.shape)
            if doubted:
                way = distances(view, "seat").sel(path=DIRECT, drop=True)
                doubts = doubt(pressure * (way / prediction.attrs["reference_distance"]))
            figures += [
                even(f"{cabinet}{_ear(ear)}", float(value), float(error))
                for ear, value, error in zip(
                    values.ear_height.values, values.values, doubts, strict=True
                )
            ]
        return Measured(tuple(figures))
    curves = {
        "reference axis": lambda: prediction.arc_total.sel(plane="horizontal", angle=0.0),
        "listening window": lambda: window_pressure(prediction),
    }
    curve = curves[aim.where]()
    error = float(doubt(curve)) if doubted else 0.0
    return Measured((even(aim.where, float(curve_figure(aim, curve)), error),))


def _near_band(
    prediction: xr.Dataset, band: tuple[float, float], smoothing: float | None
) -> xr.Dataset:
    """The arcs at the frequencies that a smoothed curve in the band rests on, and no others."""
    reach = 1.0 if smoothing is None else 2 ** (0.5 / smoothing)
    near = in_band(prediction.frequency.values, (band[0] / reach, band[1] * reach))
    first, last = np.flatnonzero(near)[[0, -1]]
    # A window that ends between two frequencies counts the one beyond too.
    return prediction[["arc_total"]].isel(frequency=slice(max(first - 1, 0), last + 2))


def _at_the_main_seat(prediction: xr.Dataset) -> list[tuple[str, xr.Dataset]]:
    """What is heard at the main seat, each with a few words to set before a place."""
    ones = [one for one in listeners(prediction) if one.main]
    apart = len(ones) > 1
    return [(f"{one.speaker} cabinet, " if apart else "", heard(prediction, one)) for one in ones]


def _caveat(aim: Aim, prediction: xr.Dataset) -> str:
    """How much of the aim's band rests on drivers past their pistons or what was measured."""
    if aim.band is None:
        return ""
    share = doubtful_share(prediction, aim.band)
    if not share >= WORTH_TELLING:  # NaN where the band was not predicted
        return ""
    past = "their piston range"
    if past_measurements(prediction).any():
        past += " or what was measured of them"
    return f"{100 * share:.0f} % of its band rests on drivers beyond {past}"


def _with_unknown(measured: Measured) -> str:
    """The note, and with it the places without a figure that it does not tell of."""
    figures = measured.figures
    unknown = [figure.place for figure in figures if np.isnan(figure.value)]
    if len(unknown) == len(figures):
        return measured.note
    untold = [place for place in unknown if place not in measured.note]
    parts = [measured.note, f"not known at {', '.join(untold)}" if untold else ""]
    return "; ".join(part for part in parts if part)


def _band(aim: Aim) -> tuple[float, float]:
    """Band of an aim whose measure has one; the checks of a case see to that."""
    assert aim.band is not None
    return aim.band


def _ear(height: float) -> str:
    return f"ear height {height:.2f} m"
