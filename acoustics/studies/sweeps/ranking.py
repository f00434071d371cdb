"""Which points of a sweep are the best in what, and how many cannot be told from them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.listening.error import dip_error
from acoustics.studies.sweeps.space import SAMPLE
from acoustics.studies.yardsticks.qualities import Quality, quality_of

QUALITIES = (
    *(
        quality_of(answer)
        for answer in ("axis_ripple", "window_ripple", "relative_ripple", "side_difference")
    ),
    Quality("evenness at the seat (ripple)", "seat_ripple", "lower", "dB"),
    quality_of("least_beamwidth"),
    Quality("depth of the floor's deepest dip", "floor_dip", "lower", "dB"),
    replace(quality_of("window_height"), answer="lobe_window"),
    quality_of("height_span"),
    quality_of("aside_span"),
)
"""Numbers of a sweep by which its points are ranked."""

TWO_LEVELS = ("relative_ripple", "side_difference")
"""numbers that compare two levels, and are off by twice as much as one"""


@dataclass(frozen=True)
class Standing:
    """How the points of a sweep stand in one quality.

    `best` and `worst` are indices of points, counted as in the flattened arrays; `values` of all,
    NaN where there is none; `alike` says which points cannot be told from the best.
    """

    quality: Quality
    values: np.ndarray
    best: int
    worst: int
    alike: np.ndarray

    @property
    def draw(self) -> bool:
        """Whether no point can be told from another."""
        return bool(self.alike[np.isfinite(self.values)].all())


def swept_dims(found: xr.Dataset) -> tuple[str, ...]:
    """Dimensions of a sweep's points."""
    return tuple(str(dim) for dim in found.axis_ripple.dims)


def standings(found: xr.Dataset) -> list[Standing]:
    """How the points stand in every quality that is known of some of them."""
    each = (standing(found, quality) for quality in QUALITIES)
    return [one for one in each if one is not None]


def standing(found: xr.Dataset, quality: Quality) -> Standing | None:
    """How the points stand in one quality; None where it is known of none.

    Points can be told apart where they differ by more than their errors together: that of a level
    for a ripple, twice that for what compares two levels, `dip_error` for a dip. Of widths and
    heights no error is kept.
    """
    values = found[quality.answer].values.ravel()
    if not np.isfinite(values).any():
        return None
    badness = -values if quality.better == "higher" else np.abs(values)
    best, worst = int(np.nanargmin(badness)), int(np.nanargmax(badness))
    doubt = _doubts(found, quality, values)
    alike = badness - badness[best] <= doubt + doubt[best]
    return Standing(quality, values, best, worst, alike)


def _doubts(found: xr.Dataset, quality: Quality, values: np.ndarray) -> np.ndarray:
    if quality.unit != "dB":
        return np.zeros(values.shape)
    u: np.ndarray = found.level_uncertainty.values.ravel()
    if quality.answer == "floor_dip":
        return dip_error(u, values)
    return 2 * u if quality.answer in TWO_LEVELS else u


def keys_at(found: xr.Dataset, point: int) -> list[tuple[xr.DataArray, float]]:
    """Swept keys and their values at a point; the number of a sample's point among them."""
    dims = swept_dims(found)
    place = np.unravel_index(point, [found.sizes[dim] for dim in dims])
    at = found.isel(dict(zip(dims, map(int, place), strict=True)))
    return [(found[str(name)], float(at[name])) for name in key_names(found)]


def key_names(found: xr.Dataset) -> list[str]:
    """Names of the swept keys, those drawn together last."""
    dims = swept_dims(found)
    drawn = [str(name) for name in found.coords if name != SAMPLE and found[name].dims == (SAMPLE,)]
    return [*(dim for dim in dims if dim != SAMPLE), *drawn]
