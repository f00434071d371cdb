"""The numbers that a sweep keeps of every point."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, Case
from acoustics.conventions import MAIN_SEAT
from acoustics.listening import judge_aims, unreached
from acoustics.listening.error import level_uncertainty
from acoustics.listening.key_figures import at_the_seat, round_the_cabinet
from acoustics.listening.listeners import by_listener


class Figure(NamedTuple):
    """Unit and meaning of a number."""

    units: str
    long_name: str


FIGURES: dict[str, Figure] = {
    "axis_ripple": Figure("dB", "ripple on the reference axis"),
    "axis_tilt": Figure("dB/octave", "tilt on the reference axis"),
    "axis_level": Figure("dB", "mean level on the reference axis, re 20 µPa"),
    "window_ripple": Figure(
        "dB", "ripple of the listening window: the part that a filter can correct"
    ),
    "relative_ripple": Figure(
        "dB",
        "largest ripple relative to the reference axis in the listening window: the part that no "
        "filter can correct",
    ),
    "window_tilt": Figure("dB/octave", "tilt of the listening window"),
    "room_ripple": Figure("dB", "ripple of the estimated in-room curve"),
    "room_tilt": Figure("dB/octave", "tilt of the estimated in-room curve"),
    "power_index": Figure("dB", "mean directivity index (window over sound power)"),
    "side_difference": Figure("dB", "rms difference of left and right, up to 60 degrees"),
    "least_beamwidth": Figure("degree", "smallest horizontal beamwidth (-6 dB)"),
    "least_beamwidth_vertical": Figure("degree", "smallest vertical beamwidth (-6 dB)"),
    "seat_ripple": Figure("dB", "largest ripple at the main seat, free space"),
    "seat_tilt": Figure("dB/octave", "steepest tilt at the main seat, free space"),
    "seat_level": Figure("dB", "lowest mean level at the main seat, free space, re 20 µPa"),
    "floor_dip": Figure("dB", "depth of the deepest dip that the floor makes at the main seat"),
    "lobe_window": Figure(
        "m", "smallest height about the ears in which every crossover keeps within 3 dB"
    ),
    "height_span": Figure("m", "height of the narrowest range within 3 dB of the ears"),
    "aside_span": Figure("m", "width of the narrowest range within 3 dB of the ears"),
    "targets_missed": Figure("1", "how many drivers do not reach their acoustic target"),
    "level_uncertainty": Figure(
        "dB", "error of a level, 300 Hz to 10 kHz: the field solver's estimate, or half of 0.1 dB"
    ),
    "error_estimate": Figure(
        "dB", "field solver's largest estimate of its own error, over all frequencies"
    ),
}
"""Every number of a point. Curves are taken over 300 Hz to 10 kHz with 1/6 octave smoothing, as in
`listening.key_figures`; of cabinets and ear heights at the main seat the worst counts."""

AIM_FIGURES = 2
"""numbers of every aim: what its measure came to, and whether it is met"""


def count_of(case: Case) -> int:
    """How many numbers `figures_of` gives."""
    return len(FIGURES) + AIM_FIGURES * len(case.aims)


def figures_of(case: Case, prediction: xr.Dataset) -> np.ndarray:
    """The numbers of one design.

    Args:
        case: the design.
        prediction: its prediction.

    Returns:
        `FIGURES` in their order, then the value of every aim's measure at the place that decides,
        then for every aim 1 for met, 0 for missed and NaN for not known or too close to call. NaN
        where a number cannot be determined.
    """
    main = prediction.sel(seat=[MAIN_SEAT])
    arcs, seat = round_the_cabinet(main), by_listener(main, at_the_seat)
    found = {name: float(arcs[name]) for name in FIGURES if name in arcs and not arcs[name].ndim}
    for plane, end in (("horizontal", ""), ("vertical", "_vertical")):
        found[f"least_beamwidth{end}"] = float(arcs.least_beamwidth.sel(plane=plane))
    found["seat_ripple"] = float(seat.seat_ripple.max(skipna=False))
    tilts = seat.seat_tilt.values.ravel()
    known = np.isfinite(tilts).all()
    found["seat_tilt"] = float(tilts[np.abs(tilts).argmax()]) if known else np.nan
    found["seat_level"] = float(seat.seat_level.min(skipna=False))
    found["floor_dip"] = _floor_dip(seat)
    found["lobe_window"] = _lobe_window(seat)
    found["height_span"] = float(seat.height_span.min(skipna=False))
    found["aside_span"] = float(seat.aside_span.min(skipna=False))
    found["targets_missed"] = float(len(unreached(case, prediction)))
    found["level_uncertainty"] = level_uncertainty(prediction, BAND)
    if "error_estimate" in prediction.coords:
        found["error_estimate"] = float(prediction.error_estimate.max())
    verdicts = judge_aims(case, prediction)
    values = [np.nan if each.value is None else each.value for each in verdicts]
    met = [np.nan if each.met is None else float(each.met) for each in verdicts]
    return np.array([*(found.get(name, np.nan) for name in FIGURES), *values, *met])


def _floor_dip(seat: xr.Dataset) -> float:
    """Depth of the floor's deepest dip, 0 where it makes none."""
    if "surface" not in seat.dims or "floor" not in seat.surface.values:
        return float("nan")
    floor = seat.sel(surface="floor")
    depth = floor.deepest_dip_depth
    unknown = floor.deepest_dip_note != ""
    return float(depth.where(depth.notnull() | unknown, 0.0).max(skipna=False))


def _lobe_window(seat: xr.Dataset) -> float:
    """Height that the windows of all crossovers have in common, for the ears that fare worst."""
    if seat.sizes["crossover"] == 0:
        return float("nan")
    low = seat.window_low.max("crossover", skipna=False)
    high = seat.window_high.min("crossover", skipna=False)
    return float((high - low).min(skipna=False))
