"""A panel of a drawn figure that can be read off: where it is, what its places are called."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes

POINTS = 72.0
"""user units of a drawn figure to the inch"""

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
