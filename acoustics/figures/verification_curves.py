"""Curves of a verification for its figures: measured, designed with its band, and explained."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.conventions import REFERENCE_PRESSURE


@dataclass(frozen=True, eq=False)
class ReadingCurves:
    """One reading on the frequencies at which it is compared.

    Attributes:
        frequency: Hz, (frequency,), like all that follows.
        measured: dB re 20 µPa, or ohm.
        designed: the same of the design, set right in level and place.
        low, high: ends of the band of healthy builds about the design.
        found: the same of the likeliest explanation; None where that is the design.
        difference: measured less designed, dB or per cent; `least` and `most` the band's ends.
        explained: the likeliest explanation less designed, likewise.
        phase: measured less designed, degrees; `phase_half` likewise; None without phase.
        phase_explained: the likeliest explanation less designed, degrees.
    """

    frequency: np.ndarray
    measured: np.ndarray
    designed: np.ndarray
    low: np.ndarray
    high: np.ndarray
    found: np.ndarray | None
    difference: np.ndarray
    least: np.ndarray
    most: np.ndarray
    explained: np.ndarray | None
    phase: np.ndarray | None
    phase_half: np.ndarray
    phase_explained: np.ndarray | None


def reading_curves(found: xr.Dataset, row: int) -> ReadingCurves:
    """Curves of the reading at `row` of `told_reading`."""
    told = found.isel(told_reading=row)
    banded = found.sel(banded_reading=str(told.told_reading.values))
    banded = banded.reindex(banded_frequency=told.told_frequency.values)
    there = np.isfinite(told.told_measured.values) & np.isfinite(banded.banded_difference.values)
    frequency = told.told_frequency.values[there]
    measured, designed, best = (
        told[name].values[there] for name in ("told_measured", "told_designed", "told_found")
    )
    difference, half, phase, phase_half = (
        banded[f"banded_{name}"].values[there]
        for name in ("difference", "half_width", "phase_difference", "phase_half_width")
    )
    # Where the design is the likeliest explanation there is nothing to explain.
    other = not np.array_equal(best, designed)
    is_response = str(told.told_unit.values) == "Pa"
    own: np.ndarray = np.abs(measured)
    explained_ratio = np.abs(best) / own
    if is_response:
        level = 20 * np.log10(own / REFERENCE_PRESSURE)
        middle = level - difference
        low, high, least = middle - half, middle + half, -half
        shown = level + 20 * np.log10(explained_ratio)
        explained = shown - middle
    else:
        level, middle = own, own / (1 + difference / 100)
        # As wide in ratio downward as upward.
        low, high = middle / (1 + half / 100), middle * (1 + half / 100)
        least = 100 * (low / middle - 1)
        shown = own * explained_ratio
        explained = 100 * (shown / middle - 1)
    has_phase = bool(told.told_has_phase.values)
    turned = phase + np.degrees(np.angle(best / measured))
    return ReadingCurves(
        frequency=frequency,
        measured=level,
        designed=middle,
        low=low,
        high=high,
        found=shown if other else None,
        difference=difference,
        least=least,
        most=half,
        explained=explained if other else None,
        phase=phase if has_phase else None,
        phase_half=phase_half,
        phase_explained=(turned + 180) % 360 - 180 if has_phase and other else None,
    )


def designed_between(found: xr.Dataset, lower: int, upper: int) -> np.ndarray:
    """The design's reading at `upper` over that at `lower`, complex, (told_frequency,).

    Set right in level, delay and place only. In `told_designed` everything that strays is fitted
    too, which is as close as a healthy build comes and not what was drawn.
    """
    return ratio_of(_designed(found, upper), _designed(found, lower))


def ratio_of(upper: np.ndarray, lower: np.ndarray) -> np.ndarray:
    """One reading over another, complex; NaN where either is not compared."""
    there = np.isfinite(upper) & np.isfinite(lower)
    answer = np.full(there.shape, np.nan, dtype=complex)
    answer[there] = upper[there] / lower[there]
    return answer


def _designed(found: xr.Dataset, row: int) -> np.ndarray:
    told = found.isel(told_reading=row)
    banded = found.sel(banded_reading=str(told.told_reading.values))
    banded = banded.reindex(banded_frequency=told.told_frequency.values)
    size = 10 ** (-banded.banded_difference.values / 20)
    turn = np.exp(-1j * np.radians(banded.banded_phase_difference.values))
    answer: np.ndarray = told.told_measured.values * size * turn
    return answer
