"""From the loudspeaker's terminals to a driver's, through what a passive crossover does between.

With all else as the design has it, the impedance at the terminals is a Möbius function of one
driver's, Zin = (aZ + b)/(cZ + d), because voltages and currents of a linear two-port are. So three
solves of the network tell a to d, and the inverse tells the driver's impedance from what was
measured. What a part is off by then looks like the driver.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Branch, Case
from acoustics.crossover.branch import branches_of
from acoustics.crossover.network import solve_network
from acoustics.source.measured import driver_impedance
from acoustics.source.motion import Motion
from acoustics.source.terminals import terminal_admittance
from acoustics.studies.wording import listed

TRIED = (4.0, 16.0, 64.0)
"""ohm, of the driver for which the network is solved"""

MOST = 5.0
"""Times by which a share that the measurement is off may grow on the way to the driver: beyond, the
crossover hides the driver and nothing is told of it."""


@dataclass(frozen=True, eq=False)
class Way:
    """What lies between some terminals and a driver's.

    Attributes:
        drivers: numbers of those whose impedance it leads to; several are alike and play as one,
            each having that impedance.
        coefficients: a, b, c, d, complex, shape (4, frequency).
        direct: whether nothing lies between.
    """

    drivers: tuple[int, ...]
    coefficients: np.ndarray
    direct: bool

    def seen(self, impedance: np.ndarray) -> np.ndarray:
        """At the terminals, ohm, for an impedance of the driver, both complex (frequency,)."""
        a, b, c, d = self.coefficients
        answer: np.ndarray = (a * impedance + b) / (c * impedance + d)
        return answer

    def behind(self, seen: np.ndarray) -> np.ndarray:
        """Of the driver, ohm, from what is seen at the terminals, both complex (frequency,)."""
        a, b, c, d = self.coefficients
        with np.errstate(divide="ignore", invalid="ignore"):
            answer: np.ndarray = (d * seen - b) / (a - c * seen)
        return answer

    def growth(self, impedance: np.ndarray) -> np.ndarray:
        """By how much shares grow from the terminals to a driver of an impedance, (frequency,)."""
        a, b, c, d = self.coefficients
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = impedance * (a * d - b * c)
            answer: np.ndarray = np.abs((a * impedance + b) * (c * impedance + d) / slope)
        return answer


def way_to(
    case: Case, motion: Motion, enclosure: Enclosure, driver: int | None, frequency: np.ndarray
) -> Way | str:
    """From where an impedance was measured to the driver that plays an enclosure's resonance.

    Args:
        case: the design.
        motion: of it, at these frequencies.
        enclosure: whose resonance is asked for.
        driver: number of the driver at whose terminals it was measured; None for those of the
            loudspeaker.
        frequency: Hz, shape (frequency,).

    Returns:
        The way, or why there is none, a sentence without its full stop.
    """
    numbers = {each.name: number for number, each in enumerate(case.drivers)}
    members = tuple(numbers[name] for name in enclosure.drivers)
    names = listed(enclosure.drivers)
    if driver is not None or len(case.drivers) == 1:
        if len(members) > 1:
            return (
                f"{names} share it, and one of them alone moves the others along: measure at the "
                "loudspeaker's terminals, with all of them playing"
            )
        return _nothing_between(members, frequency)
    branches = branches_of(case)
    wired = [n for n, branch in enumerate(branches) if branch.slopes == "passive"]
    if not set(members) <= set(wired):
        return f"{names} has an amplifier of its own: measure at its own terminals"
    if len(members) > 1:
        why = _not_alike(case, branches, members)
        if why:
            return why
    return _through(case, motion, members, wired, branches, frequency)


def designed_impedance(
    case: Case, motion: Motion, drivers: tuple[int, ...], frequency: np.ndarray
) -> np.ndarray:
    """What a way of these drivers leads to by the design, ohm, complex, shape (frequency,)."""
    if len(drivers) == 1:
        return np.asarray(driver_impedance(case, motion, frequency)[drivers[0]])
    drawn = terminal_admittance(case, motion, drivers, frequency)
    return np.asarray(1 / drawn[0].sum(axis=0))


def _nothing_between(drivers: tuple[int, ...], frequency: np.ndarray) -> Way:
    ones, zeros = np.ones(frequency.size, dtype=complex), np.zeros(frequency.size, dtype=complex)
    return Way(drivers, np.stack([ones, zeros, zeros, ones]), direct=True)


def _not_alike(case: Case, branches: Sequence[Branch], members: tuple[int, ...]) -> str:
    """Why drivers that share an enclosure cannot be told as one; "" if they can."""
    first, *others = members
    names = listed([case.drivers[n].name for n in members])
    for other in others:
        one, two = case.drivers[first], case.drivers[other]
        if (one.small_signal, one.voice_coil) != (two.small_signal, two.voice_coil):
            return f"{names} share it and are not alike, so no one of them can be told apart"
        if (one.impedance is None) != (two.impedance is None):
            return f"{names} share it, and not all of them have an impedance of their own"
        alike = branches[first].elements == branches[other].elements
        signs = [case.drivers[n].inverted != branches[n].inverted for n in (first, other)]
        if not alike or signs[0] != signs[1]:
            return f"{names} share it behind parts that are not alike, and do not move as one"
    return ""


def _through(
    case: Case,
    motion: Motion,
    members: tuple[int, ...],
    wired: Sequence[int],
    branches: Sequence[Branch],
    frequency: np.ndarray,
) -> Way:
    """a to d as what three solves leave free: a Z + b − Zin (c Z + d) = 0."""
    ladders = [branches[n].elements for n in wired]
    own = [wired.index(n) for n in members]
    signs = np.array(
        [-1.0 if branches[n].inverted != case.drivers[n].inverted else 1.0 for n in wired]
    )
    drawn = terminal_admittance(case, motion, wired, frequency) * signs[:, None, None]
    drawn = drawn * signs[:, None]
    # Drivers of other enclosures do not hear these; those of the same are all among them.
    drawn[own], drawn[:, own] = 0.0, 0.0
    rows = []
    for tried in TRIED:
        drawn[own, own] = 1 / tried
        seen = solve_network(ladders, drawn, frequency).input_impedance
        ones = np.ones_like(seen)
        rows.append(np.stack([ones * tried, ones, -seen * tried, -seen], axis=-1))
    # Scaled so that all columns count alike.
    scale = np.array([1 / TRIED[1], 1.0, 1 / TRIED[1] ** 2, 1 / TRIED[1]])
    free = np.linalg.svd(np.stack(rows, axis=1) * scale)[2][:, -1].conj()
    return Way(members, (free * scale).T, direct=False)
