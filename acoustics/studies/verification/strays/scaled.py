"""One value of what stands on the bench multiplied by a factor, whatever it is there.

What is not there, because a fault has taken it away, stays away.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.case.design.model import Driver
from acoustics.case.design.network_model import Element
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import (
    with_driver,
    with_element,
    with_enclosure,
    with_port,
)
from acoustics.studies.verification.faults.voice_coil_inductance import scaled_coil


def scaled_part(branch: int, place: int, what: str, built: Built, factor: float) -> Built:
    """A value of an element ("capacitor", "second_resistor", …), by its branch and place in it."""

    def scaled(own: Element) -> Element:
        now = getattr(own, what)
        changed: dict[str, Any] = {what: None if now is None else now * factor}
        return replace(own, **changed)

    return with_element(built, branch, place, scaled)


def scaled_parameter(driver: int, parameter: str, built: Built, factor: float) -> Built:
    """One of a driver's small-signal parameters, or all of its "voice_coil"."""

    def scaled(own: Driver) -> Driver:
        if parameter == "voice_coil":
            return replace(own, voice_coil=scaled_coil(own.voice_coil, factor))
        signal = own.small_signal
        if signal is None:
            return own
        changed: dict[str, Any] = {parameter: getattr(signal, parameter) * factor}
        return replace(own, small_signal=replace(signal, **changed))

    return with_driver(built, driver, scaled)


def scaled_enclosure(enclosure: int, what: str, built: Built, factor: float) -> Built:
    """An enclosure's net "volume", or the Q of one of its losses."""

    def scaled(own: Enclosure) -> Enclosure:
        if what == "volume":
            return replace(own, gross=own.gross + (factor - 1) * own.volume)
        changed: dict[str, Any] = {what: getattr(own, what) * factor}
        return replace(own, **changed)

    return with_enclosure(built, enclosure, scaled)


def scaled_port(enclosure: int, port: int, built: Built, factor: float) -> Built:
    """The length of a port; one that is gone has none."""

    def longer(own: Port) -> Port:
        return replace(own, length=own.length * factor)

    def scaled(own: Enclosure) -> Enclosure:
        return with_port(own, port, longer) if port < len(own.ports) else own

    return with_enclosure(built, enclosure, scaled)
