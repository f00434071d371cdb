"""How far the figures of an enclosure stray among builds that are as good as the case asks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.tolerance_model import Spread
from acoustics.case.objects.usual_tolerance import usual_tolerance
from acoustics.conventions import RoundoverError
from acoustics.measurement.tuning import TuningFit
from acoustics.source.motion import Motion, motion_of
from acoustics.studies.tolerance.builds import built_case
from acoustics.studies.verification.enclosures.terminals import Way, designed_impedance, way_to
from acoustics.studies.verification.readings.readings import COVERED

Fitter = Callable[[np.ndarray, np.ndarray], TuningFit]


@dataclass(frozen=True, eq=False)
class Scene:
    """A design on the frequencies of a reading: the air on it, how it moves, and the way there."""

    case: Case
    enclosure: int
    driver: int | None
    frequency: np.ndarray
    load: np.ndarray | None
    motion: Motion
    way: Way

    def of(self, built: Case) -> np.ndarray:
        """What the design's way makes of a build: the impedance that would be found, ohm."""
        motion = motion_of(built, self.frequency, self.load)
        own = designed_impedance(built, motion, self.way.drivers, self.frequency)
        if self.way.direct:
            return own
        home = built.enclosures[self.enclosure]
        way = way_to(built, motion, home, self.driver, self.frequency)
        assert isinstance(way, Way)
        return self.way.behind(way.seen(own))


def allowed(scene: Scene, designed: TuningFit, fit: Fitter) -> dict[str, float]:
    """Within how much of the designed value 95 % of the builds are, by figure, to first order.

    Args:
        scene: the design where it was measured.
        designed: the fit to what it should be.
        fit: the same fit of another impedance at those frequencies, from unknowns to start from.

    Returns:
        By the names of the figures; NaN for one that has no value.
    """
    tolerance = scene.case.tolerance or usual_tolerance(scene.case)
    names = [scene.case.drivers[n].name for n in scene.way.drivers]
    squares = dict.fromkeys(designed.figures, 0.0)
    for spread in tolerance.spreads:
        if not _counts(spread, names, scene.way.direct):
            continue
        step = spread.within / (COVERED if spread.shape == "normal" else math.sqrt(3.0))
        try:
            built = built_case(scene.case, [spread], [step])
        except RoundoverError:
            continue
        strayed = fit(scene.of(built), designed.unknown)
        for name, figure in strayed.figures.items():
            squares[name] += (figure.value - designed.figures[name].value) ** 2
    return {name: COVERED * math.sqrt(square) for name, square in squares.items()}


def _counts(spread: Spread, names: list[str], direct: bool) -> bool:
    """Whether a spread says anything about the impedance behind the way."""
    if spread.kind == "driver parameter":
        return any(key.rsplit(".", 1)[0] in names for key in spread.keys)
    if spread.kind == "key":
        return any(key.startswith(("cabinet", "enclosures", "drivers")) for key in spread.keys)
    return spread.kind == "temperature" or (spread.kind == "part" and not direct)
