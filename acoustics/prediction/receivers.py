"""Where a case is heard: arcs round the cabinet, seats, and lines over height and sideways."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import PLANES
from acoustics.prediction.microphones import microphone_points
from acoustics.room.images import incidence, mirrored
from acoustics.room.placement import clear_of, speakers, to_cabinet, to_room
from acoustics.room.reflection import reflection_factor

LOWEST_HEIGHT, HIGHEST_HEIGHT, HEIGHT_STEP = 0.3, 2.0, 0.05
"""m: ears of a small child on the floor to those of a tall person standing, and the step."""

HEIGHT_MARGIN = 0.3
"""m: how far the heights reach beyond every ear height of the case."""

ASIDE_REACH, ASIDE_STEP = 1.0, 0.1
"""m: how far the line sideways reaches to either side of a seat, and its step."""

CLEARANCE = 0.05
"""m: no ears are nearer to a cabinet than this."""

DECIMALS = 9
"""Receivers that agree to a nanometre are one receiver."""


@dataclass(frozen=True)
class Receivers:
    """Receivers in the cabinet's own coordinates, every group's last axis being (x, y, z) in m."""

    angles: np.ndarray
    """degrees, shape (angle,)"""
    heights: np.ndarray
    """m above the floor, shape (height,)"""
    asides: np.ndarray
    """m to the right of the seat, shape (aside,)"""
    aside_ear_height: float
    """m above the floor, of the line sideways"""
    arcs: np.ndarray
    """shape (plane, angle, 3)"""
    seat: np.ndarray
    """shape (speaker, seat, path, ear_height, 3); the ears, or their image in a surface"""
    height: np.ndarray
    """shape (speaker, seat, height, 3)"""
    aside: np.ndarray
    """shape (speaker, seat, aside, 3), NaN where nobody can sit"""
    microphone: np.ndarray
    """where each driver was measured, shape (driver, 3), NaN where it was not"""

    @property
    def groups(self) -> dict[str, np.ndarray]:
        """Name of each field → its receivers."""
        return {
            "arc": self.arcs,
            "seat": self.seat,
            "height": self.height,
            "aside": self.aside,
            "microphone": self.microphone,
        }


def receivers_of(case: Case) -> Receivers:
    """Every receiver of a case."""
    ears = np.array(case.seat.ear_heights, dtype=float)
    heights = seat_heights(case)
    most = round(ASIDE_REACH / ASIDE_STEP)
    asides = np.round(ASIDE_STEP * np.arange(-most, most + 1), DECIMALS)
    ear = float(ears[aside_ear(case)])
    aside, ahead = seats_of(case)
    at_ears = _points(aside[:, None], ears, ahead[:, None])
    ways = [at_ears, *(mirrored(at_ears, surface) for surface in case.surfaces)]
    angles = arc_angles(case.arc_step)
    return Receivers(
        angles=angles,
        heights=heights,
        asides=asides,
        aside_ear_height=ear,
        arcs=arc_points(case, angles),
        seat=_for_each_speaker(case, np.stack(ways, axis=1)),
        height=_for_each_speaker(case, _points(aside[:, None], heights, ahead[:, None])),
        aside=aside_points(case, asides, ear),
        microphone=microphone_points(case),
    )


def aside_ear(case: Case) -> int:
    """Number of the ear height at which the lines sideways run: the one nearest the axis."""
    axis_height = case.reference.point[1] - case.cabinet.floor_level
    return int(np.argmin(np.abs(np.array(case.seat.ear_heights) - axis_height)))


def seats_of(case: Case) -> tuple[np.ndarray, np.ndarray]:
    """How far each seat is aside and ahead, m, each of shape (seat,)."""
    places = case.seat.places
    return np.array([p.aside for p in places]), np.array([p.distance for p in places])


def arc_angles(step: float) -> np.ndarray:
    """Angles of a full circle, ascending from above −180 to 180 degrees; 0 is among them."""
    count = round(360 / step)
    return step * np.arange(-((count - 1) // 2), count // 2 + 1)


def arc_points(case: Case, angles: np.ndarray) -> np.ndarray:
    """Both arcs about the reference point, m, shape (plane, angle, 3)."""
    turn = np.deg2rad(angles)
    x, y = case.reference.point
    aside, ahead = case.reference.distance * np.sin(turn), case.reference.distance * np.cos(turn)
    arcs = np.zeros((len(PLANES), angles.size, 3))
    arcs[PLANES.index("horizontal")] = _points(x + aside, np.array(y), ahead)
    arcs[PLANES.index("vertical")] = _points(np.array(x), y + aside, ahead)
    return arcs


def seat_heights(case: Case, step: float = HEIGHT_STEP) -> np.ndarray:
    """Heights above the floor, `step` apart (m), well around every ear height, below a ceiling."""
    ears = np.array(case.seat.ear_heights, dtype=float)
    low = max(min(LOWEST_HEIGHT, ears.min() - HEIGHT_MARGIN), 0.0)
    high = max(HIGHEST_HEIGHT, ears.max() + HEIGHT_MARGIN)
    first, last = np.floor(low / step + 1e-9), np.ceil(high / step - 1e-9)
    heights = np.round(step * np.arange(first, last + 1), DECIMALS)
    ceilings = [s.position for s in case.surfaces if s.name == "ceiling"]
    kept: np.ndarray = heights[heights <= min(ceilings, default=np.inf)]
    return kept if kept[-1] >= ears.max() else np.append(kept, ears.max())


def aside_points(case: Case, asides: np.ndarray, ear: float) -> np.ndarray:
    """The line sideways of every seat, m, shape (speaker, seat, aside, 3).

    NaN where it meets a cabinet or lies beyond a side wall.
    """
    aside, ahead = seats_of(case)
    across = aside[:, None] + asides
    points = _for_each_speaker(case, _points(across, np.array(ear), ahead[:, None]))
    clear = np.logical_and.reduce(clear_of(points, case.cabinet, CLEARANCE))
    for surface in case.surfaces:
        if surface.name in ("left wall", "right wall"):
            clear &= (-across if surface.name == "left wall" else across) < surface.position
    return np.where(clear[None, :, :, None], points, np.nan)


def reflections_of(
    case: Case, receivers: Receivers, centres: np.ndarray, frequency: np.ndarray
) -> np.ndarray:
    """Reflection factor on every way from each driver to each seat.

    Args:
        case: the design.
        receivers: as `receivers_of` gives them.
        centres: of drivers, in the cabinet's own coordinates, m, shape (driver, 3).
        frequency: Hz, shape (frequency,).

    Returns:
        Complex, shape (driver, speaker, seat, path, ear_height, frequency); 1 on the direct way.
    """
    factors = np.ones((len(centres), *receivers.seat.shape[:-1], frequency.size), complex)
    for s, speaker in enumerate(speakers(case.placement)):
        sources = to_room(centres, speaker, case.placement, case.cabinet)[:, None, None]
        heard = to_room(receivers.seat[s], speaker, case.placement, case.cabinet)
        for path, surface in enumerate(case.surfaces, start=1):
            cosine = incidence(surface, sources, heard[:, path])
            factors[:, s, :, path] = reflection_factor(surface, cosine, frequency, case.air)
    return factors


def unique_points(receivers: Receivers, side: float) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Every receiver once, and where each group's points are found among them.

    Args:
        receivers: as `receivers_of` gives them.
        side: as `layout.drawn_side` gives it. For a layout lopsided to the left the points are
            those of its mirror image; one that is its own mirror image sounds alike on both sides,
            and points to the left are heard on the right.

    Returns:
        Points, m, shape (point, 3); for each group the indices of its points among them, −1 for
        those that are NaN.
    """
    everything, there = _everything(receivers)
    everything[:, 0] = side * everything[:, 0] if side else np.abs(everything[:, 0])
    everything = np.round(everything, DECIMALS) + 0.0  # + 0.0 makes −0.0 a plain 0
    points, found = np.unique(everything[there], axis=0, return_inverse=True)
    return points, _by_group(receivers, there, found.reshape(-1))


