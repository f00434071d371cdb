"""How far each value of a draft may go, and why some may not at all."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from typing import get_args

import numpy as np

from acoustics.cabinet import edge_distances
from acoustics.case.design.model import Cabinet, Case
from acoustics.case.design.place_model import Moved, Span
from acoustics.case.geometry.shape import flat_body_of
from acoustics.case.text.phrases import listed
from acoustics.case.text.units import in_unit
from acoustics.conventions import GeometryError
from acoustics.studies.driver_map.face_places import MEETS
from acoustics.studies.layout_search.crossovers import Crossover, crossovers_of
from acoustics.studies.layout_search.sites import Site, sites_of
from acoustics.studies.layout_search.variant import treated_cabinet
from acoustics.studies.live.draft import EdgeKind, Edges
from acoustics.studies.live.edges import treatment_of
from acoustics.studies.live.grid import page_heights

TENTH, TOUCH = 1e-4, 5e-5
"""m: to which limits of places are rounded, inward, and nearer than which a frame is taken to touch
an edge"""

PARALLEL = 1e-9
"""sine of the angle between edges below which they do not meet"""

NEAREST, FARTHEST = 0.5, 6.0
"""m: between which people sit, about; farther or nearer where the case has it so"""

CLEAR = 0.1
"""m that ears keep from a wall behind them or above them"""

APART = 2 ** (1 / 6)
"""ratio that corners of neighbouring crossovers keep at least"""

FARTHEST_CORNER = 3.0
"""ratio to either side by which a corner moves at most"""

LONGEST_DELAY = 2e-3
"""s: 0.7 m of air, more than any driver lies behind another; longer where the case has it so"""

BELOW_HALF = 0.45
"""of a sampling rate: up to there corners go"""

LEAST_EDGE, MOST_EDGE, STEP = 1e-3, 0.1, 5e-4
"""m: sizes of edges, and to what the largest is rounded"""


@dataclass(frozen=True)
class PlaceLimits:
    """Spans of a driver's centre from the middle of its face, as its frame has room, m.

    On a face that is no rectangle they are those of the room's extent. `why_not` is empty for one
    that may move.
    """

    right: Span
    up: Span
    why_not: str = ""

    @property
    def movable(self) -> bool:
        """Whether the driver may move."""
        return not self.why_not


@dataclass(frozen=True)
class ValueLimits:
    """The span of a value, by what it is called; `why_not` is empty where it may change."""

    name: str
    span: Span
    why_not: str = ""

    @property
    def movable(self) -> bool:
        """Whether the value may change."""
        return not self.why_not


@dataclass(frozen=True)
class EdgeLimits:
    """The largest size of a kind of edges round the front, m; why there is none, or empty."""

    kind: EdgeKind
    most: float
    why_not: str = ""


@dataclass(frozen=True)
class Limits:
    """Limits of a draft of a case.

    places: of every driver. ear_height, distance: m. corners: Hz, those of `Draft.corners` first,
    then what cannot be moved. delays: s, of every driver. edges: of every kind.
    """

    places: tuple[PlaceLimits, ...]
    ear_height: Span
    distance: Span
    corners: tuple[ValueLimits, ...]
    delays: tuple[ValueLimits, ...]
    edges: tuple[EdgeLimits, ...]


def limits_of(case: Case) -> Limits:
    """How far a draft of a case may go, each value by itself, its edges as drawn."""
    sites = sites_of(case, [Moved(driver.name) for driver in case.drivers])
    return Limits(
        places=tuple(_place_limits(case, site) for site in sites),
        ear_height=ear_span(case),
        distance=distance_span(case),
        corners=corner_limits(case),
        delays=delay_limits(case),
        edges=tuple(_edge_limits(case, kind) for kind in get_args(EdgeKind)),
    )


def ear_span(case: Case) -> Span:
    """Heights of the ears within which the page hears them, m."""
    heights = page_heights(case)
    ceilings = [each.position - CLEAR for each in case.surfaces if each.name == "ceiling"]
    ears = case.seat.ear_heights
    return min(float(heights[0]), *ears), max(min([float(heights[-1]), *ceilings]), *ears)


def distance_span(case: Case) -> Span:
    """Distances of the main seat, m."""
    present = case.seat.main.distance
    walls = [each.position - CLEAR for each in case.surfaces if each.name == "rear wall"]
    return min(NEAREST, present), max(min([FARTHEST, *walls]), present)


def corner_limits(case: Case) -> tuple[ValueLimits, ...]:
    """Corners of crossovers, Hz: they keep their order, and below half a sampling rate."""
    found = crossovers_of(case)
    frequencies = [each.frequency for each in found]
    grid, rate = case.frequencies, case.sampling_rate
    most = grid.highest if rate is None else min(grid.highest, BELOW_HALF * rate)
    between = [math.sqrt(one * other) for one, other in itertools.pairwise(frequencies)]
    lows = [grid.lowest, *(at * APART**0.5 for at in between)]
    highs = [*(at / APART**0.5 for at in between), most]
    ends = zip(lows, highs, strict=True) if found else ()
    limits = []
    for crossover, (low, high) in zip(found, ends, strict=True):
        at = crossover.frequency
        span = (max(at / FARTHEST_CORNER, min(low, at)), min(at * FARTHEST_CORNER, max(high, at)))
        limits.append(ValueLimits(_crossover_name(case, crossover), span))
    passive = [driver.name for driver in case.drivers if case.is_passive(driver.name)]
    if passive:
        why = "the crossover is passive: its parts decide; fit them anew"
        limits.append(ValueLimits(listed(passive, "and"), (0.0, 0.0), why))
    return tuple(limits)


def delay_limits(case: Case) -> tuple[ValueLimits, ...]:
    """Delays of every driver, s."""
    delays = {branch.driver: branch.delay for branch in case.crossover}
    found = []
    for driver in case.drivers:
        present = delays.get(driver.name, 0.0)
        if case.is_passive(driver.name):
            why = "it hangs on the passive crossover and has no delay of its own"
            found.append(ValueLimits(driver.name, (present, present), why))
        else:
            found.append(ValueLimits(driver.name, (0.0, max(LONGEST_DELAY, present))))
    return tuple(found)


def _crossover_name(case: Case, crossover: Crossover) -> str:
    """Who hands over to whom: "woofer to tweeter"."""
    sides = [
        dict.fromkeys(case.drivers[at.driver].name for at in crossover.corners if at.low is upper)
        for upper in (False, True)
    ]
    return " to ".join(listed(list(side), "and") for side in sides if side)


def _place_limits(case: Case, site: Site) -> PlaceLimits:
    """How far the frame leaves its driver on the flat part of its face."""
    present = [(value, value) for value in site.driver.position]
    spans = _frame_room(case, site)
    if spans is None or max(high - low for low, high in spans) <= 0.0:
        frame = in_unit(site.driver.frame_diameter, "mm", digits=4)
        why = f"its frame ({frame}) has no room to move on its face"
        return PlaceLimits(present[0], present[1], why)
    right, up = (
        (min(low, now), max(high, now))
        for (low, high), (now, _) in zip(spans, present, strict=True)
    )
    return PlaceLimits(right, up)


def _frame_room(case: Case, site: Site) -> tuple[Span, Span] | None:
    """Ends of where the frame is on the face, inside by a tenth of a millimetre about."""
    solid = flat_body_of(case.cabinet)

    def margins(right: float, up: float) -> np.ndarray:
        return edge_distances(solid, site.face, site.frame.points(np.array(right), np.array(up)))

    # Distances from the lines of edges are linear in the place.
    at_middle = margins(0.0, 0.0)
    slopes = np.stack([margins(1.0, 0.0) - at_middle, margins(0.0, 1.0) - at_middle], axis=-1)
    room = at_middle - site.driver.frame_diameter / 2 - TOUCH
    corners = _corners_within(slopes, room)
    if not len(corners):
        return None
    (left, bottom), (right, top) = corners.min(axis=0), corners.max(axis=0)
    return _inward(float(left), float(right)), _inward(float(bottom), float(top))


def _corners_within(slopes: np.ndarray, room: np.ndarray) -> np.ndarray:
    """Corners of the region in which every slopes·place + room is 0 or more: (corner, 2), m."""
    first, second = np.triu_indices(len(room), 1)
    pairs = np.stack([slopes[first], slopes[second]], axis=1)
    cross = np.abs(np.linalg.det(pairs)) > PARALLEL
    ends = -np.stack([room[first], room[second]], axis=1)
    places = np.linalg.solve(pairs[cross], ends[cross][..., None])[..., 0]
    answer: np.ndarray = places[(places @ slopes.T + room >= -MEETS).all(axis=1)]
    return answer


def _inward(low: float, high: float) -> Span:
    """Rounded, as far as that leaves a way."""
    ends = TENTH * math.ceil(low / TENTH), TENTH * math.floor(high / TENTH)
    middle = (low + high) / 2
    return (round(ends[0], 9), round(ends[1], 9)) if ends[0] <= ends[1] else (middle, middle)


def _edge_limits(case: Case, kind: EdgeKind) -> EdgeLimits:
    """The largest size for which the body and a place for every driver remain."""
    if kind == "as drawn":
        return EdgeLimits(kind, 0.0)
    if case.cabinet.shape == "plate" and case.cabinet.depth == 0:
        return EdgeLimits(kind, 0.0, "a plate without thickness has no edges to cut or round")
    if why := _why_no_edges(case, Edges(kind, LEAST_EDGE)):
        return EdgeLimits(kind, 0.0, why)
    if kind == "square":
        return EdgeLimits(kind, 0.0)
    low, high = 1, round(MOST_EDGE / STEP) + 1
    while high - low > 1:
        middle = (low + high) // 2
        if _why_no_edges(case, Edges(kind, middle * STEP)):
            high = middle
        else:
            low = middle
    return EdgeLimits(kind, max(round(low * STEP, 9), LEAST_EDGE))


def _why_no_edges(case: Case, edges: Edges) -> str:
    """Why a case cannot have edges; empty if it can."""
    try:
        treatment = treatment_of(case.cabinet, edges)
        assert treatment is not None
        cabinet: Cabinet = treated_cabinet(case.cabinet, treatment)
        changed = replace(case, cabinet=cabinet)
        sites = sites_of(changed, [Moved(driver.name) for driver in case.drivers])
    except GeometryError as error:
        return str(error)
    for site in sites:
        if _frame_room(changed, site) is None:
            return f"the frame of '{site.driver.name}' would have no room on its face"
    return ""
