"""An enclosure with another volume and tuning, its ports or passive radiators made to fit."""

from __future__ import annotations

from dataclasses import replace

from acoustics.cabinet.ports import (
    TuningError,
    added_mass,
    air_volume,
    effective_length,
    port_length,
)
from acoustics.case.design.enclosure_model import Enclosure, port_part
from acoustics.case.design.model import Case
from acoustics.case.geometry.shell import shell_in
from acoustics.source.box import box_compliance
from acoustics.source.radiators import passive_area, port_area

SPARE = 0.9
"""of the lightest passive radiator's moving mass: what may come off all of them"""


def retuned(
    case: Case, enclosure: Enclosure, volume: float, tuning: float | None = None
) -> Enclosure | None:
    """Give an enclosure another net volume and tuning.

    Args:
        case: for the air, and the walls through which ports go.
        enclosure: what is changed.
        volume: net, m³; what is taken stays as it is, ports apart.
        tuning: Hz, of ports by one common length, of passive radiators by one mass that is added
            to all of them, or comes off; without meaning for a closed box. None: ports and passive
            radiators stay as they are.

    Returns:
        The enclosure; None where no length or mass gives that tuning.
    """
    taken = sum(part for _, part in enclosure.taken)
    sized = replace(enclosure, gross=volume + taken)
    if tuning is None or enclosure.kind == "closed":
        return sized
    try:
        if enclosure.kind == "vented":
            return with_length(case, sized, _length(case, sized, tuning))
        return _reweighted(case, sized, tuning)
    except TuningError:
        return None


def with_length(case: Case, enclosure: Enclosure, length: float) -> Enclosure:
    """The same air with all ports `length` (m) long; what they take changes with it."""
    shell = shell_in(case)
    walls = {port.name: shell.wall_behind(port.face) for port in enclosure.ports}
    ratios = {
        port_part(port.name): max(length - walls[port.name], 0.0) / (port.length - walls[port.name])
        for port in enclosure.ports
        if port.length > walls[port.name]
    }
    taken = tuple((what, part * ratios.get(what, 1.0)) for what, part in enclosure.taken)
    return replace(
        enclosure,
        gross=enclosure.volume + sum(part for _, part in taken),
        taken=taken,
        ports=tuple(replace(port, length=length) for port in enclosure.ports),
    )


def _length(case: Case, enclosure: Enclosure, tuning: float) -> float:
    areas = [port_area(port) for port in enclosure.ports]
    shell = shell_in(case)
    return port_length(
        tuning,
        air_volume(enclosure.volume, enclosure.fill),
        areas,
        [
            effective_length(0.0, area, (port.outer_end, port.inner_end))
            for port, area in zip(enclosure.ports, areas, strict=True)
        ],
        case.air.speed_of_sound,
        shortest=max(shell.wall_behind(port.face) for port in enclosure.ports),
    )


def _reweighted(case: Case, enclosure: Enclosure, tuning: float) -> Enclosure:
    passives = enclosure.passive_radiators
    spare = SPARE * min(each.moving_mass for each in passives)
    added = added_mass(
        tuning,
        1 / box_compliance(enclosure, case.air),
        [passive_area(each) for each in passives],
        [each.compliance for each in passives],
        [each.moving_mass - spare for each in passives],
    )
    return replace(
        enclosure,
        passive_radiators=tuple(
            replace(each, moving_mass=each.moving_mass - spare + added) for each in passives
        ),
    )
