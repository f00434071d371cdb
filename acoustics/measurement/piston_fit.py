"""The flat piston that a driver measured at several angles is most like, and how far it is one."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import least_squares

from acoustics.cabinet import Piston, edge_distances, face_of, flat_parts
from acoustics.cabinet.piston import LEAST_MARGIN
from acoustics.case.design.model import MOST_KA
from acoustics.conventions import Air, GeometryError, RoundoverError
from acoustics.curves.minimum_phase import FEWEST, Tails
from acoustics.field import face_field
from acoustics.field.plan import Shape
from acoustics.measurement.excess_delay import COVERAGE, excess_delay

FEWEST_PLACES = 3
"""Microphones: with two, a wrong distance and a wrong diameter look alike."""

WITHIN = 1.0
"""dB: what a piston's levels may be off before it no longer stands for the driver."""

DEPTH_OF_NULLS = 20.0
"""dB below the loudest microphone: below that, levels do not count."""

PERSISTS = 1 / 6
"""octave: what is off for less is a local matter."""

FARTHEST = 3.0
"""Ratio to the nominal diameter within which the fit looks."""

MOST_ROUNDS = 8
"""of fitting the piston and finding up to where it holds"""


@dataclass(frozen=True)
class PistonFit:
    """A piston fitted to a driver; uncertainties are those of about 95 %.

    diameter and depth in m: of the effective piston, and how far its acoustic centre lies behind
    the face. distance_errors: how much farther from the driver each microphone was than stated, m,
    their mean being 0; zero if they were not fitted. holds_to: Hz, up to where the levels are
    within what was allowed; as `breakup` it tells the case. off: level as measured over that of the
    piston, dB, shape (place, frequency). source: volume velocity that goes with it, m³/s (per volt,
    if the pressures are), complex, shape (frequency,).
    """

    diameter: float
    diameter_uncertainty: float
    depth: float
    depth_uncertainty: float
    distance_errors: np.ndarray
    holds_to: float
    frequency: np.ndarray
    off: np.ndarray
    source: np.ndarray


def fit_piston(
    body: Shape,
    piston: Piston,
    microphones: np.ndarray,
    frequency: np.ndarray,
    pressure: np.ndarray,
    *,
    air: Air | None = None,
    accuracy: float = 0.1,
    **how: Any,
) -> PistonFit:
    """Fit diameter and depth of a driver on its cabinet; the body is solved once.

    Args:
        body: the cabinet.
        piston: where the driver is, and its nominal size.
        microphones: m, shape (place, 3), three or more, at several angles.
        frequency: Hz, ascending, shape (frequency,).
        pressure: what was heard, complex, shape (place, frequency), every phase counting from the
            moment of the electrical signal.
        air: as in `solve_field`.
        accuracy: dB, likewise.
        how: further arguments of `fit_to_fields`.

    Raises:
        RoundoverError: too few places or frequencies.
        GeometryError: a piston or microphone that cannot be where it is.
    """
    medium = air or Air()
    solid = flat_parts(body)
    face = face_of(solid, piston)
    room = float(edge_distances(solid, face, np.array(piston.centre)).min()) - 2 * LEAST_MARGIN
    heard = face_field(body, face, microphones, frequency, air=medium, accuracy=accuracy)

    def field(diameter: float) -> np.ndarray:
        one = heard.field([Piston(diameter / 2, piston.centre, face=piston.face)])
        return one.transpose("piston", "receiver", "frequency").values[0]

    ways = np.linalg.norm(np.asarray(microphones) - np.array(piston.centre), axis=-1)
    return fit_to_fields(
        field,
        2 * piston.radius,
        frequency,
        pressure,
        ways=ways,
        largest=2 * room,
        speed_of_sound=medium.speed_of_sound,
        **how,
    )


