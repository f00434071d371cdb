"""The enclosures of a case one by one: their curves, limits, ports and volumes as arrays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.case.design.model import Case
from acoustics.case.geometry.mouths import port_mouth
from acoustics.case.geometry.shell import shell_in
from acoustics.case.text.phrases import listed
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.source.cone import driven_q
from acoustics.source.limits import (
    LIMITS,
    PORT_SPEED,
    air_speed,
    displacement,
    input_limits,
)
from acoustics.source.load import radiation_load
from acoustics.source.motion import Motion, motion_of, total
from acoustics.source.radiators import port_area
from acoustics.source.together import together
from acoustics.studies.box.curves import (
    group_delay,
    half_space_level,
    lowest,
    reference_level,
)
from acoustics.studies.box.retuned import retuned

BASS = 300.0
"""Hz: a driver in a rear chamber of its own whose resonance is higher is left out"""

ENDS = {"f3": 10 * math.log10(2), "f6": 6.0, "f10": 10.0}
"""dB: how far the level is down at the frequencies of these names; f₃ is that of half power"""

OWN_CHAMBER = "own chamber"
"""kind of what is behind a driver in no enclosure"""

NONE_BINDS = -1
"""of `binding`: no limit is stated"""

_PORT = LIMITS.index("port speed")


@dataclass(frozen=True)
class System:
    """An enclosure, or a driver in its own chamber: name, kind, numbers of drivers, enclosure."""

    name: str
    drivers: tuple[int, ...]
    enclosure: Enclosure | None

    @property
    def kind(self) -> str:
        """What is behind its drivers."""
        return OWN_CHAMBER if self.enclosure is None else self.enclosure.kind


def systems_of(case: Case) -> list[System]:
    """Every enclosure, then the drivers in chambers of their own; an open baffle is neither."""
    numbers = {driver.name: number for number, driver in enumerate(case.drivers)}
    systems = [
        System(each.name, tuple(numbers[name] for name in each.drivers), each)
        for each in case.enclosures
    ]
    homed = {number for system in systems for number in system.drivers}
    for number, driver in enumerate(case.drivers):
        signal = driver.small_signal
        if number in homed or signal is None or driver.both_sides:
            continue
        if signal.resonance < BASS:
            systems.append(System(driver.name, (number,), None))
    return systems


def studied(
    case: Case, frequency: np.ndarray, load: bool
) -> tuple[dict[str, np.ndarray], dict[str, Any]]:
    """Arrays and coordinates of a study, suggestions apart.

    Args:
        case: the design.
        frequency: Hz, shape (frequency,).
        load: whether the air on this cabinet comes in.
    """
    systems = systems_of(case)
    motion = motion_of(case, frequency, radiation_load(case, frequency) if load else None)
    for system in systems:
        motion = together(case, motion, system.drivers, frequency)
    voltage = input_limits(case, motion, frequency)
    limits = np.stack([voltage[:, list(each.drivers)].min(axis=1) for each in systems], axis=1)
    members = [
        _Member(row, n, own.drivers[0])
        for n, own in enumerate(systems)
        for row in _rows(motion, own)
    ]
    arrays = _of_enclosures(case, systems, motion, limits, frequency)
    arrays |= _of_radiators(case, members, motion, limits, frequency)
    arrays |= _ports(case, systems, members, motion)
    arrays |= _slower_ports(case, systems, members, motion, arrays["air_speed_at_limit"])
    volumes, parts = _volumes(systems)
    radiators = [motion.radiators[member.row] for member in members]
    coordinates: dict[str, Any] = {
        "frequency": frequency,
        "enclosure": np.array([system.name for system in systems]),
        "enclosure_kind": np.array([system.kind for system in systems]),
        "enclosure_drivers": np.array(
            [listed([case.drivers[n].name for n in system.drivers]) for system in systems]
        ),
        "radiator": np.array([radiator.name for radiator in radiators]),
        "radiator_kind": np.array([radiator.kind for radiator in radiators]),
        "radiator_enclosure": np.array([systems[member.system].name for member in members]),
        "radiator_area": np.array([radiator.area for radiator in radiators]),
        "most_displacement": np.array(
            [or_nan(radiator.most_displacement) for radiator in radiators]
        ),
        "limit": np.array(LIMITS),
        "part": np.array(parts, dtype=str),
    }
    return arrays | volumes, coordinates


@dataclass(frozen=True)
class _Member:
    """A radiator: its number, that of its system, and that of a driver that moves it."""

    row: int
    system: int
    driver: int


def _of_enclosures(
    case: Case,
    systems: Sequence[System],
    motion: Motion,
    limits: np.ndarray,
    frequency: np.ndarray,
) -> dict[str, np.ndarray]:
    """What is known of an enclosure as a whole."""
    sent = total(motion)[[system.drivers[0] for system in systems]]
    level = half_space_level(sent, frequency, case.air)
    reference = np.array([reference_level(case, system.drivers) for system in systems])
    most, binding = _binding(limits)
    ends = {
        name: np.array(
            [lowest(frequency, own, at, down) for own, at in zip(level, reference, strict=True)]
        )
        for name, down in ENDS.items()
    }
    impedance = [1 / (1 / motion.impedance[list(each.drivers)]).sum(axis=0) for each in systems]
    return {
        "total": sent,
        "response": level,
        "reference_level": reference,
        "peak": level.max(axis=1) - reference,
        "impedance": np.stack(impedance),
        "group_delay": group_delay(sent, frequency),
        "input_limit": limits,
        "level_limit": level + 20 * np.log10(limits / DRIVE_VOLTAGE),
        "highest_level": level + 20 * np.log10(most / DRIVE_VOLTAGE),
        "binding": binding,
        "tuning": np.array([_tuning(case, motion, system) for system in systems]),
        "system_q": np.array([_system_q(case, motion, system) for system in systems]),
        **ends,
    }


def _of_radiators(
    case: Case,
    members: Sequence[_Member],
    motion: Motion,
    limits: np.ndarray,
    frequency: np.ndarray,
) -> dict[str, np.ndarray]:
    """What is known of everything that moves."""
    home = [member.system for member in members]
    most, _ = _binding(limits)
    heedless, _ = _binding(np.delete(limits, _PORT, axis=0))
    moved = np.array([displacement(motion, m.row, m.driver, frequency) for m in members])
    speed = np.array([air_speed(motion, m.row, m.driver) for m in members])
    velocity = np.array([motion.volume_velocity[m.row, m.driver] for m in members])
    port = np.array([motion.radiators[m.row].kind == "port" for m in members])[:, None]
    return {
        "volume_velocity": velocity,
        "radiator_level": half_space_level(velocity, frequency, case.air),
        "displacement": np.where(port, np.nan, moved * DRIVE_VOLTAGE),
        "displacement_at_limit": np.where(port, np.nan, moved * most[home]),
        "air_speed": np.where(port, speed * DRIVE_VOLTAGE, np.nan),
        "air_speed_at_limit": np.where(port, speed * heedless[home], np.nan),
    }


def _rows(motion: Motion, system: System) -> list[int]:
    """Numbers of the radiators of a system."""
    cones = list(system.drivers)
    if system.enclosure is None:
        return cones
    return cones + [
        row
        for row, radiator in enumerate(motion.radiators)
        if radiator.driver is None and radiator.enclosure == system.name
    ]


def _binding(limits: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The lowest of the known limits (V, NaN if there is none), and which it is.

    Args:
        limits: V, shape (limit, enclosure, frequency).
    """
    known = np.where(np.isnan(limits), np.inf, limits)
    lowest_one = known.min(axis=0)
    none = np.isinf(lowest_one)
    which = np.where(none, NONE_BINDS, known.argmin(axis=0)).astype(np.int8)
    return np.where(none, np.nan, lowest_one), which


