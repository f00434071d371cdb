"""One value of what stands on the bench multiplied by a factor, whatever it is there.

What is not there, because a fault has taken it away, stays away.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from acoustics.driver import VoiceCoil
from acoustics.studies.verification.built import Built


def scaled_part(branch: int, place: int, what: str, built: Built, factor: float) -> Built:
    """A value of an element ("capacitor", "second_resistor", …), by its branch and place in it."""
    crossover = list(built.case.crossover)
    elements = list(crossover[branch].elements)
    now = getattr(elements[place], what)
    if now is None:
        return built
    changed: dict[str, Any] = {what: now * factor}
    elements[place] = replace(elements[place], **changed)
    crossover[branch] = replace(crossover[branch], elements=tuple(elements))
    return replace(built, case=replace(built.case, crossover=tuple(crossover)))


def scaled_parameter(driver: int, parameter: str, built: Built, factor: float) -> Built:
    """One of a driver's small-signal parameters, or all of its "voice_coil"."""
    drivers = list(built.case.drivers)
    own = drivers[driver]
    if own.small_signal is None:
        return built
    if parameter == "voice_coil":
        drivers[driver] = replace(own, voice_coil=scaled_coil(own.voice_coil, factor))
    else:
        changed: dict[str, Any] = {parameter: getattr(own.small_signal, parameter) * factor}
        drivers[driver] = replace(own, small_signal=replace(own.small_signal, **changed))
    return replace(built, case=replace(built.case, drivers=tuple(drivers)))


def scaled_coil(coil: VoiceCoil, factor: float) -> VoiceCoil:
    """A voice coil whose impedance beside its resistance is larger at every frequency."""

    def scaled(value: float | None) -> float | None:
        return None if value is None else value * factor

    return replace(
        coil,
        inductance=coil.inductance * factor,
        parallel_inductance=scaled(coil.parallel_inductance),
        parallel_resistance=scaled(coil.parallel_resistance),
        semi_inductance=scaled(coil.semi_inductance),
    )


def scaled_enclosure(enclosure: int, what: str, built: Built, factor: float) -> Built:
    """An enclosure's net "volume", or the Q of one of its losses."""
    enclosures = list(built.case.enclosures)
    own = enclosures[enclosure]
    if what == "volume":
        changed: dict[str, Any] = {"gross": own.gross + (factor - 1) * own.volume}
    else:
        changed = {what: getattr(own, what) * factor}
    enclosures[enclosure] = replace(own, **changed)
    return replace(built, case=replace(built.case, enclosures=tuple(enclosures)))


def scaled_port(enclosure: int, port: int, built: Built, factor: float) -> Built:
    """The length of a port; one that is shut has none."""
    enclosures = list(built.case.enclosures)
    ports = list(enclosures[enclosure].ports)
    if port >= len(ports):
        return built
    ports[port] = replace(ports[port], length=ports[port].length * factor)
    enclosures[enclosure] = replace(enclosures[enclosure], ports=tuple(ports))
    return replace(built, case=replace(built.case, enclosures=tuple(enclosures)))