def at_heights(
    case: Case, receivers: Receivers, heights: tuple[float, ...], ear: int | None
) -> Receivers:
    """Over height at other heights (m), and sideways at the ear height of this number.

    None leaves the lines sideways out, and those over height at other seats than the main one.
    """
    aside, ahead = seats_of(case)
    above = np.array(heights)
    height = _for_each_speaker(case, _points(aside[:, None], above, ahead[:, None]))
    if ear is None:
        height[:, 1:] = np.nan
        nowhere = np.full_like(receivers.aside, np.nan)
        return replace(receivers, heights=above, height=height, aside=nowhere)
    level = float(case.seat.ear_heights[ear])
    lines = aside_points(case, receivers.asides, level)
    return replace(receivers, heights=above, height=height, aside=lines, aside_ear_height=level)


def every_point(receivers: Receivers) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Every receiver in its place, those that coincide too; as `unique_points` gives them.

    So two designs of one kind have as many, in the same order, wherever they lie.
    """
    everything, there = _everything(receivers)
    return everything[there], _by_group(receivers, there, np.arange(np.count_nonzero(there)))


def _everything(receivers: Receivers) -> tuple[np.ndarray, np.ndarray]:
    """The points of all groups, (point, 3), m, and which of them are there."""
    everything = np.concatenate([group.reshape(-1, 3) for group in receivers.groups.values()])
    return everything, np.isfinite(everything[:, 0])


def _by_group(receivers: Receivers, there: np.ndarray, found: np.ndarray) -> dict[str, np.ndarray]:
    """Numbers of the points that are there, by their group and −1 for the others."""
    groups = receivers.groups
    places = np.full(there.size, -1)
    places[there] = found
    ends = np.cumsum([group[..., 0].size for group in groups.values()])[:-1]
    parts = np.split(places, ends)
    return {
        name: part.reshape(group.shape[:-1])
        for (name, group), part in zip(groups.items(), parts, strict=True)
    }


def _points(x: np.ndarray, y: np.ndarray, z: np.ndarray) -> np.ndarray:
    return np.stack(np.broadcast_arrays(x, y, z), axis=-1).astype(float)


def _for_each_speaker(case: Case, points: np.ndarray) -> np.ndarray:
    """Points of the room in each cabinet's own coordinates, shape (speaker, …, 3)."""
    return np.stack(
        [to_cabinet(points, one, case.placement, case.cabinet) for one in speakers(case.placement)]
    )
