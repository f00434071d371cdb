"""Where everything in a chart is: scales, ticks, places of the curves' names."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from acoustics.figures.style import FINE_FREQUENCIES, FREQUENCIES, ORDERED, SERIES
from acoustics.report.html.content import Chart

WIDTH, HEIGHT = 680.0, 400.0
LEFT, RIGHT, TOP, BOTTOM = 64.0, 160.0, 16.0, 52.0
"""user units: of the picture, and of the room round the plot"""

DASHES = ((), (9.0, 3.0), (3.0, 2.5), (11.0, 3.0, 2.5, 3.0), (1.5, 2.0), (15.0, 4.0))
"""user units: drawn and left out, in turn"""

NAME_GAP = 17.0
"""user units between names of curves"""

MOST_VALUES = 8
"""lines of a grid over values"""


def across(chart: Chart, frequency: float | np.ndarray) -> np.ndarray:
    """Place of a frequency from the left."""
    low, high = ends(chart)
    share = np.log(np.asarray(frequency) / low) / math.log(high / low)
    return LEFT + share * (WIDTH - LEFT - RIGHT)


def down(chart: Chart, value: float | np.ndarray) -> np.ndarray:
    """Place of a value from the top."""
    share = (chart.high - np.asarray(value)) / (chart.high - chart.low)
    return TOP + share * (HEIGHT - TOP - BOTTOM)


def ends(chart: Chart) -> tuple[float, float]:
    """Lowest and highest frequency shown, Hz."""
    return float(chart.frequency[0]), float(chart.frequency[-1])


def frequency_lines(chart: Chart) -> list[tuple[float, bool]]:
    """Frequencies of the grid, and whether each is labelled."""
    low, high = ends(chart)
    labelled = (10, *FREQUENCIES)
    fine = sorted({*FINE_FREQUENCIES, *labelled})
    return [(float(f), f in labelled) for f in fine if low * 0.999 <= f <= high * 1.001]


def value_lines(chart: Chart) -> list[float]:
    """Values of the grid: round steps, at most `MOST_VALUES` of them."""
    rough = (chart.high - chart.low) / MOST_VALUES
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(m * power for m in (1, 2, 5, 10) if m * power >= rough * 0.999)
    first = math.ceil(chart.low / step - 1e-9)
    last = math.floor(chart.high / step + 1e-9)
    return [round(i * step, 10) for i in range(first, last + 1)]


def colour(chart: Chart, number: int) -> str:
    """Of a curve; the main one is ink."""
    curve = chart.curves[number]
    if curve.main:
        return "#1c222b"
    if chart.ordered:
        share = number / max(1, len(chart.curves) - 1)
        red, green, blue, _ = ORDERED(share)
        return "#" + "".join(f"{round(255 * part):02x}" for part in (red, green, blue))
    return SERIES[_among_others(chart, number) % len(SERIES)]


def dash(chart: Chart, number: int) -> tuple[float, ...]:
    """Of a curve; the main one is whole, and no other of a few is alike."""
    if chart.curves[number].main:
        return DASHES[0]
    others = len(chart.curves) > sum(not curve.main for curve in chart.curves)
    return DASHES[(_among_others(chart, number) + others) % len(DASHES)]


def stroke(chart: Chart, number: int) -> float:
    """Width of a curve."""
    return 2.8 if chart.curves[number].main else 1.9


def _among_others(chart: Chart, number: int) -> int:
    return sum(not curve.main for curve in chart.curves[:number])


def name_places(chart: Chart) -> list[tuple[float, float]]:
    """Of every curve where it ends and where its name stands, from the top; NaN for empty ones."""
    found = [_end(chart, curve.values) for curve in chart.curves]
    lowest, highest = TOP + 6.0, HEIGHT - BOTTOM - 2.0
    order = sorted((end, i) for i, end in enumerate(found) if not math.isnan(end))
    places = spread([end for end, _ in order], lowest, highest)
    named = {i: place for (_, i), place in zip(order, places, strict=True)}
    return [(end, named.get(i, math.nan)) for i, end in enumerate(found)]


def spread(wanted: Sequence[float], lowest: float, highest: float) -> list[float]:
    """Places in ascending order moved as little as need be to be `NAME_GAP` apart.

    Where there is no room for that they stand evenly.
    """
    count = len(wanted)
    if count < 2:
        return [min(max(place, lowest), highest) for place in wanted]
    gap = min(NAME_GAP, (highest - lowest) / (count - 1))
    places: list[float] = []
    for place in wanted:
        places.append(max(place, lowest, *(p + gap for p in places[-1:])))
    for i in range(count - 1, -1, -1):
        places[i] = min(places[i], highest - gap * (count - 1 - i))
    return places


def _end(chart: Chart, values: np.ndarray) -> float:
    """Where a curve leaves the plot on the right, from the top."""
    known = np.flatnonzero(np.isfinite(values))
    if not known.size:
        return math.nan
    return float(np.clip(down(chart, values[known[-1]]), TOP, HEIGHT - BOTTOM))
