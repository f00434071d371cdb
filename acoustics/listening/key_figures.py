"""The figures a summary and a comparison start from, in one Dataset."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING, Case
from acoustics.listening.aims import require_same_design
from acoustics.listening.baffle_step import baffle_step
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.bounce import bounces
from acoustics.listening.directivity import directivity, least_beamwidth
from acoustics.listening.height_window import height_window
from acoustics.listening.levels import band_level, level
from acoustics.listening.listeners import Listener, by_listener
from acoustics.listening.lobes import lobes
from acoustics.listening.ripple import ripple_and_tilt
from acoustics.listening.span import aside_span, height_span
from acoustics.listening.standard_curves import standard_curves
from acoustics.listening.symmetry import rms_side_difference
from acoustics.listening.window_ripple import window_ripple

OCTAVES = tuple(1000.0 * 2.0**n for n in range(-2, 5))
"""Hz: where beamwidths are quoted."""


WINDOWS = ("window_low", "window_high", "window_height", "window_open")


def key_figures(
    case: Case, prediction: xr.Dataset, who: Sequence[Listener] | None = None
) -> xr.Dataset:
    """Gather what a design does, in figures; each has `units` and `long_name`.

    Ripples, tilts, levels, indices, beamwidth and side difference are taken over 300 Hz to 10 kHz
    with 1/6 octave smoothing (attributes `band` and `smoothing`; levels and indices are not
    smoothed), and are NaN where the prediction does not cover that band or is too coarse for that
    smoothing; curves at the seat are in free space.

    Args:
        case: the design.
        prediction: the prediction of that same design.
        who: the listeners; all of them if left out.

    Returns:
        axis_ripple (dB), axis_tilt (dB/octave), axis_level (dB); window_ripple (dB) and
        window_tilt (dB/octave) of the listening window, relative_ripple (dB), the largest of its
        directions relative to the axis; room_ripple, room_tilt of the estimated in-room curve;
        power_index (dB), the mean directivity index; side_difference (dB). Over driver:
        half_step_frequency (Hz), step_rise (dB), step_note. Over (listener, ear_height):
        seat_ripple, seat_tilt, seat_level; height_span (m), height_span_frequency (Hz),
        height_span_open; over listener: aside_span, aside_span_frequency, aside_span_open. Over
        (listener, surface, ear_height): each surface's dips as `bounce` gives them. Over plane:
        least_beamwidth (degree); over (plane, octave): beamwidth (degree; 360 where the level
        never falls by 6 dB, NaN where the axis lies in a null). Over crossover:
        crossover_frequency (Hz), lower_driver, upper_driver, lobe_direction (degree), lobe_gain
        (dB) up and down, aside_direction, aside_gain to the sides, lobe_sampled; over (crossover,
        listener, ear_height): window_low, window_high, window_height (m), window_open. `listener`
        says who hears it, see `listeners`.

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    require_same_design(case, prediction)
    step = baffle_step(prediction).drop_vars(("driver_x", "driver_y"), errors="ignore")
    around = lobes(prediction).drop_dims(("lobe_angle", "null"))
    parts = [
        round_the_cabinet(prediction),
        step.reset_coords(drop=True),
        around,
        by_listener(prediction, at_the_seat, who),
    ]
    return xr.merge(parts, join="exact", compat="equals").assign_attrs(
        title=case.title, band=np.array(BAND), smoothing=SMOOTHING
    )


