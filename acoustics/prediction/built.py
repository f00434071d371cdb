"""How a built loudspeaker differs from its design: computed filters stay, levels stray."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.prediction.realised import Played


@dataclass(frozen=True)
class FixedFilters:
    """Computed filters as the design has them; a processor holds them whatever is built.

    filters: as they are needed, before a processor realised them and without the wait for its
    taps, V/V, complex (driver, frequency); only those of drivers with acoustic slopes count.
    targets: Pa, likewise without that wait. played: what a processor made of the filters, if one
    does.
    """

    filters: np.ndarray
    targets: np.ndarray
    played: Played | None

    def at(self, places: np.ndarray) -> FixedFilters:
        """The same at some of the frequencies, by their numbers."""
        played = self.played
        if played is not None:
            played = played._replace(filters=played.filters[:, places])
        return FixedFilters(self.filters[:, places], self.targets[:, places], played)


@dataclass(frozen=True)
class Build:
    """One built loudspeaker of a design.

    fixed: computed filters, None where the design has none. factor: what the sound of each driver
    is multiplied by, levels and delays that stray, complex (driver, frequency). heights: those of
    the design (m above the floor); None: heights of its own. aside_ear: with these, number of the
    ear height of the lines sideways; None leaves them out, and those over height at other seats
    than the main one.
    """

    fixed: FixedFilters | None
    factor: np.ndarray
    heights: tuple[float, ...] | None = None
    aside_ear: int | None = None


def fixed_filters(case: Case, prediction: xr.Dataset) -> FixedFilters | None:
    """The computed filters of a design, from its prediction; None where it has none."""
    if "target" not in prediction:
        return None
    targets = prediction.target.values
    if "taps" not in prediction or case.processor is None:
        return FixedFilters(prediction["filter"].values, targets, None)
    rate = case.processor.sampling_rate
    latency = round(prediction.attrs["latency"] * rate)
    back = np.exp(2j * np.pi * prediction.frequency.values * latency / rate)
    played = Played(
        prediction.taps.values,
        prediction.tap_delay.values,
        latency,
        np.where(np.isnan(prediction.needed_filter.values), np.nan, prediction["filter"].values),
    )
    return FixedFilters(prediction.needed_filter.values * back, targets * back, played)
