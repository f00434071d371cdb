"""From microphones close to cones and ports to the sound far away, past this cabinet.

A rigid piston of radius a in an infinite baffle, moving with the velocity u, gives at a distance z
on its axis, and far away at R (Kinsler et al., Fundamentals of Acoustics, ch. 7, from memory)

    p(z) = ρc·u·(exp(−jkz) − exp(−jk√(z² + a²)))  →  jωρ·u·a          z, a well below a wavelength
    p(R) = jωρ·U/(2πR)·exp(−jkR),  U = πa²·u      →  p(0)·a/(2R)·exp(−jkR)

so the volume velocity is U = πa·p(0)/(jωρ), and sound pressures close to several pistons count far
away in proportion to their radii, the square roots of their areas: Σ p·a (Keele, J. Audio Eng. Soc.
22, 1974, 154, from memory). That is the limit in which nothing but the piston is near. Here both
ways, from each piston to every microphone near one and to the one far away, are the solver's: the
edges of the compact two-way lower the pressure at its woofer by 0.6 dB, and below the tuning, where
cone and port nearly cancel, it counts that each hears the other. With N the near ways and F the far
ones,

    p_near = N·U,  p_far = F·N⁻¹·p_near.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.cabinet import face_of, flat_parts
from acoustics.case.design.model import Case
from acoustics.case.text.phrases import choice
from acoustics.conventions import Air, RoundoverError
from acoustics.prediction.fields import by_receiver
from acoustics.prediction.layout import Layout, layout_of
from acoustics.prediction.moving import radiator_name
from acoustics.source.radiators import Radiator, radiators_of

CLOSE = 0.005
"""m: a usual distance of the microphone, which must not be touched."""

HIGHEST_KA = 1.0
"""A near field says nothing of the far one above it: 10 900 Hz over the diameter in cm (Keele)."""


@dataclass(frozen=True)
class Near:
    """What a microphone heard close to something that moves air.

    Attributes:
        radiator: name, a driver's, or the enclosure's and the port's: "bass rear".
        pressure: per volt or in any unit that all of a driver's have in common, complex
            (frequency,). Those of one driver share gain and clock.
        distance: of the microphone from the middle of the cone or the mouth, m.
        alike: names of others that move as this one does, each point as fast: a second port of the
            same enclosure that was not measured.
    """

    radiator: str
    pressure: np.ndarray
    distance: float = CLOSE
    alike: tuple[str, ...] = ()


@dataclass(frozen=True)
class Ways:
    """Pa per m³/s from what was measured near to the microphones.

    near: (microphone, radiator, frequency), complex. far: (radiator, frequency). `highest`: Hz, up
    to which the largest of the radiators is small.
    """

    near: np.ndarray
    far: np.ndarray
    highest: float


def highest_frequency(radius: float, speed_of_sound: float) -> float:
    """Where ka = 1 for a radius (m), Hz: above it a near field is not the far one's."""
    return HIGHEST_KA * speed_of_sound / (2 * math.pi * radius)


def near_a_baffle(
    frequency: np.ndarray, radius: float, air: Air, distance: float = 0.0
) -> np.ndarray:
    """Sound pressure on the axis of a rigid piston in an infinite baffle per volume velocity.

    Args:
        frequency: Hz, shape (frequency,).
        radius: m.
        air: the medium.
        distance: from the piston's middle, m.

    Returns:
        Pa per m³/s, complex, shape (frequency,); equations in the file's head.
    """
    k = 2j * np.pi * np.asarray(frequency, dtype=float) / air.speed_of_sound
    rim = math.hypot(distance, radius)
    answer: np.ndarray = (
        air.density
        * air.speed_of_sound
        * (np.exp(-k * distance) - np.exp(-k * rim))
        / (math.pi * radius**2)
    )
    return answer


def far_from_a_baffle(frequency: np.ndarray, distance: float, air: Air) -> np.ndarray:
    """That of any small source in an infinite baffle, at a distance (m), Pa per m³/s."""
    frequency = np.asarray(frequency, dtype=float)
    turn = np.exp(-2j * np.pi * frequency * distance / air.speed_of_sound)
    return 1j * frequency * air.density / distance * turn


def near_to_far(
    near: Sequence[np.ndarray] | np.ndarray, near_ways: np.ndarray, far_ways: np.ndarray
) -> np.ndarray:
    """Sound pressure far away from those close to everything that moves.

    Args:
        near: pressures at the near microphones, complex, shape (microphone, frequency).
        near_ways: from every radiator to every microphone, Pa per m³/s, complex, (microphone,
            radiator, frequency), as many microphones as radiators; or (microphone, frequency),
            where each hears its own alone.
        far_ways: from every radiator to the microphone far away, Pa per m³/s, (radiator,
            frequency).

    Returns:
        In the unit of the near pressures, complex, shape (frequency,).
    """
    velocity = volume_velocities(near, near_ways)
    answer: np.ndarray = np.sum(far_ways * velocity, axis=0)
    return answer


