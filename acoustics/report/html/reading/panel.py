"""A panel of a drawn figure as a script reads it off: where it is, what its places are called."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes

POINTS = 72.0
"""user units of a drawn figure to the inch"""

FINEST = 100.0
"""steps of a field's values to one of their unit, so that a tenth is rounded only once"""

UNKNOWN = -(2**15)
"""stands for a value that is not known"""

LEAST = 12.0
"""user units: a thing is at least this wide and high for the pointer"""

Pair = tuple[float, float]


@dataclass(frozen=True)
class Scale:
    """One of the two directions of a panel.

    Args:
        name: what it is: "Frequency".
        unit: of what is told: "Hz", "°", "mm", "m", "dB", "ohm".
        ahead, back: words after a value from 0 up, and after one below, which is told positive;
            without `back` values have signs.
        digits: behind the point.
        edges: where something ends, and what the ends are called, for how far from them a place
            is: ((−110, "left"), (110, "right")).
    """

    name: str
    unit: str
    ahead: str = ""
    back: str = ""
    digits: int = 0
    edges: tuple[tuple[float, str], tuple[float, str]] | None = None


@dataclass(frozen=True)
class Field:
    """Numbers all over a panel: values of shape (y, x) at ascending x and y; NaN is not known."""

    x: np.ndarray
    y: np.ndarray
    values: np.ndarray
    unit: str
    words: str


@dataclass(frozen=True)
class Trace:
    """A curve: what it is called, its values at ascending places along one direction."""

    name: str
    at: np.ndarray
    values: np.ndarray


@dataclass(frozen=True)
class Thing:
    """Something in a panel that has a name, and words about it.

    Args:
        name, words: of it.
        middle, size: in the panel's coordinates, across and up.
        round: whether it fills the ellipse in that box alone.
    """

    name: str
    words: str
    middle: Pair
    size: Pair
    round: bool = False


@dataclass(frozen=True)
class Panel:
    """A panel of a figure, in user units from the figure's upper left.

    Args:
        name: what it shows, where a figure has several.
        left, top, right, bottom: its sides.
        x, y: its directions; None where places have no numbers.
        x_ends, y_ends: values at its left and right, and at its bottom and top.
        after: words after a place.
        logarithmic: whether x is.
        field: numbers all over it.
        traces: curves.
        along: which direction the curves' places are counted in, "x" or "y".
        value_unit: of the curves' values.
        things: what stands in it.
    """

    name: str
    left: float
    top: float
    right: float
    bottom: float
    x_ends: Pair
    y_ends: Pair
    x: Scale | None = None
    y: Scale | None = None
    after: str = ""
    logarithmic: bool = False
    field: Field | None = None
    traces: tuple[Trace, ...] = ()
    along: str = "x"
    value_unit: str = ""
    things: tuple[Thing, ...] = ()


Reading = tuple[Panel, ...]
"""What a figure tells, panel by panel."""


def panel_of(axes: Axes, name: str = "", shift: Pair = (0.0, 0.0), **more: Any) -> Panel:
    """The panel that some axes are, once their figure has been drawn.

    Args:
        axes: linear, or logarithmic across.
        name: as `Panel` has it.
        shift: what is told of a place less what its coordinates are.
        more: the other arguments of `Panel`.
    """
    figure = axes.get_figure(root=True)
    assert figure is not None
    width, height = POINTS * figure.get_size_inches()
    box = axes.get_position()
    x_ends, y_ends = (
        (low + by, high + by)
        for (low, high), by in zip((axes.get_xlim(), axes.get_ylim()), shift, strict=True)
    )
    return Panel(
        name=name,
        left=box.x0 * width,
        right=box.x1 * width,
        top=(1 - box.y1) * height,
        bottom=(1 - box.y0) * height,
        x_ends=x_ends,
        y_ends=y_ends,
        logarithmic=axes.get_xscale() == "log",
        **more,
    )


def as_json(reading: Sequence[Panel]) -> str:
    """What a script is given: plain ASCII, lengths in user units, the numbers of fields packed.

    A field's values are whole hundredths in 16 bits, the lower byte first, row by row from the
    lowest y on, in base 64.
    """
    return json.dumps([_told(panel) for panel in reading], separators=(",", ":"))


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


def with_things(panel: Panel, things: Sequence[Thing]) -> Panel:
    """The panel with these things in it."""
    return replace(panel, things=tuple(things))
