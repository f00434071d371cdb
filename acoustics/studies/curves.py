"""The curves of several designs that belong in one picture."""

from __future__ import annotations

from collections.abc import Mapping

import xarray as xr

from acoustics.listening import floor_bounce, level, lobing
from acoustics.studies.compare import Comparison
from acoustics.studies.floor import has_floor
from acoustics.studies.sides import side_pressure

Curves = dict[str, xr.DataArray]
"""design → its curve"""


def axis_curves(comparison: Comparison) -> Curves:
    """Level on the reference axis, dB, dims (frequency)."""
    return {
        label: level(each.arc_total.sel(plane="horizontal", angle=0.0))
        for label, each in _designs(comparison)
    }


def side_curves(comparison: Comparison) -> Curves:
    """Level to both sides, dB, dims (side_angle, frequency)."""
    return {label: level(side_pressure(each)) for label, each in _designs(comparison)}


def height_curves(comparison: Comparison) -> list[Curves]:
    """Level over height at each crossover, dB, dims (height); empty where their number differs."""
    around = {label: lobing(each) for label, each in _designs(comparison)}
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


def floor_curves(comparison: Comparison) -> Curves:
    """Level with the floor minus without, dB, dims (ear_height, frequency).

    At the ear heights of the comparison's table; empty where a design has no floor.
    """
    if not all(has_floor(each) for each in comparison.predictions):
        return {}
    shared = comparison.ear_heights
    return {
        label: floor_bounce(each).floor_difference.sel(ear_height=list(shared), method="nearest")
        for label, each in _designs(comparison)
    }


def difference_to_first(curves: Mapping[str, xr.DataArray]) -> Curves:
    """Every other curve minus the first, dB, at the frequencies both have; {} where none are."""
    first, *others = curves
    differences = {}
    for other in others:
        this, that = xr.align(curves[other], curves[first], join="inner")
        if this.frequency.size > 1:
            differences[other] = this - that
    return differences


def _designs(comparison: Comparison) -> list[tuple[str, xr.Dataset]]:
    return list(zip(comparison.labels, comparison.predictions, strict=True))