def volume_velocities(near: Sequence[np.ndarray] | np.ndarray, near_ways: np.ndarray) -> np.ndarray:
    """What everything moves, complex (radiator, frequency); arguments as in `near_to_far`."""
    pressure = np.asarray(near)
    if near_ways.ndim == 2:
        return pressure / near_ways
    matrix = np.moveaxis(near_ways, -1, 0)
    answer: np.ndarray = np.linalg.solve(matrix, pressure.T[..., None])[..., 0].T
    return answer


def ways_of(
    case: Case,
    measured: Sequence[Near],
    microphone: Sequence[float] | np.ndarray,
    frequency: np.ndarray,
    *,
    solve: Callable[..., xr.DataArray] | None = None,
) -> Ways:
    """The ways on this cabinet from what was measured near to all microphones.

    A cone moves behind its face by its `acoustic_depth`, and its own microphone with it, so only
    the others hear it later.

    Args:
        case: the design.
        measured: one for each radiator, or group of such that move alike.
        microphone: far away, m in the cabinet's own coordinates, (3,).
        frequency: Hz, ascending, shape (frequency,).
        solve: in place of `acoustics.field.solve_field`.

    Raises:
        RoundoverError: no such radiator, one that is named twice, or nothing.
        GeometryError: a microphone inside the cabinet.
    """
    if solve is None:
        from acoustics.field import solve_field

        solve = solve_field
    frequency = np.asarray(frequency, dtype=float)
    radiators = radiators_of(case)
    groups = _groups(radiators, measured)
    layout = layout_of(case)
    points = [
        near_point(layout, group[0], each.distance)
        for group, each in zip(groups, measured, strict=True)
    ]
    receivers = np.array([*points, np.asarray(microphone, dtype=float)])
    solved = solve(
        layout.body,
        layout.pistons,
        receivers,
        frequency,
        air=case.air,
        accuracy=case.accuracy,
        memory=case.memory,
    )
    field = layout.per_radiator(by_receiver(solved))  # (radiator, receiver, frequency)
    turn = -2j * np.pi * frequency / case.air.speed_of_sound
    ways = np.empty((len(points) + 1, len(groups), frequency.size), dtype=complex)
    for column, group in enumerate(groups):
        areas = np.array([radiators[n].area for n in group])
        share = areas / areas.sum()
        for row in range(len(points) + 1):
            total = np.zeros(frequency.size, dtype=complex)
            for number, part in zip(group, share, strict=True):
                own = row == column and number == group[0]
                depth = 0.0 if own else _depth(case, radiators[number])
                total += part * field[number, row] * np.exp(turn * depth)
            ways[row, column] = total
    largest = max(math.sqrt(radiators[group[0]].area / math.pi) for group in groups)
    return Ways(
        near=ways[:-1],
        far=ways[-1],
        highest=highest_frequency(largest, case.air.speed_of_sound),
    )


def unmeasured(case: Case, measured: Sequence[Near]) -> tuple[str, ...]:
    """Names of what moves with the measured ones, in the same enclosures, and was not measured."""
    names = {name for each in measured for name in (each.radiator, *each.alike)}
    radiators = radiators_of(case)
    homes = {r.enclosure for r in radiators if radiator_name(r) in names and r.enclosure}
    every = (radiator_name(r) for r in radiators if r.enclosure in homes)
    return tuple(name for name in every if name not in names)


def _groups(radiators: Sequence[Radiator], measured: Sequence[Near]) -> list[list[int]]:
    """Numbers of the radiators of every near field, the one at the microphone first."""
    numbers = {radiator_name(radiator): n for n, radiator in enumerate(radiators)}
    groups: list[list[int]] = []
    seen: set[str] = set()
    for each in measured:
        names = (each.radiator, *each.alike)
        for name in names:
            if name not in numbers:
                raise RoundoverError(f"{name!r} moves no air in this case; {choice(numbers, name)}")
            if name in seen:
                raise RoundoverError(
                    f"two near fields are of {name!r}; give one of each driver, port or passive "
                    "radiator"
                )
            seen.add(name)
        groups.append([numbers[name] for name in names])
    if not groups:
        raise RoundoverError("no near field was given; measure the cone and every port close up")
    return groups


def near_point(layout: Layout, radiator: int, distance: float) -> np.ndarray:
    """The point at a distance (m) before a radiator's middle, (3,)."""
    solid = flat_parts(layout.body)
    piston = layout.pistons[layout.parts[radiator][0][0]]
    normal = solid.normals[face_of(solid, piston)]
    answer: np.ndarray = layout.radiator_centres[radiator] + distance * normal
    return answer


def _depth(case: Case, radiator: Radiator) -> float:
    return case.drivers[radiator.driver].acoustic_depth if radiator.driver is not None else 0.0
