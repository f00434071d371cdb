"""The figures a summary and a comparison start from, in one Dataset."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.model import BAND, SMOOTHING, Case
from acoustics.listening.aims import require_same_design
from acoustics.listening.bands import why_not_covered
from acoustics.listening.directivity import directivity, least_beamwidth
from acoustics.listening.floor_bounce import floor_bounce
from acoustics.listening.levels import band_level, level
from acoustics.listening.lobing import lobing
from acoustics.listening.ripple import ripple_and_tilt
from acoustics.listening.symmetry import rms_side_difference

OCTAVES = tuple(1000.0 * 2.0**n for n in range(-2, 5))
"""Hz: where beamwidths are quoted."""


def first_answers(case: Case, prediction: xr.Dataset) -> xr.Dataset:
    """Gather what a design does, in figures; each has `units` and `long_name`.

    Ripple, tilt, level, beamwidth and side difference are taken over 300 Hz to 10 kHz with 1/6
    octave smoothing (attributes `band` and `smoothing`; the level is not smoothed), and are NaN
    where the prediction does not cover that band or is too coarse for that smoothing; curves at
    the seat are in free space.

    Args:
        case: the design.
        prediction: the prediction of that same design.

    Returns:
        axis_ripple (dB), axis_tilt (dB/octave), axis_level (dB), side_difference (dB); over
        ear_height: seat_ripple, seat_tilt, seat_level, the floor's dips as `floor_bounce` gives
        them; over plane: least_beamwidth (degree); over (plane, octave): beamwidth (degree; 360
        where the level never falls by 6 dB, NaN where the axis lies in a null); over crossover:
        crossover_frequency (Hz), lower_driver, upper_driver, lobe_direction (degree), lobe_gain
        (dB), lobe_sampled; over (crossover, ear_height): window_low, window_high, window_height
        (m), window_open.

    Raises:
        RoundoverError: the prediction belongs to another design.
    """
    require_same_design(case, prediction)
    curves = {
        "axis": ("on the reference axis", prediction.arc_total.sel(plane="horizontal", angle=0.0)),
        "seat": ("at the seat", prediction.seat_total.sel(surroundings="free space")),
    }
    answers: dict[str, xr.DataArray] = {}
    smoothed: dict[str, xr.DataArray] = {}
    for name, (where, pressure) in curves.items():
        ripple, tilt = ripple_and_tilt(level(pressure), pressure.frequency)
        smoothed[f"{name}_ripple"] = _named(ripple, f"ripple {where}")
        smoothed[f"{name}_tilt"] = _named(tilt, f"tilt {where}")
        mean = band_level(pressure, pressure.frequency, BAND)
        answers[f"{name}_level"] = _named(mean, f"mean level {where}, re 20 µPa")
    smoothed["side_difference"] = rms_side_difference(prediction)
    smoothed["least_beamwidth"] = least_beamwidth(prediction, BAND, smoothing=SMOOTHING)
    answers = _if_covered(answers, prediction, None) | _if_covered(smoothed, prediction, SMOOTHING)
    answers["beamwidth"] = _beamwidth_by_octave(prediction)
    bounce = floor_bounce(prediction).drop_vars("floor_difference")
    around = lobing(prediction).drop_dims(("offset", "lobe_angle", "null"))
    figures = {
        name: answer.reset_coords(drop=True).drop_vars("frequency", errors="ignore")
        for name, answer in answers.items()
    }
    return xr.merge(
        [
            xr.Dataset(figures),
            bounce.drop_vars("frequency", errors="ignore"),
            around.drop_vars("height", errors="ignore"),
        ],
        join="exact",
        compat="equals",
    ).assign_attrs(title=case.title, band=np.array(BAND), smoothing=SMOOTHING)


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
