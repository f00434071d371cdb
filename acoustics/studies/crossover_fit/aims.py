"""How far a crossover is from what is asked of it: residuals in dB, for least squares."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.network_model import Element
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.crossover.network import Network, solve_network
from acoustics.crossover.power import CREST_FACTOR, lift, rms_of
from acoustics.studies.crossover_fit.scene import PER_OCTAVE, POINTS_PER_OCTAVE, Scene

FIRM = 10.0
"""dB² for every dB² by which a limit is broken, by a single figure or over an octave of a curve:
limits are all but kept, however many there are and however wide the band"""

SPARE = 1.02
"""By so much more than its limit the input impedance is to stay: parts have tolerances"""

LOUD = 0.02
"""dB by which every dB of level given away is counted, where the level is free"""

HANDS_OVER = 3.0
"""dB by which a driver is to lead outside the span in which it may hand over"""

IMPEDANCE, SPANS, STRAIN = "input impedance", "crossover spans", "displacement and power"
"""Kinds of limits."""


class Played(NamedTuple):
    """A solved crossover and what it makes of the sound.

    network: as `solve_network` gives it, with the polarities. terminals: voltage at the drivers'
    own ones, V/V, complex, (driver, frequency). each: Pa in all directions, complex,
    (direction, driver, frequency). curves: power of `CURVES`, smoothed, (curve, point).
    """

    network: Network
    terminals: np.ndarray
    each: np.ndarray
    curves: np.ndarray


def played(scene: Scene, ladders: Sequence[Sequence[Element]], turned: Sequence[bool]) -> Played:
    """Play all drivers through some ladders, those `turned` with their polarity inverted."""
    way = np.where(turned, -1.0, 1.0)
    admittance = scene.admittance * way[:, None, None] * way[:, None]
    induced = None if scene.induced is None else way[:, None] * scene.induced
    network = solve_network(ladders, admittance, scene.frequency, scene.resistance, induced)
    terminals = way[:, None] * network.transfer
    each = scene.pressure * terminals
    power = np.abs(each.sum(axis=1) + scene.others) ** 2
    return Played(network, terminals, each, (scene.shares @ power) @ scene.smooth.T)


class Residuals(NamedTuple):
    """What is left of each aim in dB, at the points of the curves or as single figures.

    impedance, spans, strain: what limits are broken by, of the input impedance at each frequency,
    of the crossover spans at each point, of displacement and power at each driver. to_mend: of the
    input impedance what the lowest driver alone would not break too; a fit is asked for no more.
    """

    listening_window: np.ndarray
    in_room: np.ndarray
    directivity: np.ndarray
    phase: np.ndarray
    level: np.ndarray
    impedance: np.ndarray
    to_mend: np.ndarray
    spans: np.ndarray
    strain: np.ndarray

    @property
    def limits(self) -> np.ndarray:
        """What all limits are broken by."""
        return np.concatenate([self.impedance, self.spans, self.strain])

    @property
    def broken(self) -> dict[str, float]:
        """By how many dB the limits of each kind are broken at most."""
        kinds = {IMPEDANCE: self.impedance, SPANS: self.spans, STRAIN: self.strain}
        return {kind: float(each.max(initial=0.0)) for kind, each in kinds.items()}


def residuals(
    scene: Scene, fit: Fit, spans: Sequence[tuple[float, float]], sound: Played, loudest: float
) -> Residuals:
    """Hold a played crossover against its aims.

    Args:
        scene: what stays as it is.
        fit: the aims.
        spans: Hz, where the drivers, in the scene's order from the lowest on, may hand over.
        sound: what is played.
        loudest: level that is there for the taking, dB at the arcs' distance.
    """
    window, room, power = (_level(curve) for curve in sound.curves)
    x = np.log2(scene.points)
    aim = fit.tilt * (x - x.mean())
    off = window - aim
    mean = off.mean()
    broken = _too_low(sound.network.input_impedance, fit.least_impedance)
    alone = _too_low(1 / scene.admittance[0, 0], fit.least_impedance)
    level = LOUD * (loudest - mean) if fit.level is None else mean - loudest
    return Residuals(
        listening_window=off - mean,
        in_room=_beside_a_curve(x, room, 1),
        directivity=_beside_a_curve(x, window - power, 3),
        phase=_out_of_step(scene, sound),
        level=np.array([level]),
        impedance=broken,
        to_mend=np.maximum(broken - alone, 0.0),
        spans=_wrong_leader(scene, sound, spans),
        strain=_strain(scene, sound),
    )


def as_vector(fit: Fit, found: Residuals) -> np.ndarray:
    """All residuals, weighted such that their squares add up to the cost, in dB²."""
    weights = fit.weights
    aims = (
        (weights.listening_window, found.listening_window),
        (weights.in_room, found.in_room),
        (weights.directivity, found.directivity),
        (weights.phase, found.phase),
        (1.0, found.level),
    )
    limits = (
        (PER_OCTAVE, found.to_mend),
        (POINTS_PER_OCTAVE, found.spans),
        (1, found.strain),
    )
    return np.concatenate(
        [np.sqrt(weight / each.size) * each for weight, each in aims if each.size]
        + [np.sqrt(FIRM / count) * each for count, each in limits]
    )


def _level(power: np.ndarray) -> np.ndarray:
    answer: np.ndarray = 10 * np.log10(
        np.maximum(power, np.finfo(float).tiny) / REFERENCE_PRESSURE**2
    )
    return answer


def _beside_a_curve(x: np.ndarray, level: np.ndarray, degree: int) -> np.ndarray:
    """What a polynomial in log frequency leaves."""
    shape, _ = np.linalg.qr(np.vander((x - x.mean()) / (x[-1] - x[0]), degree + 1))
    answer: np.ndarray = level - shape @ (shape.T @ level)
    return answer


def _out_of_step(scene: Scene, sound: Played) -> np.ndarray:
    """dB lost on the reference axis because drivers are not in phase, where they hand over.

    Weighted by how much of the power is not the loudest driver's, such that the mean square is that
    over the overlap alone, however narrow it is.
    """
    # Drivers with amplifiers of their own are heard too, all together.
    each = np.concatenate([sound.each[0], scene.others[:1]])
    axis = np.abs(each)
    most = axis.sum(axis=0) ** 2
    tiny = np.finfo(float).tiny
    share = scene.smooth @ (np.abs(each.sum(axis=0)) ** 2 / np.maximum(most, tiny))
    power = axis**2 @ scene.smooth.T
    shared = 1 - power.max(axis=0) / np.maximum(power.sum(axis=0), tiny)
    weight = shared / max(float(shared.mean()), tiny)
    answer: np.ndarray = np.sqrt(weight) * 10 * np.log10(np.maximum(share, 1e-6))
    return answer


def _too_low(impedance: np.ndarray, least: float | None) -> np.ndarray:
    """dB by which the input impedance is below what the amplifier is made for."""
    if least is None:
        return np.zeros(0)
    return np.maximum(20 * np.log10(SPARE * least / np.abs(impedance)), 0.0)


def _wrong_leader(scene: Scene, sound: Played, spans: Sequence[tuple[float, float]]) -> np.ndarray:
    """dB by which a driver does not lead where it should, at the points of the curves."""
    level = _level(np.abs(sound.each[0]) ** 2 @ scene.smooth.T)
    broken = [np.zeros(0)]
    for lower, (low, high) in enumerate(spans):
        ahead = level[lower] - level[lower + 1]
        below, above = scene.points < low, scene.points > high
        # At every span the neighbours alone count: far from it neither may be heard.
        if lower > 0:
            below &= scene.points > spans[lower - 1][1]
        if lower + 1 < len(spans):
            above &= scene.points < spans[lower + 1][0]
        broken.append(np.maximum(HANDS_OVER - ahead[below], 0.0))
        broken.append(np.maximum(HANDS_OVER + ahead[above], 0.0))
    return np.concatenate(broken)


def _strain(scene: Scene, sound: Played) -> np.ndarray:
    """dB by which the programme moves or heats drivers more than they stand.

    The programme is that of `crossover.power`, at the amplifier's highest voltage behind whatever
    is active before it; the driver that plays lowest of all is left out, for what moves it is the
    box's business.
    """
    first = 1 if scene.begins is None else 0
    if scene.voltage is None or first == len(scene.names):
        return np.zeros(0)
    frequency, rms = scene.frequency, scene.voltage / lift(scene.before, scene.frequency)
    chosen = sound.terminals * scene.before
    # Drivers of one box move each other.
    moved = np.einsum("ijf,jf->if", scene.moved[first:], chosen) + scene.pushed[first:]
    used = np.concatenate(
        [
            CREST_FACTOR / np.sqrt(2) * rms_of(moved, frequency, rms),
            rms_of(chosen[first:] / scene.power[first:], frequency, rms),
        ]
    )
    answer: np.ndarray = np.maximum(20 * np.log10(np.maximum(used, 1e-6)), 0.0)
    return answer
