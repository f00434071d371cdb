"""What drawn figures tell, packed for the script that reads them off."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from acoustics.report.html.reading.panel import Field, Pair, Panel, Scale, Thing

FINEST = 100.0
"""steps of a field's values to one of their unit, so that rounding twice moves a tenth by little"""

UNKNOWN = -(2**15)
"""stands for a value that is not known"""

LEAST = 12.0
"""user units: a thing is at least this wide and high for the pointer"""


def as_json(reading: Sequence[Panel]) -> str:
    """What a script is given: plain ASCII, lengths in user units, the numbers of fields packed.

    A field's values are whole hundredths in 16 bits, the lower byte first, row by row from the
    lowest y on, in base 64.
    """
    return json.dumps([_told(panel) for panel in reading], separators=(",", ":"), allow_nan=False)


def _told(panel: Panel) -> dict[str, Any]:
    told: dict[str, Any] = {
        "name": panel.name,
        "box": _tenths(panel.left, panel.top, panel.right, panel.bottom),
        "x": _scale(panel.x, panel.x_ends),
        "y": _scale(panel.y, panel.y_ends),
        "log": panel.logarithmic,
        "after": panel.after,
        "things": [_thing(panel, thing) for thing in panel.things],
    }
    if panel.field is not None:
        told["field"] = _field(panel.field)
    if panel.traces:
        told |= {"along": panel.along, "unit": panel.value_unit}
        told["traces"] = [
            {"name": each.name, "at": _figures(each.at, 5), "values": _figures(each.values, 5)}
            for each in panel.traces
        ]
    return told


def _scale(scale: Scale | None, ends: Pair) -> dict[str, Any] | None:
    if scale is None:
        return None
    told = {"name": scale.name, "unit": scale.unit, "digits": scale.digits, "ends": list(ends)}
    if scale.ahead:
        told |= {"ahead": scale.ahead, "back": scale.back}
    if scale.edges is not None:
        told["edges"] = [list(edge) for edge in scale.edges]
    return told


def _field(field: Field) -> dict[str, Any]:
    most = -UNKNOWN - 1
    steps = np.clip(np.round(FINEST * field.values), -most, most)
    packed = np.where(np.isnan(steps), UNKNOWN, steps).astype("<i2").tobytes()
    return {
        "x": _figures(field.x, 6),
        "y": _figures(field.y, 6),
        "unit": field.unit,
        "words": field.words,
        "values": base64.b64encode(packed).decode("ascii"),
    }


def _thing(panel: Panel, thing: Thing) -> dict[str, Any]:
    x, y = _place(panel)
    ends = [
        (at - size / 2, at + size / 2) for at, size in zip(thing.middle, thing.size, strict=True)
    ]
    across, down = (
        sorted(place(end) for end in pair) for place, pair in zip((x, y), ends, strict=True)
    )
    (left, right), (top, bottom) = _widened(across), _widened(down)
    box = _tenths(left, top, right, bottom)
    told = {"name": thing.name, "words": thing.words, "box": box}
    return told | ({"round": True} if thing.round else {})


def _place(panel: Panel) -> tuple[Callable[[float], float], Callable[[float], float]]:
    """From coordinates to user units; things stand in panels whose directions are linear."""

    def linear(ends: Pair, first: float, last: float) -> Callable[[float], float]:
        return lambda value: first + (value - ends[0]) / (ends[1] - ends[0]) * (last - first)

    return (
        linear(panel.x_ends, panel.left, panel.right),
        linear(panel.y_ends, panel.bottom, panel.top),
    )


def _widened(ends: Sequence[float]) -> Pair:
    low, high = ends
    more = max(LEAST - (high - low), 0.0) / 2
    return low - more, high + more


def _tenths(*values: float) -> list[float]:
    return [round(value, 1) for value in values]


def _figures(values: np.ndarray, digits: int) -> list[float | None]:
    """Rounded; None, which JSON has, for what is not finite, which it has not."""
    return [float(f"{v:.{digits}g}") if np.isfinite(v) else None for v in values.tolist()]