def _tuning(case: Case, motion: Motion, system: System) -> float:
    if system.enclosure is not None:
        return motion.tuning[system.name]
    signal = case.drivers[system.drivers[0]].small_signal
    assert signal is not None
    return signal.resonance


def _system_q(case: Case, motion: Motion, system: System) -> float:
    """Total Q of a closed box, Q_TS·f_C/f_S (Small 1972), the mean of its drivers'; else NaN."""
    if system.kind not in ("closed", OWN_CHAMBER):
        return math.nan
    each = []
    for number in system.drivers:
        signal = case.drivers[number].small_signal
        assert signal is not None
        ratio = _tuning(case, motion, system) / signal.resonance
        each.append(driven_q(case, signal) * ratio)
    return float(np.mean(each))


def _ports(
    case: Case, systems: Sequence[System], members: Sequence[_Member], motion: Motion
) -> dict[str, np.ndarray]:
    """Size and length of ports, and the room behind them; what passive radiators move."""
    size = np.full((len(members), 2), np.nan)
    length, room, mass = np.full((3, len(members)), np.nan)
    for number, member in enumerate(members):
        radiator, box = motion.radiators[member.row], systems[member.system].enclosure
        if radiator.kind == "port" and box is not None:
            port = next(each for each in box.ports if each.name == radiator.name)
            size[number, : len(port.size)] = port.size
            length[number], room[number] = port.length, _room_behind(case, port)
        if radiator.kind == "passive radiator" and box is not None:
            passive = next(each for each in box.passive_radiators if each.name == radiator.name)
            mass[number] = passive.moving_mass
    return {"port_size": size, "port_length": length, "port_room": room, "moving_mass": mass}


