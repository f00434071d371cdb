"""What a study of tolerances says: how wide bands are, what matters, where the design stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND
from acoustics.case.text.units import in_unit
from acoustics.studies.tolerance.share import share_met
from acoustics.studies.wording import WRITTEN

CURVES = {
    "on_axis": "on the reference axis",
    "listening_window": "in the listening window",
    "estimated_in_room": "estimated in-room",
}
"""Curves whose bands are told first, in words."""

SEATS = {
    "free space": "at the seat, without reflections",
    "with reflections": "at the seat, with reflections",
}
"""Surroundings of the main seat, in words."""

NAMES = {
    "axis_ripple": "ripple on the axis",
    "axis_tilt": "tilt on the axis",
    "axis_level": "level on the axis",
    "window_ripple": "ripple of the window",
    "window_tilt": "tilt of the window",
    "relative_ripple": "ripple relative to the axis",
    "seat_ripple": "ripple at the seat",
    "lobe_window": "lobe window",
}
"""General figures in few words; aims have names of their own."""

LOWER = ("axis_ripple", "window_ripple", "relative_ripple", "seat_ripple")
HIGHER = ("lobe_window",)
"""General figures of which less, or more, is better."""

IDLE = 0.01
"""Total index: a spread below it in every figure does not matter."""

OPEN = 1e-6
"""m: a lobe window this near to the span of all heights may be larger still"""

Better = Literal["lower", "higher", ""]


@dataclass(frozen=True)
class Straying:
    """Half the width of a band between 300 Hz and 10 kHz: the largest, where (Hz), the median (dB).

    `where` says in words which curve it is.
    """

    where: str
    largest: float
    frequency: float
    median: float


@dataclass(frozen=True)
class Part:
    """The part that a spread has in the variance of a figure."""

    spread: int
    first: float
    total: float

    @property
    def steadier(self) -> float:
        """How much less the figure would stray, on average, were the spread none, as a share."""
        return 1 - float(np.sqrt(1 - np.clip(self.first, 0, 1)))


def half_width(curve: xr.DataArray) -> xr.DataArray:
    """Half the width of a band, from a curve over percentile."""
    return (curve.isel(percentile=-1) - curve.isel(percentile=0)) / 2


def main_seat(found: xr.Dataset, name: str = "seat_level") -> xr.DataArray:
    """The level that the first listener at the main seat hears; `design_…` for the design's."""
    return found[name].isel(listener=0)


def strayings(found: xr.Dataset) -> list[Straying]:
    """How far curves stray on the axis, in the window, in the room and at the seat.

    Of the ear heights the widest band counts. Empty where no frequency lies in the band.
    """
    halves = {words: half_width(found[name]) for name, words in CURVES.items()}
    seat = half_width(main_seat(found)).max("ear_height")
    halves |= {words: seat.sel(surroundings=name, drop=True) for name, words in SEATS.items()}
    answer = []
    for words, half in halves.items():
        inside = half.sel(frequency=slice(*BAND))
        if not inside.size or not np.isfinite(inside).any():
            continue
        at = int(np.nanargmax(inside.values))
        values = float(inside[at]), float(inside.frequency[at]), float(inside.median())
        answer.append(Straying(words, *values))
    return answer


def aim_figures(found: xr.Dataset) -> range:
    """Numbers of the figures of aims, which come last."""
    return range(found.sizes["figure"] - found.sizes["aim"], found.sizes["figure"])


def told_figures(found: xr.Dataset) -> list[int]:
    """Numbers of the figures worth telling: those of aims, then general ones that differ from them.

    Figures that are known of no build are left out.
    """
    values = found.figure_value.values
    aims = aim_figures(found)
    told: list[int] = []
    for n in [*aims, *range(aims.start)]:
        known = np.isfinite(values[:, n]).any()
        twice = n < aims.start and any(_alike(values[:, n], values[:, m]) for m in aims)
        told += [n] if known and not twice else []
    return told


def unknown_figures(found: xr.Dataset) -> list[int]:
    """Numbers of the figures that are known of no build."""
    none = ~np.isfinite(found.figure_value.values).any(axis=0)
    return [int(n) for n in np.flatnonzero(none)]


def figure_name(found: xr.Dataset, figure: int) -> str:
    """A figure in few words."""
    name = str(found.figure.values[figure])
    return NAMES.get(name, name) if figure not in aim_figures(found) else name


def better(found: xr.Dataset, figure: int) -> Better:
    """Which end of a figure is wanted; empty where neither is."""
    aims = aim_figures(found)
    if figure in aims:
        aim = found.isel(aim=figure - aims.start)
        least, most = (np.isfinite(float(aim[name])) for name in ("aim_at_least", "aim_at_most"))
        return "" if least == most else "higher" if least else "lower"
    name = str(found.figure.values[figure])
    return "lower" if name in LOWER else "higher" if name in HIGHER else ""


