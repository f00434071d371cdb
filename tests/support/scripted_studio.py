"""Studies that answer from a script, so that the page's server is tested without any physics.

Run as a program it serves a case with them: python tests/support/scripted_studio.py CASE
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import GeometryError
from acoustics.page.assets import INDEX, Asset, read_assets
from acoustics.page.studio import Studio
from acoustics.studies.live.curves import DraftCurves, State
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.drafts import draft_of
from acoustics.studies.live.grid import AXIS_ANGLES, page_frequencies, page_heights
from acoustics.studies.live.limits import Limits, limits_of
from acoustics.studies.live.looks import looks_at
from acoustics.studies.live.stopping import Stopped
from acoustics.studies.live.under import MapUnder

OVER_THE_EDGE, OFF_THE_FACE = 0.127, 0.133
"""m up: beyond these the script warns of the first driver, and refuses to hear it"""


def draft_at(case: Case, up: float) -> Draft:
    """The design with its first driver at another height on its face, m."""
    draft = draft_of(case)
    return replace(draft, places=((draft.places[0][0], up), *draft.places[1:]))


def scripted_curves(case: Case, draft: Draft, state: State) -> DraftCurves:
    """Levels that tell which draft they are of: the first driver's height in mm above 80 dB."""
    frequency, heights = page_frequencies(case).values(), page_heights(case)
    angles = np.array(AXIS_ANGLES)
    level = 80.0 + 1e3 * draft.places[0][1] - np.log2(frequency / 1000.0) ** 2 / 2
    return DraftCurves(
        state=state,
        missing="the cabinet's edges" if state == "coarse" else "",
        frequency=frequency,
        axis=level,
        each=np.array([level - n for n, _ in enumerate(draft.places)]),
        window=level - 0.5,
        seat=np.array([level - 6.0, level - 7.0]),
        angles=angles,
        aside=level - np.abs(angles)[:, None] / 20,
        heights=heights,
        crossovers=np.array([2000.0]),
        looks=looks_at(np.array([2000.0])),
        lobes=80.0 - np.abs(heights - draft.ear_height) * np.ones((3, 1)),
        figures={"ripple off axis": 1.25, "floor dip": float("nan")},
    )


_LIMITS = dict[object, Limits]()


def remembered_limits(case: Case) -> Limits:
    """The limits of a case, found once for a cabinet: they take a while, most tests have the same.

    Where drivers sit meanwhile changes them only where there is no room.
    """
    key = case.cabinet, case.crossover, case.drivers[0].name
    if key not in _LIMITS:
        _LIMITS[key] = limits_of(case)
    return _LIMITS[key]


@dataclass
class ScriptedEngine:
    """Is ready for the ears it was prepared for.

    `asked` are the drafts that quick answers were asked of; these wait while `free` is not set.
    """

    case: Case | None = None
    prepare_steps: int = 3
    asked: list[Draft] = field(default_factory=list)
    prepared: set[float] = field(default_factory=set)
    free: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        self.free.set()

    def quick(self, draft: Draft, figured: bool = True) -> DraftCurves:
        self.asked.append(draft)
        self.free.wait()
        if draft.places[0][1] > OFF_THE_FACE:
            raise GeometryError("the first driver leaves its face")
        assert self.case is not None
        curves = scripted_curves(self.case, draft, "live" if self.ready(draft) else "coarse")
        return curves if figured else replace(curves, figures={})

    def prepare(self, draft: Draft, stop: Any, told: Callable[[float], None]) -> None:
        for step in range(self.prepare_steps):
            if stop():
                raise Stopped
            told((step + 1) / self.prepare_steps)
        self.prepared.add(draft.ear_height)

    def ready(self, draft: Draft) -> bool:
        return draft.ear_height in self.prepared

    def close(self) -> None:
        pass


@dataclass
class Script:
    """What the studies do next; tests change it between messages.

    `at_work` is set as soon as a step was begun.
    """

    engine: ScriptedEngine = field(default_factory=ScriptedEngine)
    exact_steps: int = 2
    step_takes: float = 0.0
    fails: Exception | None = None
    compiled: bool = True
    exact_asked: list[Draft] = field(default_factory=list)
    stopped: list[str] = field(default_factory=list)
    at_work: threading.Event = field(default_factory=threading.Event)

    def studio(self) -> Studio:
        return Studio(
            engine=self._engine,
            limits_of=remembered_limits,
            why_not=lambda case, draft: (
                ("the frame is over an edge",) if draft.places[0][1] > OVER_THE_EDGE else ()
            ),
            exact_curves=self.exact_curves,
            map_under=self.map_under,
            is_compiled=lambda: self.compiled,
        )

    def _engine(self, case: Case) -> ScriptedEngine:
        self.engine.case = case
        return self.engine

    def exact_curves(self, case: Case, draft: Draft, stop: Callable[[], bool]) -> DraftCurves:
        self.exact_asked.append(draft)
        self._steps("exact", stop)
        if self.fails is not None:
            raise self.fails
        return scripted_curves(case, draft, "exact")

    def map_under(
        self,
        case: Case,
        draft: Draft,
        driver: str,
        by: str,
        stop: Callable[[], bool],
        told: Callable[[float], None],
    ) -> MapUnder:
        self._steps("map", stop, told)
        right, up = np.linspace(-0.05, 0.05, 5), np.linspace(-0.1, 0.15, 7)
        values = np.hypot(right, up[:, None] - 0.1)
        values[0, 0] = np.nan
        return MapUnder(right=right, up=up, values=values, best=(0.0, 0.1))

    def _steps(
        self, what: str, stop: Callable[[], bool], told: Callable[[float], None] | None = None
    ) -> None:
        for step in range(self.exact_steps):
            if stop():
                self.stopped.append(what)
                raise Stopped
            self.at_work.set()
            time.sleep(self.step_takes)
            if told:
                told((step + 1) / self.exact_steps)


PLACEHOLDER = {
    INDEX: Asset(b"<!doctype html><title>page</title>", "text/html; charset=utf-8"),
    "main.js": Asset(b"export {};", "text/javascript; charset=utf-8"),
}
"""given out where it is the server that is looked at"""


if __name__ == "__main__":
    from acoustics.page.serve import serve

    def started(address: str, once: str) -> None:
        print(address, flush=True)

    serve(sys.argv[1], 0, started, print, Script().studio(), read_assets() or PLACEHOLDER)
