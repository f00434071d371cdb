"""Some receivers of a design, and what is known of every driver's field there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np

from acoustics.cabinet import Piston, face_of, flat_parts
from acoustics.case.design.model import Case
from acoustics.case.geometry.shape import faces_of
from acoustics.conventions import GeometryError
from acoustics.field import solve_field
from acoustics.field.at_once import Listening
from acoustics.prediction.fields import by_receiver
from acoustics.prediction.layout import Layout
from acoustics.studies.driver_map.moved import in_plane
from acoustics.studies.live.faces import Face, Job, ask_face, bare_face, hear
from acoustics.studies.live.needed import Needed

Places = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Known:
    """The field of a piston at one place: nearest orders where they were heard, and higher ones.

    `centre` of the piston, m; both fields Pa per m³/s, (receiver, frequency), `nearest` at
    `receivers`, `higher` at those that asked. `whole`: its higher orders are neither left out nor
    those of another place. `stale`: blocks in which it comes from another place, of the driver or
    of receivers, as it is too faint there to be heard; `partly`: those in which that holds for the
    receivers that were spared.
    """

    centre: tuple[float, float, float]
    receivers: np.ndarray
    nearest: np.ndarray
    higher: np.ndarray
    whole: bool
    stale: frozenset[int] = frozenset()
    partly: frozenset[int] = frozenset()


class Listeners:
    """Receivers round a body. They hear nearest orders at once, all orders once they have asked."""

    def __init__(
        self, case: Case, layout: Layout, points: np.ndarray, places: Places, spared: int = 0
    ) -> None:
        """Lay the grids, which takes no solving.

        Args:
            case: of the draft for which they are, for air, frequencies and settings.
            layout: its body and what radiates on it.
            points: receivers, (point, 3), m.
            places: of the drivers, for which they may be solved once.
            spared: how many of the first receivers need not hear all frequencies.
        """
        self.spared = spared
        self.case, self.layout, self.points, self.places = case, layout, points, places
        solid = flat_parts(layout.body)
        self._on = {n: face_of(solid, piston) for n, piston in enumerate(layout.pistons)}
        self._drivers = {
            piston: driver for driver in range(layout.drivers) for piston, _ in layout.parts[driver]
        }
        faces = sorted({self._on[piston] for piston in self._drivers})
        self._faces: dict[int, Face] = {
            face: bare_face(case, layout.body, face, points) for face in faces
        }
        self._frames = [faces_of(case.cabinet).frame(each.face) for each in case.drivers]
        self._solved: np.ndarray | None = None
        self._known: dict[int, Known] = {}

    @property
    def asked(self) -> bool:
        """Whether all faces are asked."""
        return all(face.asked for face in self._faces.values())

    @property
    def solved(self) -> bool:
        """Whether the drivers are solved where they were when this was made."""
        return self._solved is not None

    def pistons(self, places: Places) -> dict[int, Piston]:
        """The pistons of all drivers at some places, by their numbers."""
        found = {}
        for number, driver in self._drivers.items():
            piston = self.layout.pistons[number]
            frame = in_plane(self._frames[driver], piston)
            found[number] = replace(piston, centre=frame.point(*places[driver]))
        _refuse_overlaps(found, self._on)
        return found

    def solve(self, progress: Callable[[int, int], Any]) -> None:
        """Solve every piston where it was: that place is known then, others are told from it."""
        how: dict[str, Any] = {"air": self.case.air, "accuracy": self.case.accuracy}
        how |= {"memory": self.case.memory, "progress": progress}
        frequency = self.case.frequencies.values()
        layout = self.layout
        solved = by_receiver(
            solve_field(layout.body, layout.pistons, self.points, frequency, **how)
        )
        here = Listening(self.points)
        pistons = self.pistons(self.places)
        jobs = [
            Job(face, piston, here, False, face.blocks_of(frequency > 0.0))
            for face, piston in ((self._faces[self._on[n]], each) for n, each in pistons.items())
        ]
        for number, job, (nearest, _) in zip(pistons, jobs, hear(jobs), strict=True):
            self._known[number] = Known(
                job.piston.centre, self.points, nearest, solved[number] - nearest, True
            )
        self._solved = solved

    def ask(
        self, checkpoint: Callable[[], None], told: Callable[[float], None], pool: Executor
    ) -> None:
        """Let the receivers ask every face with a driver on it."""
        count = len(self._faces)
        for place, (number, face) in enumerate(list(self._faces.items())):
            if not face.asked:

                def part(share: float, before: int = place) -> None:
                    told((before + share) / count)

                self._faces[number] = ask_face(face, checkpoint, part, pool)

    def missing(self, places: Places) -> list[str]:
        """What is left out of the field with the drivers at some places, in words."""
        others = len(self._drivers) < len(self.layout.pistons)
        missing = []
        if not self.solved and not self.asked:
            missing.append("sound that passes more than one edge is left out")
        elif not self.asked and places != self.places:
            missing.append("what passes more than one edge is heard as where drivers were before")
        if others and not self.solved:
            missing.append("ports and passive radiators are left out")
        return missing

    def centres(self, places: Places) -> np.ndarray:
        """Centres of all radiators with the drivers at some places, m, (radiator, 3)."""
        pistons = list(self.layout.pistons)
        for number, piston in self.pistons(places).items():
            pistons[number] = piston
        return replace(self.layout, pistons=tuple(pistons)).radiator_centres

    def jobs(self, places: Places, heard: Listening, needed: Needed) -> dict[int, Job]:
        """What is still to be heard of which piston.

        Args:
            places: of the drivers.
            heard: receivers of nearest orders.
            needed: what is worth hearing.
        """
        found = {}
        for number, piston in self.pistons(places).items():
            known, face = self._known.get(number), self._faces[self._on[number]]
            wanted = face.blocks_of(needed.loud[self._drivers[number]])
            cut = wanted - face.blocks_of(needed.looked) if self.spared else frozenset()
            job = Job(face, piston, heard, True, wanted, cut, self.spared)
            if known is None:
                job = job._replace(blocks=frozenset(range(len(face.blocks))))
            elif known.centre != piston.centre or (face.asked and not known.whole):
                pass
            elif not np.array_equal(known.receivers, heard.receivers):
                plain = face.blocks_of(needed.plain[self._drivers[number]])
                job = job._replace(blocks=plain, cut=cut & plain, higher=bool(known.stale & plain))
            else:
                blocks = (known.stale & wanted) | (known.partly & (wanted - cut))
                job = job._replace(blocks=blocks, cut=cut & blocks)
            if job.blocks:
                found[number] = job
        return found

    def take(self, number: int, job: Job, found: tuple[np.ndarray, np.ndarray]) -> None:
        """Keep what was heard of a piston; the rest is carried over from where it was."""
        face, piston, heard = job.face, job.piston, job.heard
        nearest, later = found
        before, whole = self._known.get(number), face.asked
        stale = partly = frozenset[int]()
        if before is None:
            partly = job.cut
        else:
            moved = before.centre != piston.centre
            fresh = self._fresh(job)
            here, own = (heard.receivers, piston.centre), (before.receivers, before.centre)
            if not fresh.all():
                nearest = np.where(fresh, nearest, before.nearest * self._flight(*own, *here))
            told = fresh & job.all_orders
            if not told.all():
                carried = before.higher
                if moved:
                    carried = carried * self._flight(
                        self.points, before.centre, self.points, piston.centre
                    )
                later = np.where(told, later, carried)
            if not job.all_orders:
                whole = before.whole and not moved
            if moved or not np.array_equal(before.receivers, heard.receivers):
                stale, partly = frozenset(range(len(face.blocks))) - job.blocks, job.cut
            else:
                stale, partly = before.stale - job.blocks, (before.partly - job.blocks) | job.cut
        self._known[number] = Known(
            piston.centre, heard.receivers, nearest, later, whole, stale, partly
        )

    def _fresh(self, job: Job) -> np.ndarray:
        """What a job hears, a mask (receiver, frequency)."""
        fresh = np.tile(job.face.within(job.blocks), (len(self.points), 1))
        fresh[: job.spared, job.face.within(job.cut)] = False
        return fresh

    def fields(self, points: np.ndarray) -> np.ndarray:
        """Field of every radiator at points, Pa per m³/s, (radiator, point, frequency).

        Nearest orders are those of the receivers that heard them, higher ones those of the ones
        that asked, later by as much as the points are farther. What is no driver is nothing until
        it is solved.
        """
        shape = len(self.layout.pistons), len(self.points), self.case.frequencies.values().size
        whole = np.zeros(shape, dtype=complex)
        for number, piston in enumerate(self.layout.pistons):
            if number in self._known:
                known = self._known[number]
                here = points, known.centre
                nearest, later = known.nearest, known.higher
                if not np.array_equal(known.receivers, points):
                    nearest = nearest * self._flight(known.receivers, known.centre, *here)
                if not np.array_equal(self.points, points):
                    later = later * self._flight(self.points, known.centre, *here)
                whole[number] = nearest + later
            elif self._solved is not None:
                flight = self._flight(self.points, piston.centre, points, piston.centre)
                whole[number] = self._solved[number] * flight
        return self.layout.per_radiator(whole)

    def _flight(
        self,
        points: np.ndarray,
        centre: Sequence[float],
        others: np.ndarray,
        other_centre: Sequence[float],
    ) -> np.ndarray:
        """By what a wave to points turns and falls on its way to others, (point, frequency)."""
        before = np.linalg.norm(points - np.asarray(centre), axis=1)[:, None]
        after = np.linalg.norm(others - np.asarray(other_centre), axis=1)[:, None]
        waves = 2 * np.pi * self.case.frequencies.values() / self.case.air.speed_of_sound
        answer: np.ndarray = np.exp(-1j * waves * (after - before)) * (before / after)
        return answer


def farthest(points: np.ndarray, others: np.ndarray) -> float:
    """How far apart points and others are at most, m."""
    return 0.0 if points is others else float(np.linalg.norm(points - others, axis=-1).max())


def _refuse_overlaps(pistons: dict[int, Piston], on: dict[int, int]) -> None:
    for one, other in combinations(pistons, 2):
        apart = np.linalg.norm(np.subtract(pistons[one].centre, pistons[other].centre))
        if on[one] == on[other] and apart < pistons[one].radius + pistons[other].radius:
            raise GeometryError("two drivers are in one place; move one of them away")
