"""Tables of a variant's moved drivers, by which layouts are judged fast."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.place_model import Quality
from acoustics.field.plan import Progress
from acoustics.studies.driver_map.face_places import SLOW_PLACES, SPACING
from acoustics.studies.driver_map.moved import Fields, floor_points, shared
from acoustics.studies.driver_map.scene import Scene
from acoustics.studies.layout_search.figures import AT_SEAT
from acoustics.studies.layout_search.sites import Site, bare_lattice, fits
from acoustics.studies.layout_search.table import ORDER, Table, table_of
from acoustics.studies.layout_search.variant import Variant, with_smoothing

FINEST, PER_WAVE = 2.5e-3, 10.0
"""m, and places a wavelength at the top of the band: of a table"""

MOST_BYTES = 300e6
"""of one table: a larger one gets wider steps"""


@dataclass(frozen=True)
class Tabled:
    """A variant with tables of its moved drivers' fields, by which layouts are judged fast."""

    variant: Variant
    scene: Scene
    tables: tuple[tuple[Table, Table | None], ...]
    which: np.ndarray
    """of the variant's frequencies, those of the tables"""
    points: np.ndarray
    """likewise of its receivers"""
    still: list[tuple[Fields, np.ndarray]]
    wanted: tuple[Quality, ...]

    def cut(self, field: np.ndarray) -> np.ndarray:
        """A field (layout, point, frequency) of the variant as the tables have it."""
        answer: np.ndarray = field[:, self.points][..., self.which]
        return answer

    def fields(self, rows: np.ndarray) -> list[Fields]:
        """Fields of the moved drivers, interpolated."""
        places = self.variant.unknowns.positions(rows)
        return [
            (free.at(*at.T), None if floor is None else floor.at(*at.T))
            for (free, floor), at in zip(self.tables, places, strict=True)
        ]

    def judged(self, rows: np.ndarray) -> dict[Quality, np.ndarray]:
        """Qualities of layouts, dB, (layout,)."""
        fields = self.fields(rows)
        return self.variant.judged(self.scene, rows, fields, self.wanted, self.still)


def tabled(
    variant: Variant,
    wanted: Sequence[Quality],
    boxes: Sequence[np.ndarray],
    step: float | None = None,
    progress: Progress | None = None,
) -> Tabled:
    """Make tables of a variant's moved drivers.

    Args:
        variant: what is solved.
        wanted: qualities that are judged by.
        boxes: of places of each driver, ((right, up), (lowest, highest)), m.
        step: m between places; None for what the band needs.
        progress: called from time to time with (parts done, all parts).
    """
    scene, which = _judged_at(variant, wanted)
    points = _asked_points(scene, wanted)
    heard = replace(
        scene.heard,
        points=scene.heard.points[points],
        window=np.searchsorted(points, scene.heard.window),
        seat=np.searchsorted(points, scene.heard.seat),
    )
    over_floor = any(each.floor is not None for each in variant.radiations)
    seats = bool(set(AT_SEAT) & set(wanted))
    waves = 2 * math.pi * scene.frequency / variant.case.air.speed_of_sound
    tables = []
    told = shared(progress, len(boxes))
    for site, radiation, box, own in zip(
        variant.unknowns.sites, variant.radiations, boxes, told, strict=False
    ):
        size = (points.size + (2 * len(floor_points(scene)) if over_floor else 0)) * waves.size * 8
        lines = _lines(variant, site, box, size, step)
        across, along = np.meshgrid(*lines)
        there = fits(variant.case, site, across, along)
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
        for (free, low), centre in variant.still
    ]
    return Tabled(
        variant, replace(scene, heard=heard), tuple(tables), which, points, still, tuple(wanted)
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


def _judged_at(variant: Variant, wanted: Sequence[Quality]) -> tuple[Scene, np.ndarray]:
    """The scene at the frequencies that the wanted qualities rest on, and which these are."""
    frequency = variant.scene.frequency
    if "floor dip" in wanted:
        return variant.scene, np.arange(frequency.size)
    low, high = with_smoothing(variant.case.frequencies, variant.asked)
    which = np.flatnonzero((frequency >= low) & (frequency <= high))
    return variant.scene.at(which), which


def _asked_points(scene: Scene, wanted: Sequence[Quality]) -> np.ndarray:
    """Which points are needed: the seats only where something is judged there."""
    if set(AT_SEAT) & set(wanted):
        return np.arange(len(scene.heard.points))
    return np.unique(scene.heard.window)


def _lines(
    variant: Variant, site: Site, box: np.ndarray, size: float, step: float | None
) -> tuple[np.ndarray, np.ndarray]:
    """Evenly spaced places over a box, right and up, m; `size` bytes each."""
    wave = variant.case.air.speed_of_sound / variant.asked.band[1]
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
