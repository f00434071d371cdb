"""How exactly a layout must be kept to: each value alone, either way from the best."""

from __future__ import annotations

import numpy as np

from acoustics.studies.driver_map.flatness import LEAST_WORSE, SHARE_WORSE
from acoustics.studies.layout_search.answer import Freedom
from acoustics.studies.layout_search.figures import SENSE
from acoustics.studies.layout_search.optimiser import judged_aims
from acoustics.studies.layout_search.tabled import tabled
from acoustics.studies.layout_search.variables import Variable
from acoustics.studies.layout_search.variant import Variant

STEP = 2.5e-3
"""m: between places along a line, solved, that others are interpolated from"""

LOOKED = 80
"""values at which a line is looked at to either side"""

UNITS = {"right": "m", "up": "m", "corner": "Hz", "delay": "s"}


def within_of(aim: float, sense: int) -> float:
    """By how many dB the aim may be worse and still be as good: the rule of a map."""
    return max(LEAST_WORSE, SHARE_WORSE * abs(aim) if sense > 0 else 0.0)


def freedom_of(variant: Variant, row: np.ndarray) -> tuple[Freedom, ...]:
    """How far each value of a layout may go until its aim is worse, all others kept.

    Fields along each line are solved every 2.5 mm and interpolated between.

    Args:
        variant: the cabinet.
        row: the layout's values.
    """
    return tuple(_alone(variant, row, number) for number in range(len(variant.unknowns.variables)))


def _alone(variant: Variant, row: np.ndarray, number: int) -> Freedom:
    variable = variant.unknowns.variables[number]
    aim = variant.asked.aim
    boxes = [
        np.array([[at, at] for at in row[2 * n : 2 * n + 2]])
        for n in range(len(variant.unknowns.sites))
    ]
    if variable.kind in ("right", "up"):
        axis = 0 if variable.kind == "right" else 1
        low, high = min(variable.low, row[number]), max(variable.high, row[number])
        boxes[variable.owner][axis] = low, high
    line = tabled(variant, (aim,), boxes, STEP)
    best = float(judged_aims(line, row[None])[0, 0])
    within = within_of(best, SENSE[aim])
    found, told = {}, {}
    for way, end in (("low", variable.low), ("high", variable.high)):
        values = _towards(variable, row[number], end)
        rows = np.repeat(row[None], values.size, axis=0)
        rows[:, number] = values
        good = variant.shortfall(rows) <= 0
        aims = np.full(values.size, np.nan)
        if good.any():
            aims[good] = judged_aims(line, rows[good])[:, 0]
        told[way] = list(zip(values.tolist(), (SENSE[aim] * aims).tolist(), strict=True))
        placed = variable.kind in ("right", "up")
        found[way] = _reach(values, good, aims - best - within, "rule" if placed else "span")
    return Freedom(
        variable.name, UNITS[variable.kind], float(row[number]),
        found["low"][0], found["high"][0], found["low"][1], found["high"][1],
        (*told["low"][:0:-1], *told["high"]),
    )  # fmt: skip


def _towards(variable: Variable, start: float, end: float) -> np.ndarray:
    first, last = (float(variable.share(np.array(each))) for each in (start, end))
    shares = np.linspace(first, last, LOOKED)
    values = variable.value(shares)
    values[0] = start
    return values


def _reach(values: np.ndarray, good: np.ndarray, over: np.ndarray, last: str) -> tuple[float, str]:
    """Where a line first is worse or forbidden, and which; `last` is what ends the line."""
    for n in range(1, values.size):
        if not good[n]:
            return float(values[n - 1]), "rule"
        if over[n] > 0:
            part = -over[n - 1] / (over[n] - over[n - 1])
            return float(values[n - 1] + part * (values[n] - values[n - 1])), "worse"
    return float(values[-1]), last