def fit_to_fields(
    field: Callable[[float], np.ndarray],
    nominal: float,
    frequency: np.ndarray,
    pressure: np.ndarray,
    *,
    ways: np.ndarray,
    speed_of_sound: float,
    largest: float = math.inf,
    distances: bool = False,
    within: float = WITHIN,
    tails: Tails | None = None,
) -> PistonFit:
    """Fit the diameter of a piston, by least squares, and then its depth.

    What the driver sends out is free at every frequency; so the diameter follows from what differs
    between the places alone. The fit goes up to where the piston holds, which is found in turns
    with it. The depth is the delay that is left of the source once its minimum phase is taken out
    (`excess_delay`), and as uncertain as what it does beyond the highest frequency.

    Args:
        field: Pa per m³/s of a piston by its diameter (m), complex, shape (place, frequency).
        nominal: diameter from which to start, m.
        frequency: Hz, ascending, shape (frequency,).
        pressure: as heard, complex, shape (place, frequency).
        ways: from the driver to the microphones, m, shape (place,).
        speed_of_sound: m/s.
        largest: diameter for which there is room, m.
        distances: whether the microphones' distances may be a little off, each by itself.
        within: dB, see `PistonFit.holds_to`.
        tails: of jω times the source, as for `excess_delay`; fitted, and varied, if not given.

    Raises:
        RoundoverError: too few places or frequencies.
    """
    _check(frequency, pressure)
    bounds = np.log([nominal / FARTHEST, min(FARTHEST * nominal, largest)])
    if bounds[0] >= bounds[1]:
        raise GeometryError("there is no room for a piston of a third of the nominal diameter")
    places = pressure.shape[0]
    wave = 2 * np.pi * frequency / speed_of_sound

    def heard(unknown: np.ndarray) -> np.ndarray:
        apart = _apart(unknown[1:], places)[:, None] if distances else np.zeros((places, 1))
        farther = np.exp(-1j * wave * apart) * ways[:, None] / (ways[:, None] + apart)
        return field(float(np.exp(unknown[0]))) * farther

    start = np.log(nominal) if bounds[0] < np.log(nominal) < bounds[1] else bounds.mean()
    unknown = np.array([start, *np.zeros(places - 1 if distances else 0)])
    reach = np.full(unknown.size - 1, 0.2 * ways.min())
    limits = np.array([[bounds[0], *-reach], [bounds[1], *reach]])
    scale = np.array([0.1, *np.full(reach.size, 1e-3)])
    holds = MOST_KA * speed_of_sound / (math.pi * nominal)
    for _ in range(MOST_ROUNDS):
        used = frequency <= max(holds, frequency[FEWEST - 1])

        def residuals(tried: np.ndarray, used: np.ndarray = used) -> np.ndarray:
            return _residuals(heard(tried)[:, used], pressure[:, used])

        found = least_squares(residuals, unknown, bounds=limits, x_scale=scale)
        unknown = found.x
        model = heard(unknown)
        source = _source(model, pressure)
        off = 20 * np.log10(np.abs(pressure) / np.abs(model * source))
        before, holds = holds, _holds_to(frequency, off, model, within)
        if holds == before:
            break
    spread = _deviations(found.jac, found.fun, frequency[used], places)
    diameter = float(np.exp(unknown[0]))
    kept = frequency <= max(holds, frequency[FEWEST - 1])
    late = excess_delay(frequency[kept], (2j * np.pi * frequency * source)[kept], tails=tails)
    return PistonFit(
        diameter=diameter,
        diameter_uncertainty=COVERAGE * diameter * float(spread[0]),
        depth=speed_of_sound * late.time,
        depth_uncertainty=speed_of_sound * late.uncertainty,
        distance_errors=_apart(unknown[1:], places) if distances else np.zeros(places),
        holds_to=holds,
        frequency=frequency,
        off=off,
        source=source,
    )


def _check(frequency: np.ndarray, pressure: np.ndarray) -> None:
    if pressure.shape[0] < FEWEST_PLACES or pressure.shape[1:] != frequency.shape:
        raise RoundoverError(
            f"a piston is fitted to {FEWEST_PLACES} places or more with all frequencies; these are "
            f"{' by '.join(map(str, pressure.shape))} values at {frequency.size} frequencies"
        )
    if frequency.size < FEWEST:
        raise RoundoverError(
            f"a piston cannot be told from {frequency.size} frequencies; take {FEWEST} or more"
        )


def _apart(free: np.ndarray, places: int) -> np.ndarray:
    """Errors of all distances, m, from all but one: one for all would be a depth."""
    return np.append(free, -free.sum()) if free.size else np.zeros(places)


def _source(model: np.ndarray, pressure: np.ndarray) -> np.ndarray:
    """What the driver sends out, by least squares over the places, shape (frequency,)."""
    answer: np.ndarray = (model.conj() * pressure).sum(axis=0) / (np.abs(model) ** 2).sum(axis=0)
    return answer


def _residuals(model: np.ndarray, pressure: np.ndarray) -> np.ndarray:
    """What is left of the pressures over their root mean square at each frequency, real parts."""
    left = pressure - model * _source(model, pressure)
    left = left / np.sqrt((np.abs(pressure) ** 2).mean(axis=0))
    return np.stack([left.real, left.imag]).ravel()


def _holds_to(frequency: np.ndarray, off: np.ndarray, model: np.ndarray, within: float) -> float:
    """Up to where no level is off by more than `within` for longer than `PERSISTS`, Hz."""
    size = np.abs(model)
    counts = size >= size.max(axis=0) * 10 ** (-DEPTH_OF_NULLS / 20)
    wrong = np.append((np.where(counts, np.abs(off), 0.0) > within).any(axis=0), False)
    first = 0
    for last in range(frequency.size):
        if not wrong[last]:
            first = last + 1
        elif last + 1 == frequency.size or frequency[last] >= frequency[first] * 2**PERSISTS:
            return float(frequency[max(first - 1, 0)])
    return float(frequency[-1])


def _deviations(
    slopes: np.ndarray, left: np.ndarray, frequency: np.ndarray, places: int
) -> np.ndarray:
    """Standard deviations of what was fitted, from the slopes and what is left.

    By the estimator that asks of the errors neither equal size nor, within blocks of `PERSISTS`, to
    be independent (White, Econometrica 48, 1980, 817; from memory): where the driver is no piston,
    neighbouring frequencies err alike. Two numbers at each frequency went into the source.
    """
    count, unknowns = left.size, slopes.shape[1]
    lost = count / max(count - 2 * frequency.size - unknowns, 1)
    pulls = (slopes * left[:, None]).reshape(2 * places, frequency.size, unknowns).sum(axis=0)
    block = (np.log2(frequency / frequency[0]) / PERSISTS).astype(int)
    sums = np.stack([np.bincount(block, pulls[:, n]) for n in range(unknowns)])
    inverse = np.linalg.pinv(slopes.T @ slopes)
    answer: np.ndarray = np.sqrt(np.diag(inverse @ sums @ sums.T @ inverse) * lost)
    return answer
