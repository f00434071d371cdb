"""What is asked of a crossover, and its cost as a function of the values of its parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.network_model import Element
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.crossover.part_losses import capacitor_resistance, coil_resistance
from acoustics.crossover.topologies import first_ladder, in_pieces, kinds_of, values_of, with_values
from acoustics.studies.crossover_fit.aims import Residuals, as_vector, played, residuals
from acoustics.studies.crossover_fit.candidates import Candidate, corners_of
from acoustics.studies.crossover_fit.scene import CURVES, Scene

LOWEST = {"inductor": 0.05e-3, "capacitor": 0.5e-6, "resistor": 0.33}
HIGHEST = {"inductor": 10e-3, "capacitor": 150e-6, "resistor": 100.0}
"""H, F and ohm: what is bought for crossovers (common practice, no source)."""


@dataclass(frozen=True)
class Question:
    """What all candidates share: scene, aims, spans (Hz), and the level to be had (dB)."""

    scene: Scene
    fit: Fit
    spans: tuple[tuple[float, float], ...]
    loudest: float


@dataclass(frozen=True)
class Trial:
    """A question put to one candidate: its ladders, with values to be replaced by others."""

    question: Question
    candidate: Candidate
    templates: tuple[tuple[Element, ...], ...]

    @property
    def kinds(self) -> tuple[str, ...]:
        """What each value is of."""
        return tuple(kind for ladder in self.templates for kind in kinds_of(ladder))

    def ladders(
        self, values: np.ndarray, seconds: Sequence[float] = ()
    ) -> list[tuple[Element, ...]]:
        """The ladders with some values, H, F and ohm, and the losses of such parts.

        `seconds` are the second pieces of those in two, 0 for none; none at all if left out.
        """
        made, first = [], 0
        for template in self.templates:
            last = first + len(kinds_of(template))
            ladder = with_values(template, values[first:last])
            ladder = with_losses(ladder, self.question.fit)
            made.append(in_pieces(ladder, seconds[first:last]) if seconds else ladder)
            first = last
        return made

    def residuals(self, values: np.ndarray) -> Residuals:
        """What is left of each aim."""
        own = self.question
        sound = played(own.scene, self.ladders(values), self.candidate.turned)
        return residuals(own.scene, own.fit, own.spans, sound, own.loudest)

    def vector(self, logs: np.ndarray) -> np.ndarray:
        """The same, weighted, from the values' logarithms; the sum of squares is the cost, dB²."""
        return as_vector(self.question.fit, self.residuals(np.exp(logs)))

    def cost(self, logs: np.ndarray) -> float:
        """Weighted mean squares of all aims, dB²."""
        return float((self.vector(logs) ** 2).sum())


def trial_of(question: Question, candidate: Candidate, shift: float = 1.0) -> Trial:
    """A candidate with values to begin with, the corners of its textbook sections times `shift`."""
    scene, fit = question.scene, question.fit
    own = [_level_between(scene, n, fit.band) for n in range(len(scene.names))]
    templates = (
        first_ladder(
            shape, (shift * low, shift * high), _load(scene, n, low, high), own[n] - own[0]
        )
        for n, (shape, (low, high)) in enumerate(
            zip(candidate.shapes, corners_of(question.spans, scene.begins, scene.ends), strict=True)
        )
    )
    return Trial(question, candidate, tuple(templates))


def start_of(trial: Trial) -> np.ndarray:
    """The logarithms of a trial's values to begin with, within what can be bought."""
    values = np.concatenate([values_of(each) for each in trial.templates])
    low, high = bounds(trial.kinds)
    answer: np.ndarray = np.log(np.clip(values, 1.01 * low, high / 1.01))
    return answer


def with_losses(ladder: Sequence[Element], fit: Fit) -> tuple[Element, ...]:
    """The same elements with the resistance of real coils and capacitors of their values."""

    def own(element: Element) -> float:
        if element.inductor is not None:
            return float(coil_resistance(element.inductor, fit.wire))
        if element.capacitor is not None:
            return float(capacitor_resistance(element.capacitor, fit.capacitor_loss))
        return 0.0

    return tuple(replace(element, resistance=own(element)) for element in ladder)


def bounds(kinds: Sequence[str]) -> tuple[np.ndarray, np.ndarray]:
    """Least and largest value of each part, H, F and ohm, shape (part,)."""
    return np.array([LOWEST[k] for k in kinds]), np.array([HIGHEST[k] for k in kinds])


def level_to_be_had(scene: Scene, fit: Fit, distance: float) -> float:
    """What the mean level of the listening window is held against, dB at the arcs' distance.

    The level asked for; else the lowest driver's own where it plays, which no passive crossover
    exceeds for long.
    """
    if fit.level is not None:
        return fit.level - 20 * float(np.log10(distance))
    return _level_between(scene, 0, fit.band)


def _level_between(scene: Scene, driver: int, band: tuple[float, float]) -> float:
    """Mean level of a driver without a crossover in the listening window, dB, loudest half.

    The half of the band in which it plays loudest is about where it is meant to.
    """
    power = scene.shares[CURVES.index("listening_window")] @ np.abs(scene.pressure[:, driver]) ** 2
    level = 10 * np.log10(scene.smooth @ power / REFERENCE_PRESSURE**2)
    return float(np.mean(np.sort(level)[level.size // 2 :]))


def _load(scene: Scene, driver: int, low: float, high: float) -> float:
    """What a driver draws about its corners, as a resistance, ohm."""
    near = np.sqrt(low * high)
    octaves = np.abs(np.log2(scene.frequency / near))
    drawn = np.abs(scene.admittance[driver, driver])[octaves <= 0.5]
    if drawn.size == 0:
        drawn = np.abs(scene.admittance[driver, driver])[[int(np.argmin(octaves))]]
    return float(1 / np.median(drawn))
