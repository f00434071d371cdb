"""Readings put into the place of a prediction's directions, so that its own measures judge them.

What is carried over is by how much a reading exceeds the design where it was made: a microphone
at another distance in the same direction is set right by the design's own difference.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.listening.bands import in_band
from acoustics.listening.error import NEPER
from acoustics.listening.standard_curves import Direction
from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.readings.readings import ResponseReading

CLOSE = 2.0
"""degrees: a microphone this close to a direction stands in it"""

NEAREST = 3.0
"""times the distance of the outermost drivers from the reference point: nearer, a microphone hears
each driver from elsewhere, and what it hears is not carried over (common practice, no source)"""


@dataclass(frozen=True, eq=False)
class Excess:
    """By how much a reading exceeds the design.

    `direction` it was made in; `frequency` (Hz) and `nepers` (frequency,); `uncertainty` of each by
    itself in nepers; `calibrated` whether its level is known; `distance` (m).
    """

    name: str
    direction: Direction
    frequency: np.ndarray
    nepers: np.ndarray
    uncertainty: float
    calibrated: bool
    distance: float

    @property
    def band(self) -> tuple[float, float]:
        """Hz between which it is known."""
        return float(self.frequency[0]), float(self.frequency[-1])


def excesses(bench: Bench) -> tuple[Excess, ...]:
    """Of every reading of the whole loudspeaker as built that was made in one of the planes.

    The design is taken where the microphone is stated to have stood.
    """
    case, designed = bench.design.case, bench.answers(bench.design)
    found = []
    for n, reading in enumerate(bench.readings.responses):
        if len(set(reading.playing)) < len(case.drivers) or reading.reversed:
            continue
        direction = direction_of(case, reading)
        if direction is None or not bench.frequencies.responses[n].size:
            continue
        ratio = np.abs(bench.measured.responses[n]) / np.abs(designed.responses[n])
        found.append(
            Excess(
                reading.name,
                direction,
                bench.frequencies.responses[n],
                np.log(np.maximum(ratio, np.finfo(float).tiny)),
                reading.uncertainty * NEPER,
                reading.calibrated,
                float(np.linalg.norm(_from_reference(case, reading))),
            )
        )
    return tuple(found)


def direction_of(case: Case, reading: ResponseReading) -> Direction | None:
    """Plane and angle (degrees) of a microphone about the reference axis; None if in neither.

    Nor in any if it stood so near that the drivers are heard from different directions.
    """
    away = _from_reference(case, reading)
    distance = float(np.linalg.norm(away))
    x, y = case.reference.point
    spread = max(np.hypot(d.position[0] - x, d.position[1] - y) for d in case.drivers)
    if distance < NEAREST * spread or distance == 0:
        return None
    for plane, along, across in (("horizontal", 0, 1), ("vertical", 1, 0)):
        if np.degrees(np.arcsin(abs(away[across]) / distance)) <= CLOSE:
            angle = float(np.degrees(np.arctan2(away[along], away[2])))
            if abs(angle) <= CLOSE:
                return "horizontal", 0.0
            return plane, angle
    return None


def in_directions(
    found: Sequence[Excess], directions: Sequence[Direction], mirrored: bool
) -> Mapping[Direction, Excess]:
    """The reading made in each of some directions, of those in which one was made.

    Args:
        found: all there are; of several in one direction the one of the widest band counts.
        directions: asked for.
        mirrored: whether the left is as the right, so that one stands for the other.
    """
    answer: dict[Direction, Excess] = {}
    for plane, angle in directions:
        near = [
            each
            for each in found
            if each.direction[0] == plane
            and (
                abs(each.direction[1] - angle) <= CLOSE
                or (mirrored and plane == "horizontal" and abs(each.direction[1] + angle) <= CLOSE)
            )
        ]
        if near:
            answer[plane, angle] = max(near, key=lambda each: each.band[1] / each.band[0])
    return answer


def covered(measured: Mapping[Direction, Excess]) -> tuple[float, float]:
    """Hz between which all of some readings are known."""
    bands = [each.band for each in measured.values()]
    return max(low for low, _ in bands), min(high for _, high in bands)


def carried(
    prediction: xr.Dataset,
    measured: Mapping[Direction, Excess],
    rng: np.random.Generator | None = None,
) -> xr.Dataset:
    """The prediction's `arc_total` with readings in the place of the directions they were made in.

    Args:
        prediction: of the design, as `predict` makes it.
        measured: what exceeds it, by direction; the reference axis belongs to both planes.
        rng: for readings with noise of their own added once more; None for none.

    Returns:
        The arcs at the frequencies that all of the readings cover.
    """
    band = covered(measured)
    inside = in_band(prediction.frequency.values, band)
    arcs = prediction[["arc_total"]].isel(frequency=inside)
    total = arcs.arc_total.transpose("plane", "angle", "frequency")
    values = total.values.copy()
    x = np.log(arcs.frequency.values)
    planes = [str(plane) for plane in arcs.plane.values]
    for (plane, angle), each in measured.items():
        nepers = each.nepers
        if rng is not None:
            nepers = nepers + each.uncertainty * rng.standard_normal(nepers.size)
        factor = np.exp(np.interp(x, np.log(each.frequency), nepers))
        at = int(np.argmin(np.abs(arcs.angle.values - angle)))
        for number, name in enumerate(planes):
            if name == plane or angle == 0:
                values[number, at] = values[number, at] * factor
    return arcs.assign(arc_total=total.copy(data=values))


def _from_reference(case: Case, reading: ResponseReading) -> np.ndarray:
    answer: np.ndarray = np.array(reading.place) - (*case.reference.point, 0.0)
    return answer
