"""The question of where drivers sit best: what may move, within what, and by what it is judged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Quality = Literal[
    "ripple off axis",
    "common ripple",
    "ripple on axis",
    "sides",
    "seat level",
    "floor dip",
]
"""What a layout may be judged by, as in a placement map: ripple relative to the reference axis in
the listening window, which no filter can take away; ripple common to its directions; ripple on the
reference axis; difference of left and right; mean level at the main seat; depth of the floor's
deepest dip there."""

Span = tuple[float, float]
"""lowest and highest"""


@dataclass(frozen=True)
class Moved:
    """A driver that may move on its face: spans of its centre from the face's, m; None for all."""

    driver: str
    right: Span | None = None
    up: Span | None = None


@dataclass(frozen=True)
class Treatment:
    """Edges to try, in place of those of the case; lengths in m.

    `rounds` are (edge, radius), `chamfers` (edge, setbacks) as the cabinet has them; none of both
    leaves the edges sharp. `name` tells them apart.
    """

    name: str
    rounds: tuple[tuple[str, float], ...] = ()
    chamfers: tuple[tuple[str, tuple[float, float]], ...] = ()


@dataclass(frozen=True)
class Delayed:
    """A driver whose delay may change, and the span of it, s."""

    driver: str
    span: Span


@dataclass(frozen=True)
class Place:
    """What may change about a layout, within what, and by what it is judged.

    `aim` decides; `against` is the other aim of the trade-off front, None for no front. `moved`
    drivers, empty for all on the front. `gap` (m) is the wood that stays between frames and at the
    edges; `apart` (m), if not None, how far centres of drivers that hand over to each other may be
    apart at most. `ear_height` (m above the floor), if not None, is where the centre of the driver
    of the reference axis must be, or of the highest playing one. `corners` (Hz) are spans for
    the crossovers' corners, from the lowest crossover up, empty to leave them. `treatments`: empty
    to leave the edges. `band` (Hz) and `smoothing` as in a map; `window` degrees to either side.
    """

    aim: Quality = "ripple off axis"
    against: Quality | None = "sides"
    moved: tuple[Moved, ...] = ()
    gap: float = 0.0
    apart: float | None = None
    ear_height: Span | None = None
    corners: tuple[Span, ...] = ()
    delays: tuple[Delayed, ...] = ()
    treatments: tuple[Treatment, ...] = ()
    band: Span = (300.0, 10_000.0)
    smoothing: float | None = 6.0
    window: float = 30.0
    seed: int = 1
