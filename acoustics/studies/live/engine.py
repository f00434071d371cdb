"""Curves of a draft as fast as a hand moves it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from contextlib import ExitStack
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.field.at_once import Listening
from acoustics.field.blas import one_blas_thread
from acoustics.field.plan import usable_cores
from acoustics.prediction.layout import layout_of, over_the_floor
from acoustics.source.drive import Drive
from acoustics.studies.layout_search.crossovers import crossovers_of
from acoustics.studies.live.curves import DraftCurves, State
from acoustics.studies.live.draft import Draft, Edges
from acoustics.studies.live.faces import hear
from acoustics.studies.live.grid import page_frequencies, page_heights
from acoustics.studies.live.listeners import Listeners, farthest
from acoustics.studies.live.manners import Manners, threads_behind
from acoustics.studies.live.needed import Needed, all_of
from acoustics.studies.live.posed import axis_driver, posed
from acoustics.studies.live.sounding import curves_from, sounding
from acoustics.studies.live.sources import full_drive, rough_drive
from acoustics.studies.live.stopping import Stop, never
from acoustics.studies.live.where import Where, axis_points, where_of

KEPT = 3
"""listeners of each kind that are kept, the newest"""

NEAR, NEAR_PLATE = 0.06, 0.03
"""m: as far may the reference axis go from where it was when its listeners asked. Measured after
drivers moved by 3 to 5 cm: boxes are off by 0.04 dB at most then, an open baffle, beside which
little else is heard than what passes its edges, by 0.12 dB."""

CLOSE = 0.002
"""m: points that moved by no more hear as before, but for the time it takes. Sound past an edge
0.2 m from its driver is then out of step by 0.2 mm at most where it is heard at 2 m, which changes
the sum by less than 0.1 dB up to 10 kHz."""

SAME = 1e-6
"""m: ears that are this close together are one"""

AHEAD = 10 ** (-1 / 20)
"""so far below what must be heard of a draft drivers are heard in the next"""

AGAIN = 0.005
"""m: from so far on they ask anew in the background"""

DRIVE, SOLVED = 0.1, 0.1
"""shares of the time that sources and one solution of the field take in the background, about"""


@dataclass(frozen=True)
class _Kept:
    """Listeners of one kind, and the edges for which they are."""

    edges: Edges
    listeners: Listeners


@dataclass(frozen=True)
class _Sources:
    """What drivers send out, for which places and edges; `full` as a prediction has it."""

    key: Hashable
    drive: Drive
    full: bool


class Engine:
    """A design whose drafts are heard at once: `quick` while a hand moves, `prepare` beside it.

    Any thread may call; of one kind of call one is served after the other. Linear algebra of the
    process uses one thread a caller until `close`.

    Example:
        >>> engine = Engine(ac.read_case("cases/compact-centred"))  # doctest: +SKIP
        >>> engine.prepare(draft)  # doctest: +SKIP
        >>> engine.quick(draft).state  # doctest: +SKIP
        'live'
    """

    def __init__(self, case: Case) -> None:
        self._case = case
        self._crossovers, self._axis = crossovers_of(case), axis_driver(case)
        self._heights = page_heights(case)
        near = NEAR_PLATE if case.cabinet.shape == "plate" else NEAR
        self._near = {"axis": near, "seat": SAME, "floor": SAME}
        self._kept: dict[str, list[_Kept]] = {}
        self._listened: dict[str, tuple[Listeners, Listening]] = {}
        self._sources: _Sources | None = None
        self._where: tuple[Hashable, Where] | None = None
        frequency = page_frequencies(case).values()
        self._needed = all_of(len(case.drivers), frequency.size)
        self._lock, self._turn = threading.Lock(), threading.Lock()
        self._preparing = threading.Lock()
        self._manners = Manners()
        self._open = ExitStack()
        self._open.enter_context(one_blas_thread())
        self._behind = self._open.enter_context(threads_behind(usable_cores() + 1))

    def close(self) -> None:
        """End its threads."""
        self._open.close()

    def quick(self, draft: Draft, figured: bool = True) -> DraftCurves:
        """Hear a draft at once, with its figures if they are wanted.

        Returns:
            "live" curves where its fields are asked already, else "coarse" ones, which say what is
            missing.

        Raises:
            GeometryError: a driver that leaves its face, or two in one place.
        """
        with self._manners.in_front(), self._turn:
            case, where = self._posed(draft)
            missing = []
            listeners: dict[str, Listeners] = {}
            for kind, points in where.groups.items():
                listeners[kind], left_out = self._chosen(kind, draft, case, points)
                missing += left_out
            drive, left_out = self._drive_now(draft, case)
            missing += left_out
            heard = {
                kind: self._listening(listeners[kind], kind, points)
                for kind, points in where.groups.items()
            }
            centres = listeners["axis"].centres(draft.places)
            needed = self._needed
            while True:
                fields = self._fields(listeners, heard, where, draft, needed)
                sound = sounding(case, drive, where, centres, fields)
                # The next draft will differ a little, and what it lacks is heard in a second pass.
                self._needed = sound.needed(AHEAD)
                if not sound.needed().beyond(needed):
                    break
                needed = needed.beside(self._needed)
            words = "; ".join(dict.fromkeys(missing))
            state: State = "coarse" if missing else "live"
            return curves_from(case, where, sound, self._heights, state, words, figured)

    def prepare(
        self, draft: Draft, stop: Stop = never, told: Callable[[float], None] | None = None
    ) -> None:
        """Ask the faces for a draft's ears, distance, axis and edges: takes seconds.

        Args:
            draft: whose places are those that are known first.
            stop: asked now and then, from any thread, whether nobody waits any more.
            told: called with the share done.

        Raises:
            Stopped: `stop` was true.
            GeometryError: a draft that cannot be heard.
        """
        with self._preparing:
            self._prepare(draft, stop, told or (lambda _: None))

    def _prepare(self, draft: Draft, stop: Stop, tell: Callable[[float], None]) -> None:
        case, where = self._posed(draft)

        def checkpoint() -> None:
            self._manners.checkpoint(stop)

        def progress(done: int, total: int) -> None:
            checkpoint()

        key = draft.places, draft.edges
        if self._sources is None or not self._sources.full or self._sources.key != key:
            work = self._behind.submit(full_drive, case, self._case, progress)
            self._sources = _Sources(key, work.result(), True)
        tell(DRIVE)
        again = {**self._near, "axis": AGAIN}
        groups = {
            kind: points
            for kind, points in where.groups.items()
            if not self._has(kind, draft, points, again)
        }
        for number, (kind, points) in enumerate(groups.items()):
            part = _part(tell, DRIVE, number, len(groups))
            listeners = self._listeners(kind, draft, case, points)
            self._behind.submit(listeners.solve, progress).result()
            self._keep(kind, _Kept(draft.edges, listeners))
            part(SOLVED)
            listeners.ask(checkpoint, _part(part, SOLVED, 0, 1), self._behind)
        tell(1.0)

    def ready(self, draft: Draft) -> bool:
        """Whether `quick` has all that it takes for this draft, wherever its drivers are."""
        where = self._posed(draft)[1]
        full = self._sources is not None and self._sources.full
        return full and all(
            self._has(kind, draft, points, self._near) for kind, points in where.groups.items()
        )

    def _posed(self, draft: Draft) -> tuple[Case, Where]:
        case = posed(self._case, draft, self._crossovers, self._axis)
        key = draft.ear_height, draft.distance, draft.edges
        last = self._where
        if last is None or last[0] != key:
            last = self._where = key, where_of(case, self._heights)
        return case, replace(last[1], axis=axis_points(case))

    def _has(self, kind: str, draft: Draft, points: np.ndarray, near: dict[str, float]) -> bool:
        with self._lock:
            kept = list(self._kept.get(kind, []))
        return any(
            each.edges == draft.edges
            and each.listeners.asked
            and _away(each.listeners, points) <= near[kind]
            for each in kept
        )

    def _keep(self, kind: str, kept: _Kept) -> None:
        with self._lock:
            self._kept[kind] = [kept, *self._kept.get(kind, [])][:KEPT]

    def _listeners(self, kind: str, draft: Draft, case: Case, points: np.ndarray) -> Listeners:
        layout = layout_of(case)
        if kind == "floor":
            layout = over_the_floor(layout, case.cabinet.floor_level)
        heights = len(self._heights) if kind == "seat" else 0
        return Listeners(case, layout, points, draft.places, heights)

    def _chosen(
        self, kind: str, draft: Draft, case: Case, points: np.ndarray
    ) -> tuple[Listeners, list[str]]:
        """The listeners that serve a draft best, and what they leave out."""
        with self._lock:
            kept = list(self._kept.get(kind, []))
        if not kept:
            kept = [_Kept(draft.edges, self._listeners(kind, draft, case, points))]
            self._keep(kind, kept[0])

        def left_out(each: _Kept) -> list[str]:
            missing = []
            if each.edges != draft.edges:
                missing.append("edges are heard as they were before")
            if _away(each.listeners, points) > self._near[kind]:
                place = "the reference axis was" if kind == "axis" else "the ears were"
                missing.append(f"what passes more than one edge is heard as where {place} before")
            return [*missing, *each.listeners.missing(draft.places)]

        def fitness(each: _Kept) -> tuple[bool, bool, bool, bool, float]:
            own = each.listeners
            missing = bool(left_out(each))
            away = _away(own, points)
            return each.edges != draft.edges, missing, not own.asked, not own.solved, away

        best = min(kept, key=fitness)
        return best.listeners, left_out(best)

    def _listening(self, listeners: Listeners, kind: str, points: np.ndarray) -> Listening:
        """Receivers at some points, or close to them, with what is found of them already."""
        last = self._listened.get(kind)
        close = CLOSE if kind == "axis" else 0.0
        if last is None or last[0] is not listeners or farthest(last[1].receivers, points) > close:
            last = self._listened[kind] = listeners, Listening(points)
        return last[1]

    def _drive_now(self, draft: Draft, case: Case) -> tuple[Drive, list[str]]:
        """The newest sources, and what they leave out."""
        sources = self._sources
        if sources is None:
            key = draft.places, draft.edges
            sources = self._sources = _Sources(key, rough_drive(case), False)
        if sources.full:
            return sources.drive, []
        return sources.drive, ["the air moves with cones as on an infinite baffle"]

    def _fields(
        self,
        listeners: dict[str, Listeners],
        heard: dict[str, Listening],
        where: Where,
        draft: Draft,
        needed: Needed,
    ) -> dict[str, np.ndarray]:
        """Fields of every radiator, by kind; what did not move is not heard again."""
        jobs = [
            (kind, number, job)
            for kind, own in listeners.items()
            for number, job in own.jobs(draft.places, heard[kind], needed).items()
        ]
        found = hear([job for _, _, job in jobs])
        for (kind, number, job), one in zip(jobs, found, strict=True):
            listeners[kind].take(number, job, one)
        return {kind: listeners[kind].fields(points) for kind, points in where.groups.items()}


def _away(listeners: Listeners, points: np.ndarray) -> float:
    """How far points are from those that asked, m, at most."""
    return farthest(points, listeners.points)


def _part(
    tell: Callable[[float], None], begun: float, number: int, parts: int
) -> Callable[[float], None]:
    """Tells the share done of one of some equal parts, which follow on a beginning."""
    each = (1.0 - begun) / parts
    return lambda share: tell(begun + each * (number + share))