def _room_behind(case: Case, port: Port) -> float:
    """How long a port may be, m: to the opposite wall, less half its width for its inner end.

    NaN on a plate, and where it runs into a wall beside it.
    """
    if case.cabinet.shape == "plate":
        return math.nan
    depth = shell_in(case).depths(port.face, port_mouth(port).rim).min()
    return float(depth) - min(port.size) / 2


def _slower_ports(
    case: Case,
    systems: Sequence[System],
    members: Sequence[_Member],
    motion: Motion,
    speed: np.ndarray,
) -> dict[str, np.ndarray]:
    """Ports of the same tuning in which the air keeps to `PORT_SPEED`; NaN where it does already.

    The volume of air that a tuning moves stays, so its speed falls as the area grows.

    Args:
        case: the design.
        systems: its enclosures.
        members: its radiators.
        motion: for the tunings.
        speed: peak, at the highest input that all but the ports allow, m/s (radiator, frequency).

    Returns:
        Diameter of a round port of their area, each, and their length, m, (enclosure,).
    """
    diameter, length = np.full((2, len(systems)), np.nan)
    for number, system in enumerate(systems):
        own = speed[[row for row, member in enumerate(members) if member.system == number]]
        if system.enclosure is None or not np.nanmax(own, initial=0.0) > PORT_SPEED:
            continue
        ratio = math.sqrt(np.nanmax(own) / PORT_SPEED)
        wider = replace(
            system.enclosure,
            ports=tuple(
                replace(port, size=tuple(ratio * side for side in port.size))
                for port in system.enclosure.ports
            ),
        )
        area = max(port_area(port) for port in wider.ports)
        diameter[number] = math.sqrt(4 * area / math.pi)
        made = retuned(case, wider, wider.volume, motion.tuning[system.name])
        length[number] = math.nan if made is None else made.ports[0].length
    return {"slower_port_diameter": diameter, "slower_port_length": length}


def _volumes(systems: Sequence[System]) -> tuple[dict[str, np.ndarray], list[str]]:
    """Gross, net and taken volumes, and the names of the parts that take."""
    boxes = [system.enclosure for system in systems]
    parts = list(dict.fromkeys(part for box in boxes if box is not None for part, _ in box.taken))
    taken = np.zeros((len(boxes), len(parts)))
    for row, box in enumerate(boxes):
        for part, volume in box.taken if box is not None else ():
            taken[row, parts.index(part)] += volume
    return {
        "gross_volume": np.array([np.nan if box is None else box.gross for box in boxes]),
        "net_volume": np.array([np.nan if box is None else box.volume for box in boxes]),
        "taken_volume": taken,
    }, parts


def or_nan(value: float | None) -> float:
    """A number, NaN for one that is not stated."""
    return math.nan if value is None else value
