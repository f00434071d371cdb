"""Acoustic targets that a driver does not reach with the gain its filter may have."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.text.units import hertz
from acoustics.conventions import Fault
from acoustics.listening.levels import level

PASS_BAND = 12.0
"""dB: a target that far below its branch's level is a slope, and what lacks there is not heard."""

LACK = 0.5
"""dB: a driver that stays below its target by less has reached it."""


def held_filters(prediction: xr.Dataset) -> xr.DataArray:
    """Where a computed filter is held at the gain it may have, boolean (driver, frequency)."""
    axis = prediction.arc_pressure.sel(plane="horizontal", angle=0.0, drop=True)
    if "target" not in prediction:
        return abs(axis) < 0
    lack = level(prediction.target) - level(axis * _as_needed(prediction))
    return (lack > LACK).transpose("driver", "frequency")


def unreached(case: Case, prediction: xr.Dataset) -> list[Fault]:
    """Say of each driver with acoustic slopes where and by how much it stays below its target.

    Args:
        case: the design.
        prediction: its prediction; the filters in it are held at the gain that the case allows.

    Returns:
        One fault for each such driver, empty if all reach their targets.
    """
    if "target" not in prediction:
        return []
    found = []
    axis = prediction.arc_pressure.sel(plane="horizontal", angle=0.0) * _as_needed(prediction)
    for branch in case.crossover:
        if branch.slopes == "electrical" or branch.level is None:
            continue
        target = level(prediction.target.sel(driver=branch.driver)).values
        lack = target - level(axis.sel(driver=branch.driver)).values
        at_distance = branch.level - 20 * np.log10(prediction.attrs["reference_distance"])
        short = (target > at_distance - PASS_BAND) & (lack > LACK)
        if not short.any():
            continue
        frequency = prediction.frequency.values
        worst = int(np.argmax(np.where(short, lack, -np.inf)))
        low, high = (hertz(float(f"{f:.3g}")) for f in frequency[short][[0, -1]])
        found.append(
            Fault(
                f"{branch.driver} does not reach its acoustic target: it lacks {lack[worst]:.1f} "
                f"dB at {hertz(float(f'{frequency[worst]:.3g}'))}, and more than {LACK:g} dB "
                f"between {low} and {high}, with its filter at the limit of "
                f"{branch.most_gain:g} dB; write a level of {branch.level - lack[worst]:.1f} or "
                "less, allow a higher most_gain, or add sections that ask for less there",
                file=case.path,
                key=f"crossover.{branch.driver}.level",
            )
        )
    return found


def _as_needed(prediction: xr.Dataset) -> xr.DataArray | float:
    """What computed filters are as needed over what taps make of them: no limit of the driver."""
    if "needed_filter" not in prediction:
        return 1.0
    return (abs(prediction.needed_filter) / abs(prediction["filter"])).fillna(1.0)
