"""Tables of a stand's moved drivers, by which layouts are judged fast."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.place_model import Quality
from acoustics.field.plan import Progress
from acoustics.studies.face_places import SLOW_PLACES, SPACING
from acoustics.studies.layout_search.figures import AT_SEAT
from acoustics.studies.layout_search.sites import Site, bare_lattice, fits
from acoustics.studies.layout_search.stand import Stand, with_smoothing
from acoustics.studies.layout_search.table import ORDER, Table, table_of
from acoustics.studies.moved import Fields, floor_points, shared
from acoustics.studies.scene import Scene

FINEST, PER_WAVE = 2.5e-3, 10.0
"""m, and places a wavelength at the top of the band: of a table"""

MOST_BYTES = 300e6
"""of one table: a larger one gets wider steps"""


@dataclass(frozen=True)
class Tabled:
    """A stand with tables of its moved drivers' fields, by which layouts are judged fast."""

    stand: Stand
    scene: Scene
    tables: tuple[tuple[Table, Table | None], ...]
    which: np.ndarray
    """of the stand's frequencies, those of the tables"""
    points: np.ndarray
    """likewise of its receivers"""
    still: list[tuple[Fields, np.ndarray]]
    wanted: tuple[Quality, ...]

    def cut(self, field: np.ndarray) -> np.ndarray:
        """A field (layout, point, frequency) of the stand as the tables have it."""
        answer: np.ndarray = field[:, self.points][..., self.which]
        return answer

    def fields(self, rows: np.ndarray) -> list[Fields]:
        """Fields of the moved drivers, interpolated."""
        places = self.stand.unknowns.positions(rows)
        return [
            (free.at(*at.T), None if floor is None else floor.at(*at.T))
            for (free, floor), at in zip(self.tables, places, strict=True)
        ]

    def judged(self, rows: np.ndarray) -> dict[Quality, np.ndarray]:
        """Qualities of layouts, dB, (layout,)."""
        fields = self.fields(rows)
        return self.stand.judged(self.scene, rows, fields, self.wanted, self.still)


def tabled(
    stand: Stand,
    wanted: Sequence[Quality],
    boxes: Sequence[np.ndarray],
    step: float | None = None,
    progress: Progress | None = None,
) -> Tabled:
    """Make tables of a stand's moved drivers.

    Args:
        stand: what is solved.
        wanted: qualities that are judged by.
        boxes: of places of each driver, ((right, up), (lowest, highest)), m.
        step: m between places; None for what the band needs.
        progress: called from time to time with (parts done, all parts).
    """
    scene, which = _judged_at(stand, wanted)
    points = _asked_points(scene, wanted)
    heard = replace(
        scene.heard,
        points=scene.heard.points[points],
        window=np.searchsorted(points, scene.heard.window),
        seat=np.searchsorted(points, scene.heard.seat),
    )
    over_floor = any(each.floor is not None for each in stand.radiations)
    seats = bool(set(AT_SEAT) & set(wanted))
    waves = 2 * math.pi * scene.frequency / stand.case.air.speed_of_sound
    tables = []
    told = shared(progress, len(boxes))
    for site, radiation, box, own in zip(
        stand.unknowns.sites, stand.radiations, boxes, told, strict=False
    ):
        size = (points.size + (2 * len(floor_points(scene)) if over_floor else 0)) * waves.size * 8
        lines = _lines(stand, site, box, size, step)
        across, along = np.meshgrid(*lines)
        there = fits(stand.case, site, across, along)
        lattice = replace(bare_lattice(site), right=lines[0], up=lines[1], there=there)
        if not seats:
            radiation = replace(radiation, floor=None)
        rows = radiation.spread(lattice, own)
        free = table_of(_picked(rows, 0, points, which), site.frame, lines, heard.points, waves)
        floor = None
        if radiation.floor is not None:
            images = floor_points(scene)
            every = np.arange(len(images))
            floor = table_of(_picked(rows, 1, every, which), site.frame, lines, images, waves)
        tables.append((free, floor))
    still = [
        ((free[:, points][..., which], None if low is None else low[..., which]), centre)
        for (free, low), centre in stand.still
    ]
    return Tabled(
        stand, replace(scene, heard=heard), tuple(tables), which, points, still, tuple(wanted)
    )


def _picked(
    rows: Callable[[slice], Fields], part: int, points: np.ndarray, which: np.ndarray
) -> Callable[[slice], np.ndarray]:
    """Some points and frequencies of the field over a lattice."""

    def picked(where: slice) -> np.ndarray:
        field = rows(where)[part]
        assert field is not None
        return field[..., points, :][..., which]

    return picked


def _judged_at(stand: Stand, wanted: Sequence[Quality]) -> tuple[Scene, np.ndarray]:
    """The scene at the frequencies that the wanted qualities rest on, and which these are."""
    frequency = stand.scene.frequency
    if "floor dip" in wanted:
        return stand.scene, np.arange(frequency.size)
    low, high = with_smoothing(stand.case.frequencies, stand.asked)
    which = np.flatnonzero((frequency >= low) & (frequency <= high))
    return stand.scene.at(which), which


def _asked_points(scene: Scene, wanted: Sequence[Quality]) -> np.ndarray:
    """Which points are needed: the seats only where something is judged there."""
    if set(AT_SEAT) & set(wanted):
        return np.arange(len(scene.heard.points))
    return np.unique(scene.heard.window)


def _lines(
    stand: Stand, site: Site, box: np.ndarray, size: float, step: float | None
) -> tuple[np.ndarray, np.ndarray]:
    """Evenly spaced places over a box, right and up, m; `size` bytes each."""
    wave = stand.case.air.speed_of_sound / stand.asked.band[1]
    if step is None:
        step = float(np.clip(wave / PER_WAVE, FINEST, SPACING))
        most = MOST_BYTES / size
        if not site.rectangle:
            most = min(most, SLOW_PLACES)
        step = max(step, math.sqrt(float(np.prod(np.maximum(np.diff(box)[:, 0], step))) / most))
    lines = []
    for low, high in box:
        count = max(math.ceil((high - low) / step) + 1, ORDER) if high - low > 1e-9 else 1
        lines.append(np.linspace(low, high, count))
    return lines[0], lines[1]
