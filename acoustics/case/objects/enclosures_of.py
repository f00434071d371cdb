"""From the values of [enclosures.NAME] to the enclosure of the model: volumes, lengths, masses."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from acoustics.cabinet.ports import (
    TuningError,
    added_mass,
    air_volume,
    effective_length,
    port_length,
)
from acoustics.case.design.enclosure_model import Enclosure, PassiveRadiator, Port, port_part
from acoustics.case.geometry.shell import Shell
from acoustics.case.tables.enclosure_tables import PassiveRadiatorTable, PortTable
from acoustics.case.tables.sound import Values
from acoustics.case.text.phrases import listed
from acoustics.case.text.units import hertz, in_unit
from acoustics.conventions import Air

PORT_WALL = 3e-3
"""m: wall of a duct unless the case says otherwise (common practice, no source)"""


class EnclosureError(ValueError):
    """Values that make no enclosure; `keys` lead to the one to blame."""

    def __init__(self, message: str, *keys: str) -> None:
        super().__init__(message)
        self.keys = keys


def enclosure_of(
    name: str,
    values: Values,
    displaced: Mapping[str, float | None],
    shell: Shell,
    air: Air,
    braces: float = 0.0,
) -> Enclosure:
    """The enclosure that the values of a complete table describe.

    Args:
        name: of the enclosure.
        values: those of its table.
        displaced: volume that each driver takes, m³; one that is not stated counts as nothing.
        shell: the cabinet.
        air: in it.
        braces: what those of [structure] in it take, m³; 0 for none, and what its table says
            counts.

    Raises:
        EnclosureError: no volume, or none that is left; a tuning that cannot be reached.
    """
    ports: Mapping[str, PortTable] = values["ports"] or {}
    radiators: Mapping[str, PassiveRadiatorTable] = values["passive_radiators"] or {}
    taken = [(driver, displaced.get(driver) or 0.0) for driver in values["drivers"]]
    taken += [(f"passive radiator {each}", one.displaced_volume) for each, one in radiators.items()]
    taken.append(("braces", braces or values["braces"] or 0.0))
    gross = _gross(values, shell)
    length = None
    if any(port.length is None for port in ports.values()):
        length = _common_length(values, ports, gross, taken, shell, air)
    lengths = {each: _length(port, length) for each, port in ports.items()}
    ducts = [(port_part(each), _duct(ports[each], long, shell)) for each, long in lengths.items()]
    taken = [(what, volume) for what, volume in (*taken, *ducts) if volume > 0]
    if gross is None:
        gross = values["volume"] + sum(volume for _, volume in taken)
    enclosure = Enclosure(
        name=name,
        kind=values["kind"],
        drivers=tuple(values["drivers"]),
        gross=gross,
        taken=tuple(taken),
        ports=tuple(_port(each, port, lengths[each], shell) for each, port in ports.items()),
        passive_radiators=tuple(_radiator(each, one, shell) for each, one in radiators.items()),
        leakage_q=values["leakage_q"],
        absorption_q=values["absorption_q"] or math.inf,
        port_q=values["port_q"] or math.inf,
        fill=values["fill"],
    )
    _refuse_full(enclosure.gross, taken)
    if radiators and values["tuning"] is not None:
        return _with_added_mass(enclosure, values["tuning"], air)
    return enclosure


def _gross(values: Values, shell: Shell) -> float | None:
    """Volume of its share of the cabinet's inside, m³; None if its net volume is stated."""
    if values["volume"] is not None:
        return None
    if shell.inside is None:
        raise EnclosureError(
            'the key is missing; add it, for example volume = "14 l", or say how thick the walls '
            'are, for example cabinet.wall_thickness = "18 mm", and the volume is what is inside',
            "volume",
        )
    share: float = 1.0 if values["share"] is None else values["share"]
    return share * shell.inside


def _refuse_full(gross: float, taken: list[tuple[str, float]]) -> None:
    if gross - sum(volume for _, volume in taken) <= 0:
        parts = listed(
            [f"{what} {in_unit(part, 'l', digits=3)}" for what, part in taken if part > 0]
        )
        raise EnclosureError(
            f"no air is left: of {in_unit(gross, 'l', digits=3)} inside, all is taken: {parts}; "
            "give it a larger share or a larger cabinet, or put less into it",
            "share",
        )


