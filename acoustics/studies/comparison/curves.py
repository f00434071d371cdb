"""The curves of several designs that belong in one picture."""

from __future__ import annotations

from collections.abc import Mapping

import xarray as xr

from acoustics.listening import doubtful_bands, heard, level, standard_curves
from acoustics.listening.height_window import height_window
from acoustics.listening.surfaces import surfaces_of
from acoustics.listening.to_the_sides import side_pressure
from acoustics.studies.comparison.compare import Comparison
from acoustics.studies.yardsticks.listening_positions import on_axis

Curves = dict[str, xr.DataArray]
"""design → its curve"""


def axis_curves(comparison: Comparison) -> Curves:
    """Level on the reference axis, dB, dims (frequency)."""
    return {label: level(on_axis(each)) for label, each in _designs(comparison)}


def window_curves(comparison: Comparison) -> Curves:
    """Level of the listening window, dB, dims (frequency)."""
    return {label: standard_curves(each).listening_window for label, each in _designs(comparison)}


def power_index_curves(comparison: Comparison) -> Curves:
    """Directivity index, listening window minus sound power, dB, dims (frequency)."""
    return {label: standard_curves(each).sound_power_index for label, each in _designs(comparison)}


def side_curves(comparison: Comparison) -> Curves:
    """Level to both sides, dB, dims (side_angle, frequency)."""
    return {label: level(side_pressure(each)) for label, each in _designs(comparison)}


def height_curves(comparison: Comparison) -> list[Curves]:
    """Level over height at the main seat for each crossover, dB, dims (height).

    Empty where the designs' crossovers differ in number.
    """
    around = {label: height_window(heard(each)) for label, each in _designs(comparison)}
    counts = {each.crossover.size for each in around.values()}
    if len(counts) > 1:
        return []
    return [
        {
            label: each.height_level.isel(crossover=i).sel(offset=0.0)
            for label, each in around.items()
        }
        for i in range(counts.pop())
    ]


def seat_curves(comparison: Comparison) -> Curves:
    """Level with all reflections minus without at the main seat, dB, dims (ear_height, frequency).

    At the ear heights of the comparison's table; empty where a design has no reflecting surface.
    """
    if not all(surfaces_of(each) for each in comparison.predictions):
        return {}
    ears = list(comparison.ear_heights)
    curves = {}
    for label, each in _designs(comparison):
        levels = level(heard(each).seat_total.sel(ear_height=ears, method="nearest"))
        free, room = (
            levels.sel(surroundings=where, drop=True)
            for where in ("free space", "with reflections")
        )
        curves[label] = room - free
    return curves


def difference_to_first(curves: Mapping[str, xr.DataArray]) -> Curves:
    """Every other curve minus the first, dB, at the frequencies both have; {} where none are."""
    first, *others = curves
    differences = {}
    for other in others:
        this, that = xr.align(curves[other], curves[first], join="inner")
        if this.frequency.size > 1:
            differences[other] = this - that
    return differences


def all_doubtful_bands(comparison: Comparison) -> tuple[tuple[float, float], ...]:
    """Bands (Hz, ascending) in which some design's drivers play beyond the piston model.

    The union of each design's `listening.doubtful_bands`.
    """
    joined: list[tuple[float, float]] = []
    for start, stop in sorted(
        band for prediction in comparison.predictions for band in doubtful_bands(prediction)
    ):
        if joined and start <= joined[-1][1]:
            low, high = joined.pop()
            joined.append((low, max(high, stop)))
        else:
            joined.append((start, stop))
    return tuple(joined)


def _designs(comparison: Comparison) -> list[tuple[str, xr.Dataset]]:
    return list(zip(comparison.labels, comparison.predictions, strict=True))
