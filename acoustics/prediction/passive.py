"""The passive crossover of a design: its drivers as loads, solved as one circuit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from acoustics.case.design.model import Branch, Case
from acoustics.crossover.branch import before_amplifier, branch_response, branches_of
from acoustics.crossover.network import Network, solve_network
from acoustics.source.cone import series_resistance
from acoustics.source.motion import Motion
from acoustics.source.terminals import induced_admittance, terminal_admittance


class Passive(NamedTuple):
    """Drivers on the passive crossover (their numbers), their filters, and the solved circuit.

    filters (V/V) and currents (A/V) are those of the drivers with the crossover's polarity, per
    volt at the input, complex, shape (driver, frequency). before: volts of the amplifier's source
    per volt at the input, complex, shape (frequency,), None where nothing stands before it; the
    circuit's voltages and currents have it in them.
    """

    drivers: tuple[int, ...]
    filters: np.ndarray
    currents: np.ndarray
    network: Network
    before: np.ndarray | None = None


def passive_of(
    case: Case, motion: Motion, frequency: np.ndarray, filters: np.ndarray | None = None
) -> Passive | None:
    """Solve the passive branches of a case together; None where there are none.

    Args:
        case: the design.
        motion: of the same design.
        frequency: Hz, shape (frequency,).
        filters: of all drivers, V/V, complex, shape (driver, frequency). Those with amplifiers of
            their own, if they share a box with passive ones, move these too; None: they are silent.
    """
    branches = branches_of(case)
    drivers = tuple(n for n, branch in enumerate(branches) if branch.slopes == "passive")
    if not drivers:
        return None
    signs = np.array([-1.0 if branches[n].inverted else 1.0 for n in drivers])
    drawn = as_wired(case, drivers, terminal_admittance(case, motion, drivers, frequency))
    admittance = drawn * signs[:, None, None] * signs[:, None]
    ladders = [branches[n].elements for n in drivers]
    turn = signs[:, None]
    active = before_amplifier(case)
    before = branch_response(active, frequency, case.sampling_rate)
    induced = None
    if filters is not None:
        induced = induced_currents(case, motion, drivers, frequency, filters)
        induced = None if induced is None else turn * induced / before
    network = solve_network(ladders, admittance, frequency, series_resistance(case), induced)
    solved = Passive(drivers, turn * network.transfer, turn * network.load_current, network)
    if active == Branch(""):
        return solved
    return turned(solved, before)._replace(before=before)


def induced_currents(
    case: Case, motion: Motion, drivers: Sequence[int], frequency: np.ndarray, filters: np.ndarray
) -> np.ndarray | None:
    """What drivers with their own amplifiers induce in passive ones of the same box.

    Args:
        case: the design.
        motion: of the same design.
        drivers: numbers of those on the passive crossover.
        frequency: Hz, shape (frequency,).
        filters: of all drivers, V/V, complex, shape (driver, frequency).

    Returns:
        Current into each while its terminals are shorted, A per volt at the input, with its
        polarity in the case, complex, shape (driver, frequency); None where there is none.
    """
    others = [n for n in range(len(case.drivers)) if n not in drivers]
    induced = induced_admittance(case, motion, drivers, others, frequency)
    if not induced.any():
        return None
    way = np.array([-1.0 if driver.inverted else 1.0 for driver in case.drivers])[:, None]
    current = np.einsum("ijf,jf->if", induced, (way * filters)[others])
    answer: np.ndarray = way[list(drivers)] * current
    return answer


def turned(passive: Passive, factor: np.ndarray) -> Passive:
    """A passive crossover with its input multiplied by a factor, complex, shape (frequency,)."""
    network = passive.network
    return passive._replace(
        filters=passive.filters * factor,
        currents=passive.currents * factor,
        network=replace(
            network,
            transfer=network.transfer * factor,
            load_current=network.load_current * factor,
            part_voltage=network.part_voltage * factor,
            part_current=network.part_current * factor,
        ),
        before=None if passive.before is None else passive.before * factor,
    )


def as_wired(case: Case, drivers: Sequence[int], admittance: np.ndarray) -> np.ndarray:
    """An admittance of some drivers, (driver, driver, frequency), with their polarity in the case.

    Inverted drivers have their terminals swapped; what drivers of one box give each other turns.
    """
    way = np.array([-1.0 if case.drivers[n].inverted else 1.0 for n in drivers])
    answer: np.ndarray = admittance * way[:, None, None] * way[:, None]
    return answer


def passive_arrays(case: Case, passive: Passive) -> tuple[dict[str, np.ndarray], dict[str, Any]]:
    """Variables and coordinates that a prediction has of a passive crossover."""
    network = passive.network
    current = np.full((len(case.drivers), network.input_impedance.size), np.nan + 0j)
    current[list(passive.drivers)] = passive.currents
    arrays = {
        "input_impedance": network.input_impedance,
        "driver_current": current,
        "part_voltage": network.part_voltage,
        "part_current": network.part_current,
    }
    if passive.before is not None:
        arrays["amplifier_filter"] = passive.before
    parts = network.parts
    names = [case.drivers[number].name for number in passive.drivers]
    coordinates = {
        "part": np.array([part.name for part in parts], dtype=str),
        "part_kind": np.array([part.kind for part in parts], dtype=str),
        "part_driver": np.array([names[part.ladder] for part in parts], dtype=str),
        "part_value": np.array([part.value for part in parts], dtype=float),
    }
    return arrays, coordinates