def _common_length(
    values: Values,
    ports: Mapping[str, PortTable],
    gross: float | None,
    taken: list[tuple[str, float]],
    shell: Shell,
    air: Air,
) -> float:
    """The length of the ports that have none, by which the enclosure is tuned, m."""
    known = {each: port for each, port in ports.items() if port.length is not None}
    sought = [port for port in ports.values() if port.length is None]
    if gross is None:
        volume, slope = values["volume"], 0.0
    else:
        fixed = [
            (port_part(each), _duct(port, port.length or 0.0, shell))
            for each, port in known.items()
        ]
        _refuse_full(gross, [*taken, *fixed])
        volume = gross - sum(part for _, part in (*taken, *fixed))
        slope = sum(_section(port, shell) for port in sought)
    gain = air_volume(1.0, values["fill"])
    areas = [_area(port) for port in sought]
    fixed_conductivity = sum(
        _area(port) / effective_length(port.length or 0.0, _area(port), _ends(port))
        for port in known.values()
    )
    shortest = max(shell.wall_behind(shell.faces.name(port.face)) for port in sought)
    try:
        return port_length(
            values["tuning"],
            gain * volume,
            areas,
            [effective_length(0.0, _area(port), _ends(port)) for port in sought],
            air.speed_of_sound,
            conductivity=fixed_conductivity,
            taken=gain * slope,
            shortest=shortest,
        )
    except TuningError as error:
        litres = in_unit(volume, "l", digits=3)
        limit = in_unit(error.limit, "Hz", digits=3)
        if not error.highest:
            raise EnclosureError(
                f"these ports cannot tune {litres} lower than {limit}, however long: take ports of "
                "less area, a higher tuning or more volume",
                "tuning",
            ) from None
        wave = 2 * math.pi * values["tuning"] / air.speed_of_sound
        needed = (wave**2 * gain * volume - fixed_conductivity) / len(sought)
        per_radius = max(effective_length(0.0, math.pi, _ends(port)) for port in sought)
        area = _area_for(needed, per_radius, shortest)
        raise EnclosureError(
            f"{hertz(values['tuning'])} is out of reach: in {litres} these ports give {limit} at "
            f"most, with no length but the {in_unit(shortest, 'mm')} of the wall; tune lower, take "
            f"less volume, or an area of at least {in_unit(area, 'cm2', digits=3)} for each port "
            f"without a length ({in_unit(2 * math.sqrt(area / math.pi), 'mm', digits=3)} across if "
            "round)",
            "tuning",
        ) from None


def _area_for(conductivity: float, factor: float, length: float) -> float:
    """Area S (m²) of a port with S/(length + factor·√(S/π)) of that value (m)."""
    half = conductivity * factor / math.sqrt(math.pi) / 2
    return (half + math.sqrt(half**2 + conductivity * length)) ** 2


def _length(port: PortTable, common: float | None) -> float:
    if port.length is not None:
        return port.length
    assert common is not None
    return common


def _area(port: PortTable) -> float:
    if port.diameter is not None:
        return math.pi / 4 * port.diameter**2
    return (port.width or 0.0) * (port.height or 0.0)


def _ends(port: PortTable) -> tuple[str, str]:
    return port.outer_end, port.inner_end


def _section(port: PortTable, shell: Shell) -> float:
    """Cross-section of the duct with its walls, m²."""
    if port.diameter is not None:
        wall = PORT_WALL if port.wall is None else port.wall
        return math.pi / 4 * (port.diameter + 2 * wall) ** 2
    wall = (shell.wall or PORT_WALL) if port.wall is None else port.wall
    return ((port.width or 0.0) + 2 * wall) * ((port.height or 0.0) + 2 * wall)


def _duct(port: PortTable, length: float, shell: Shell) -> float:
    """Volume that the duct takes behind the cabinet's wall, m³."""
    wall = shell.wall_behind(shell.faces.name(port.face))
    return _section(port, shell) * max(length - wall, 0.0)


def _port(name: str, port: PortTable, length: float, shell: Shell) -> Port:
    right, up = port.position
    size: Iterator[float | None] = iter((port.diameter, port.width, port.height))
    return Port(
        name=name,
        size=tuple(each for each in size if each is not None),
        length=length,
        position=(right, up),
        face=shell.faces.name(port.face),
        outer_end=port.outer_end,
        inner_end=port.inner_end,
    )


def _radiator(name: str, text: PassiveRadiatorTable, shell: Shell) -> PassiveRadiator:
    right, up = text.position
    mass, compliance = text.moving_mass, text.compliance
    if compliance is None:
        assert text.resonance is not None
        compliance = 1 / ((2 * math.pi * text.resonance) ** 2 * mass)
    resistance = text.mechanical_resistance
    if resistance is None:
        assert text.mechanical_q is not None
        resistance = math.sqrt(mass / compliance) / text.mechanical_q
    return PassiveRadiator(
        name=name,
        piston_diameter=text.piston_diameter,
        frame_diameter=text.frame_diameter,
        position=(right, up),
        moving_mass=mass + (text.added_mass or 0.0),
        compliance=compliance,
        mechanical_resistance=resistance,
        face=shell.faces.name(text.face),
        most_displacement=text.most_displacement,
    )


def _with_added_mass(enclosure: Enclosure, tuning: float, air: Air) -> Enclosure:
    """With one mass added to all its passive radiators, by which it is tuned."""
    radiators = enclosure.passive_radiators
    stiffness = air.density * air.speed_of_sound**2
    volume = air_volume(enclosure.volume, enclosure.fill)
    areas = [math.pi / 4 * one.piston_diameter**2 for one in radiators]
    compliances = [one.compliance for one in radiators]
    masses = [one.moving_mass for one in radiators]
    try:
        mass = added_mass(tuning, stiffness / volume, areas, compliances, masses)
    except TuningError as error:
        raise EnclosureError(
            f"{hertz(tuning)} is out of reach: in {in_unit(enclosure.volume, 'l', digits=3)} the "
            f"passive radiators are tuned to {in_unit(error.limit, 'Hz', digits=3)} without any "
            "added mass; tune lower, take less volume, or passive radiators that are lighter or "
            "have more area",
            "tuning",
        ) from None
    heavier = (replace(one, moving_mass=one.moving_mass + mass) for one in radiators)
    return replace(enclosure, passive_radiators=tuple(heavier))
