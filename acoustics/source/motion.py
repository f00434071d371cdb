"""Volume velocity per volt of everything that moves: drivers, ports and passive radiators."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.source.box import box_admittance, leak_admittance, tuning_of
from acoustics.source.cone import (
    cone_impedance,
    constant_velocity,
    pressure_per_volt,
    terminal_impedance,
)
from acoustics.source.passive import passive_impedance, port_impedance
from acoustics.source.radiators import Radiator, radiators_of


@dataclass(frozen=True)
class Motion:
    """What moves for a volt of the amplifier at one driver, the others' inputs shorted.

    Of drivers on a passive crossover it is a volt at their own terminals.

    volume_velocity: outward of every radiator, m³/s per V, complex (radiator, driver, frequency).
    leak: what leaves through leaks, likewise, (driver, frequency). impedance: at a driver's
    terminals, ohm, complex (driver, frequency); NaN for drivers without small-signal parameters.
    tuning: by enclosure, of its ports or passive radiators, or the closed box's resonance, Hz.
    """

    radiators: tuple[Radiator, ...]
    volume_velocity: np.ndarray
    leak: np.ndarray
    impedance: np.ndarray
    tuning: dict[str, float]


def motion_of(case: Case, frequency: np.ndarray, load: np.ndarray | None = None) -> Motion:
    """Solve the acoustic circuit of every enclosure, and of every driver without one.

    With volume velocities U, outward positive, p_b the pressure in the box, Z_r the radiation
    impedances and V the voltage at driver i, in the manner of Small (J. Audio Eng. Soc. 20, 1972,
    383; 21, 1973, 363; 22, 1974, 592; from memory):

        Z_i U_i + Σ_j Z_r,ij U_j − p_b = V Bl/(S Z_e)    drivers
        Z_k U_k + Σ_j Z_r,kj U_j − p_b = 0               ports and passive radiators
        Y_b p_b + Σ_j U_j = 0                            the box

    What is behind different walls does not move each other. A driver without small-signal
    parameters moves as its sensitivity has it, whatever the box.

    Args:
        case: the design.
        frequency: Hz, above 0, shape (frequency,).
        load: what the air on this cabinet adds, Pa s/m³, complex (radiator, radiator, frequency),
            as `radiation_load` gives it. None: drivers and passive radiators keep the air load with
            which they were measured, and nothing resists; then Small's closed forms hold.
    """
    frequency = np.asarray(frequency, dtype=float)
    radiators = radiators_of(case)
    shape = (len(radiators), len(case.drivers), frequency.size)
    velocity = np.zeros(shape, dtype=complex)
    leak = np.zeros(shape[1:], dtype=complex)
    impedance = np.full(shape[1:], np.nan + 0j)
    tuning = {each.name: tuning_of(case, each) for each in case.enclosures}
    for number, driver in enumerate(case.drivers):
        if driver.small_signal is None:
            velocity[number, number] = constant_velocity(driver, frequency, case.air)
    homes: list[tuple[Enclosure | None, list[int]]] = [
        (each, [n for n, r in enumerate(radiators) if r.enclosure == each.name])
        for each in case.enclosures
    ]
    homes += [(None, [n]) for n, radiator in enumerate(radiators) if not radiator.enclosure]
    for home, members in homes:
        # A driver of which only the sensitivity is known takes no part in the circuit.
        rows = [n for n in members if _known(case, radiators[n])]
        driven = [n for n in rows if radiators[n].driver is not None]
        if not driven:
            continue
        circuit = _circuit(case, home, tuning, radiators, rows, frequency, load)
        for own in driven:  # the first radiators are the drivers, so that is its number too
            push = np.zeros((frequency.size, circuit.shape[-1]), dtype=complex)
            push[:, rows.index(own)] = pressure_per_volt(case, own, frequency)
            moved = np.linalg.solve(circuit, push[..., None])[..., 0].T
            velocity[rows, own] = moved[: len(rows)]
            if home is not None:
                leak[own] = moved[-1] * leak_admittance(case, home, tuning[home.name])
            impedance[own] = terminal_impedance(case, own, frequency, velocity[own, own])
    return Motion(radiators, velocity, leak, impedance, tuning)


def total(motion: Motion) -> np.ndarray:
    """What all that a driver moves adds up to, leaks included, m³/s per V, (driver, frequency).

    This alone counts far away at low frequencies.
    """
    answer: np.ndarray = motion.volume_velocity.sum(axis=0) + motion.leak
    return answer


def _known(case: Case, radiator: Radiator) -> bool:
    return radiator.driver is None or case.drivers[radiator.driver].small_signal is not None


def _circuit(
    case: Case,
    home: Enclosure | None,
    tuning: dict[str, float],
    radiators: tuple[Radiator, ...],
    rows: list[int],
    frequency: np.ndarray,
    load: np.ndarray | None,
) -> np.ndarray:
    """Left-hand side of the equations of `motion_of`, complex (frequency, unknown, unknown)."""
    count = len(rows)
    unknowns = count + (home is not None)
    matrix = np.zeros((unknowns, unknowns, frequency.size), dtype=complex)
    if load is not None:
        matrix[:count, :count] = load[np.ix_(rows, rows)]
    for place, row in enumerate(rows):
        own = _own_impedance(case, home, tuning, radiators[row], frequency, load is not None)
        matrix[place, place] += own
    if home is not None:
        matrix[:count, -1] = -1.0
        matrix[-1, :count] = 1.0
        matrix[-1, -1] = box_admittance(case, home, tuning[home.name], frequency)
    return np.moveaxis(matrix, -1, 0)


def _own_impedance(
    case: Case,
    home: Enclosure | None,
    tuning: dict[str, float],
    radiator: Radiator,
    frequency: np.ndarray,
    air_known: bool,
) -> np.ndarray:
    if radiator.driver is not None:
        return cone_impedance(case, radiator.driver, frequency, air_known)
    assert home is not None
    if radiator.kind == "port":
        port = next(each for each in home.ports if each.name == radiator.name)
        return port_impedance(port, home, tuning[home.name], frequency, case.air)
    passive = next(each for each in home.passive_radiators if each.name == radiator.name)
    return passive_impedance(passive, frequency, case.air, air_known)