def is_open(found: xr.Dataset, figure: int, value: float) -> bool:
    """Whether a lobe window reaches as far as heights are predicted, and may be larger."""
    if "lobe_window" not in str(found.figure.values[figure]) and not str(
        found.figure_long_name.values[figure]
    ).startswith("lobe window"):
        return False
    heights = found.height.values
    return bool(value >= heights[-1] - heights[0] - OPEN)


def parts_of(found: xr.Dataset, figure: int) -> list[Part]:
    """Which spreads a figure strays by, the one with the largest part first; empty if not told."""
    first = found.first_order.transpose("spread", "figure").values[:, figure]
    total = found.total_order.transpose("spread", "figure").values[:, figure]
    if not np.isfinite(total).any():
        return []
    order = np.argsort(-total, kind="stable")
    return [Part(int(n), float(first[n]), float(total[n])) for n in order]


def leading(found: xr.Dataset, figures: Sequence[int], most: int) -> list[int]:
    """Numbers of the spreads that matter to any of these figures, the largest part first."""
    total = found.total_order.transpose("spread", "figure").values[:, list(figures)]
    largest = np.nan_to_num(total).max(axis=1, initial=0.0)
    return [int(n) for n in np.argsort(-largest, kind="stable")[:most] if largest[n] >= IDLE]


def idle_spreads(found: xr.Dataset) -> list[int]:
    """Numbers of the spreads that matter to none of the figures whose indices are told."""
    total = found.total_order.transpose("spread", "figure").values
    known = np.isfinite(total).all(axis=0)
    if not known.any():
        return []
    return [int(n) for n in np.flatnonzero((total[:, known] < IDLE).all(axis=1))]


def worse_share(found: xr.Dataset, figure: int) -> float:
    """The share of the builds that are worse than the design.

    NaN where neither end is wanted, or all are alike.
    """
    wanted = better(found, figure)
    own = float(found.design_figure[figure])
    values = found.figure_value.transpose("build", "figure").values[:, figure]
    values = values[np.isfinite(values)]
    if not wanted or not values.size or not np.isfinite(own):
        return np.nan
    if _alike(values, np.full(values.shape, own)):
        return np.nan
    worse = values > own if wanted == "lower" else values < own
    return float(worse.mean())


def kept_aims(found: xr.Dataset) -> list[int]:
    """Numbers of the aims that the design itself meets."""
    return [int(n) for n in np.flatnonzero(found.design_aim_met.values == 1)]


def share_of_all(found: xr.Dataset, aims: Sequence[int]) -> tuple[float, float, float]:
    """Share of the builds that meet all of some aims, and its 95 % interval, as `share_met`.

    Builds of which one of them is not known do not count.
    """
    met = found.aim_met.transpose("build", "aim").values[:, list(aims)]
    met = met[np.isfinite(met).all(axis=1)]
    return share_met(int(met.all(axis=1).sum()), len(met))


def hundred(found: xr.Dataset, aim: int) -> str:
    """Builds of 100 that meet an aim, with the interval: "97 (95 to 98)"."""
    one = found.isel(aim=aim)
    share = _interval(float(one.share_met), float(one.share_met_low), float(one.share_met_high))
    known = float(one.share_known)
    return share if known == 1 or not known else f"{share}, known of {per_hundred(known)}"


def per_hundred(share: float) -> str:
    """A share as builds of 100: never all or none where it is not so."""
    count = 100 * share
    if 0 < count < 1 or 99 < count < 100:
        return f"{np.clip(count, 0.1, 99.9):.1f}"
    return f"{count:.0f}"


def _interval(share: float, low: float, high: float) -> str:
    if np.isnan(share):
        return "not known"
    return f"{per_hundred(share)} ({per_hundred(low)} to {per_hundred(high)})"


def within_words(found: xr.Dataset, spread: int) -> str:
    """How far a spread goes: "±5 %", "±1 mm", "±0.5 dB"."""
    one = found.isel(spread=spread)
    within, unit = float(one.spread_within), str(one.spread_units.values)
    if bool(one.spread_relative):
        return f"±{100 * within:.3g} %"
    if unit == "K":  # a difference: 5 °C of it are 5 K
        return f"±{within:.3g} K"
    if unit in WRITTEN:
        return f"±{in_unit(within, WRITTEN[unit], digits=4)}"
    return f"±{within:.4g}" if unit == "1" else f"±{within:.4g} {unit}"


def spread_name(found: xr.Dataset, spread: int) -> str:
    """A spread in words, a place called that: "woofer up (place)"."""
    name = str(found.spread.values[spread])
    return f"{name} (place)" if str(found.spread_kind.values[spread]) == "position" else name


def _alike(one: np.ndarray, other: np.ndarray) -> bool:
    return np.allclose(one, other, rtol=1e-6, atol=1e-9, equal_nan=True)