def round_the_cabinet(prediction: xr.Dataset) -> xr.Dataset:
    """What the arcs tell: on the axis, in the listening window, in the room, to the sides."""
    axis = prediction.arc_total.sel(plane="horizontal", angle=0.0)
    curves = standard_curves(prediction)
    window = window_ripple(prediction)
    frequency = prediction.frequency.values
    levels = {
        "axis": ("on the reference axis", level(axis)),
        "window": ("of the listening window", curves.listening_window),
        "room": ("of the estimated in-room curve", curves.estimated_in_room),
    }
    smoothed: dict[str, xr.DataArray] = {}
    for name, (where, curve) in levels.items():
        ripple, tilt = ripple_and_tilt(curve, frequency)
        smoothed[f"{name}_ripple"] = _named(ripple, f"ripple {where}")
        smoothed[f"{name}_tilt"] = _named(tilt, f"tilt {where}")
    smoothed["relative_ripple"] = window.worst_ripple
    smoothed["side_difference"] = rms_side_difference(prediction)
    smoothed["least_beamwidth"] = least_beamwidth(prediction, BAND, smoothing=SMOOTHING)
    inside = in_band(frequency, BAND)
    plain = {
        "axis_level": _named(
            band_level(axis, frequency, BAND), "mean level on the reference axis, re 20 µPa"
        ),
        "power_index": curves.sound_power_index.isel(frequency=inside)
        .mean("frequency")
        .assign_attrs(units="dB", long_name="mean directivity index (window over sound power)"),
    }
    figures = (
        _if_covered(plain, prediction, None)
        | _if_covered(smoothed, prediction, SMOOTHING)
        | {
            "worst_direction": window.worst_direction,
            "beamwidth": _beamwidth_by_octave(prediction),
        }
    )
    return xr.Dataset(_bare(figures))


def at_the_seat(view: xr.Dataset) -> xr.Dataset:
    """What one listener hears, by ear height, surface and crossover."""
    pressure = view.seat_total.sel(surroundings="free space")
    ripple, tilt = ripple_and_tilt(level(pressure), pressure.frequency)
    mean = band_level(pressure, pressure.frequency, BAND)
    smoothed = {
        "seat_ripple": _named(ripple, "ripple at the seat"),
        "seat_tilt": _named(tilt, "tilt at the seat"),
    }
    figures = _if_covered(smoothed, view, SMOOTHING) | _if_covered(
        {"seat_level": _named(mean, "mean level at the seat, re 20 µPa")}, view, None
    )
    for name, span, way in (
        ("height_span", height_span(view), "height of the narrowest range"),
        ("aside_span", aside_span(view), "width of the narrowest range"),
    ):
        figures[name] = _named(span.narrowest_span, f"{way} within 3 dB of the ears")
        figures[f"{name}_frequency"] = span.narrowest_frequency
        figures[f"{name}_open"] = span.narrowest_open
    windows = height_window(view)[list(WINDOWS)]
    return xr.merge(
        [xr.Dataset(_bare(figures)), _bounces(view), windows], join="exact", compat="equals"
    )


def _bounces(view: xr.Dataset) -> xr.Dataset:
    """The dips that each surface makes by itself, over (surface, ear_height)."""
    found = {name: one.drop_dims("frequency") for name, one in bounces(view).items()}
    if not found:
        return xr.Dataset()
    parts, names = list(found.values()), np.array(list(found))
    return xr.concat(
        parts, "surface", coords="minimal", compat="override", combine_attrs="override"
    ).assign_coords(surface=("surface", names, {"long_name": "reflecting surface"}))


def _beamwidth_by_octave(prediction: xr.Dataset) -> xr.DataArray:
    """Beamwidth at octave frequencies within those predicted, dims (plane, octave)."""
    width = directivity(prediction, smoothing=SMOOTHING).beamwidth
    low, high = width.frequency.values[[0, -1]]
    octaves = np.array([octave for octave in OCTAVES if low <= octave <= high])
    answer = width.sel(frequency=octaves, method="nearest").reset_coords(drop=True)
    answer = answer.rename(frequency="octave").assign_coords(
        octave=("octave", octaves, {"units": "Hz", "long_name": "frequency"})
    )
    answer.attrs = width.attrs
    return answer


def _if_covered(
    answers: dict[str, xr.DataArray], prediction: xr.Dataset, smoothing: float | None
) -> dict[str, xr.DataArray]:
    """The answers, or NaN where the predicted frequencies do not allow them."""
    if not why_not_covered(prediction.frequency.values, BAND, smoothing):
        return answers
    return {name: answer.where(False) for name, answer in answers.items()}


def _named(answer: xr.DataArray, long_name: str) -> xr.DataArray:
    return answer.assign_attrs(long_name=long_name)


def _bare(figures: dict[str, xr.DataArray]) -> dict[str, xr.DataArray]:
    """Figures without coordinates that say where on a curve they were taken."""
    return {
        name: figure.reset_coords(drop=True).drop_vars("frequency", errors="ignore")
        for name, figure in figures.items()
    }
