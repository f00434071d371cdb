"""From fields to what the page draws: filters, sums and levels, as a prediction makes them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE
from acoustics.crossover.acoustic import heard_low_end
from acoustics.listening.standard_curves import LISTENING_WINDOW
from acoustics.prediction.filters import Filters, filters_of
from acoustics.prediction.receivers import reflections_of
from acoustics.prediction.together import together
from acoustics.source.drive import Drive
from acoustics.studies.live.curves import DraftCurves, State
from acoustics.studies.live.figures import DraftSound, draft_figures, handed_over
from acoustics.studies.live.grid import AXIS_ANGLES
from acoustics.studies.live.looks import looked_round, looks_at, nearest
from acoustics.studies.live.needed import FAINT, PLAIN, Needed
from acoustics.studies.live.where import SIDES, Where

FLOOR = "floor"


class Sums(NamedTuple):
    """Pressures of a draft, all drivers together, rms, Pa, complex: each (point, frequency)."""

    axis: np.ndarray
    height: np.ndarray
    seat: np.ndarray

    @property
    def window(self) -> np.ndarray:
        """In the directions of `LISTENING_WINDOW`, with which those of `axis` begin."""
        return self.axis[: len(LISTENING_WINDOW)]


@dataclass(frozen=True)
class Sounding:
    """Pressures of a draft, rms, Pa, complex: each (driver, point, frequency).

    axis at the points of `where.DIRECTIONS`; height over the heights of the main seat; seat at its
    ears, by their ways. frequency, and crossovers, where drivers hand over: Hz.
    """

    frequency: np.ndarray
    axis: np.ndarray
    height: np.ndarray
    seat: np.ndarray
    filters: Filters
    source: np.ndarray
    crossovers: np.ndarray

    @property
    def sums(self) -> Sums:
        """All drivers together."""
        return Sums(*(each.sum(axis=0) for each in (self.axis, self.height, self.seat)))

    @cached_property
    def loudest(self) -> tuple[np.ndarray, np.ndarray]:
        """Of each driver (driver, frequency) and of all (frequency,) the loudest anywhere, Pa."""
        # Where only the ears are heard, the heights stand still and tell nothing of it.
        groups = self.axis, self.seat
        each = np.max([np.abs(group).max(axis=1) for group in groups], axis=0)
        whole = np.max([np.abs(group.sum(axis=0)).max(axis=0) for group in groups], axis=0)
        return each, whole

    def needed(self, below: float = 1.0) -> Needed:
        """What is worth hearing, with drivers so far below what must be heard."""
        each, whole = self.loudest
        looked = looked_round(self.frequency, self.crossovers)
        return Needed(each > below * FAINT * whole, each > below * PLAIN * whole, looked)


def sounding(
    case: Case, drive: Drive, where: Where, centres: np.ndarray, fields: dict[str, np.ndarray]
) -> Sounding:
    """Filter × source × field of a draft.

    Args:
        case: the draft, posed.
        drive: its sources.
        where: its receivers.
        centres: of all radiators, m, (radiator, 3).
        fields: of every radiator at the points of `where`, by their kind, Pa per m³/s,
            (radiator, point, frequency); "seat" is written to.
    """
    frequency, drivers = case.frequencies.values(), len(case.drivers)
    seat = fields["seat"][:, where.heights :]
    seat *= reflections_of(case, where.receivers, centres, frequency)[:, 0, 0, :, 0]
    if where.floor is not None:
        # The floor's way is what the body over its mirror image adds to the direct sound.
        seat[:, 1] = fields["floor"].sum(axis=1) - seat[:, 0]
    cones = fields["axis"][:drivers, 0]
    whole = {name: together(each, drive.shares) for name, each in fields.items()}
    on_axis = whole["axis"][:, 0]
    low_ends = heard_low_end(drive.low_end, on_axis, cones)
    found = filters_of(case, frequency, drive, on_axis, centres[:drivers], low_ends)
    sent = (found.filters * drive.source * DRIVE_VOLTAGE)[:, None]
    at_seat = sent * whole["seat"]
    return Sounding(
        frequency=frequency,
        axis=sent * whole["axis"],
        height=at_seat[:, : where.heights],
        seat=at_seat[:, where.heights :],
        filters=found,
        source=drive.source,
        crossovers=handed_over(frequency, found.strength),
    )


def curves_from(
    case: Case,
    where: Where,
    heard: Sounding,
    heights: np.ndarray,
    state: State,
    missing: str,
    figured: bool,
) -> DraftCurves:
    """The curves of a draft and, if wanted, its figures, from its pressures."""
    sums = heard.sums
    axis = sums.axis
    frequency, looks = case.frequencies.values(), looks_at(heard.crossovers)
    figures = {}
    if figured:
        figures = draft_figures(_sound(case, where, heard, sums, heights))
    return DraftCurves(
        state=state,
        missing=missing,
        frequency=frequency,
        axis=_level(axis[0]),
        each=_level(heard.axis[:, 0]),
        window=_level(np.sqrt((np.abs(sums.window) ** 2).mean(axis=0))),
        seat=_level(np.stack([sums.seat[0], sums.seat.sum(axis=0)])),
        angles=np.array(AXIS_ANGLES),
        aside=_level(axis[SIDES]),
        heights=heights,
        crossovers=heard.crossovers,
        looks=looks,
        lobes=_level(sums.height.T[nearest(frequency, looks)]),
        figures=figures,
    )


def _sound(
    case: Case,
    where: Where,
    heard: Sounding,
    sums: Sums,
    heights: np.ndarray,
) -> DraftSound:
    names = [surface.name for surface in case.surfaces]
    floor = 1 + names.index(FLOOR) if FLOOR in names else None
    point = np.array([*case.reference.point, 0.0])
    ways = where.seat[where.heights :]
    apart = [ways[0], ways[floor]] if floor is not None else np.full((2, 3), np.nan)
    return DraftSound(
        frequency=case.frequencies.values(),
        speed_of_sound=case.air.speed_of_sound,
        window=sums.window,
        seat=sums.seat,
        floor=floor,
        ways=tuple(np.linalg.norm(apart - point, axis=-1).tolist()),
        ear_height=case.seat.ear_heights[0],
        heights=heights,
        lobes=sums.height,
        lobe_ways=np.linalg.norm(where.seat[: where.heights] - point, axis=-1),
        strength=heard.filters.strength,
        drive=heard.filters.filters * heard.source,
        crossovers=heard.crossovers,
    )


def _level(pressure: np.ndarray) -> np.ndarray:
    with np.errstate(divide="ignore"):
        answer: np.ndarray = 20 * np.log10(np.abs(pressure) / REFERENCE_PRESSURE)
    return answer
