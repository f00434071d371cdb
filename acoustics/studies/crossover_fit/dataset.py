"""What a fit found, as a Dataset, and what a prediction makes of its aim."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Case
from acoustics.conventions import SCHEMA, SOLVER
from acoustics.crossover.topologies import kinds_of, values_of
from acoustics.listening.bands import in_band
from acoustics.listening.levels import band_level, decibels, smoothed_power
from acoustics.listening.stamp import stamped
from acoustics.listening.standard_curves import window_pressure
from acoustics.studies.crossover_fit.aims import Residuals
from acoustics.studies.crossover_fit.run import Fitted

AIMS = {
    "listening_window": "deviation of the listening window from its straight line",
    "in_room": "deviation of the estimated in-room curve from a straight line",
    "directivity": "deviation of the directivity index from a smooth curve",
    "phase": "level lost on the reference axis because drivers are out of step",
    "limits": "what limits are broken by: impedance, crossover spans, displacement, power",
}
"""Of a fit, each told by its root mean square and its largest value, dB."""


def fit_dataset(case: Case, fitted: Fitted) -> xr.Dataset:
    """The finalists of a fit, the best first.

    Returns:
        Over `finalist`: crossover (words), pieces (count), price, score (dB), and for every one of
        `AIMS` rms and largest value (dB), dims (finalist, aim). Over (finalist, driver):
        topology and inverted. Values of the best: best_value (H, F or ohm) over `part`, with
        part_kind and part_driver.
    """
    finalists = fitted.finalists
    figures = np.array([[_figures(each.residuals, aim) for aim in AIMS] for each in finalists])
    best = fitted.best
    owners = [
        driver
        for driver, ladder in zip(fitted.drivers, best.ladders, strict=True)
        for _ in kinds_of(ladder)
    ]
    return xr.Dataset(
        {
            "crossover": (
                "finalist",
                [each.candidate.in_words(fitted.drivers) for each in finalists],
                {"long_name": "shape of the crossover"},
            ),
            "pieces": (
                "finalist",
                [each.outcome.pieces for each in finalists],
                {"units": "1", "long_name": "parts to buy for one loudspeaker"},
            ),
            "price": (
                "finalist",
                [each.price for each in finalists],
                {"long_name": "price of the parts of one loudspeaker, currency of the case"},
            ),
            "score": (
                "finalist",
                [each.score for each in finalists],
                {"units": "dB", "long_name": "weighted deviation, and what parts and price weigh"},
            ),
            "rms": (
                ("finalist", "aim"),
                figures[..., 0],
                {"units": "dB", "long_name": "root mean square of what is left of an aim"},
            ),
            "largest": (
                ("finalist", "aim"),
                figures[..., 1],
                {"units": "dB", "long_name": "largest of what is left of an aim"},
            ),
            "topology": (
                ("finalist", "driver"),
                [[shape.name for shape in each.candidate.shapes] for each in finalists],
                {"long_name": "shape of a driver's network"},
            ),
            "inverted": (
                ("finalist", "driver"),
                [list(each.candidate.turned) for each in finalists],
                {"long_name": "whether the crossover turns the driver's polarity round"},
            ),
            "best_value": (
                "part",
                np.concatenate([values_of(ladder) for ladder in best.ladders]),
                {"long_name": "value of a part of the best, in H, F or ohm"},
            ),
        },
        coords={
            "aim": list(AIMS),
            "driver": list(fitted.drivers),
            "part_kind": ("part", [k for ladder in best.ladders for k in kinds_of(ladder)]),
            "part_driver": ("part", owners),
        },
        attrs={
            "title": case.title,
            "case_digest": case.digest,
            "seed": fitted.question.fit.seed,
            "tried": fitted.tried,
            "schema": SCHEMA,
            "solver": SOLVER,
        },
    )


def _figures(residuals: Residuals, aim: str) -> tuple[float, float]:
    left: np.ndarray = getattr(residuals, aim)
    if left.size == 0:
        return 0.0, 0.0
    # The window's level is free: it is such that both sides are as far off.
    free = aim == "listening_window"
    largest = float(np.ptp(left)) / 2 if free else float(np.abs(left).max())
    return float(np.sqrt((left**2).mean())), largest


def window_deviation(prediction: xr.Dataset, fit: Fit) -> xr.DataArray:
    """How far a predicted listening window is from the aim of a fit, level free.

    Args:
        prediction: as `predict` makes it, at all of its frequencies.
        fit: slope, band and smoothing.

    Returns:
        dB, dims (frequency,) in the band; the level is such that both sides are as far off.
    """
    frequency = prediction.frequency.values
    power = smoothed_power(window_pressure(prediction) ** 2, frequency, fit.smoothing)
    inside = in_band(frequency, fit.band)
    off = decibels(power).isel(frequency=inside)
    off = off - fit.tilt * np.log2(off.frequency)
    middle = (off.max() + off.min()) / 2
    return stamped(off - middle, "dB", "listening window less its aim, level free", "deviation")


def window_level(prediction: xr.Dataset, band: tuple[float, float]) -> float:
    """Mean level of the listening window over a band, dB at 1 m."""
    at = band_level(window_pressure(prediction), prediction.frequency.values, band)
    return float(at) + 20 * float(np.log10(prediction.attrs["reference_distance"]))
