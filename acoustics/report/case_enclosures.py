"""What `roundover check` says of enclosures, amplifier and brief."""

from __future__ import annotations

import math
from collections.abc import Iterator

from acoustics.cabinet.names import face_words
from acoustics.case import Case
from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier, Enclosure, PassiveRadiator, Port
from acoustics.case.design.section_words import before_words
from acoustics.case.text.phrases import listed
from acoustics.case.text.units import hertz, in_unit
from acoustics.source.box import tuning_of

_INDENT = " " * 13


def source_lines(case: Case) -> Iterator[str]:
    """Lines about what is behind the drivers, what drives them, and what is wanted."""
    for enclosure in case.enclosures:
        yield f"  enclosure  {_enclosure(case, enclosure)}"
        for port in enclosure.ports:
            yield f"{_INDENT}{_port(port)}"
        for radiator in enclosure.passive_radiators:
            yield f"{_INDENT}{_passive_radiator(radiator)}"
    if case.amplifier is not None:
        yield f"  amplifier  {_amplifier(case.amplifier)}"
        if before := before_words(case):
            yield f"{_INDENT}before it: {before}"
    if case.brief is not None:
        yield f"  brief      {'; '.join(_wishes(case.brief))}"


def _enclosure(case: Case, enclosure: Enclosure) -> str:
    taken = [f"{what} {_litres(volume)}" for what, volume in enclosure.taken]
    less = f": {_litres(enclosure.gross)} less {listed(taken)}" if taken else ""
    silent = [name for name in enclosure.drivers if case.driver(name).displaced_volume is None]
    unknown = f"; what {listed(silent)} takes is not stated" if silent else ""
    tuning = tuning_of(case, enclosure)
    verb = "resonates at" if enclosure.kind == "closed" else "tuned to"
    tuned = "" if math.isinf(tuning) else f"; {verb} {in_unit(tuning, 'Hz', digits=3)}"
    return (
        f"{enclosure.name}: {enclosure.kind}, {listed(enclosure.drivers)} in "
        f"{_litres(enclosure.volume)}{less}{unknown}{tuned}"
    )


def _port(port: Port) -> str:
    size = f"slot of {_mm(port.size[0])} by {_mm(port.size[-1])}"
    if not port.slot:
        size = f"{_mm(port.size[0])} across"
    return f"port {port.name}: {size}, {_mm(port.length)} long, on the {face_words(port.face)}"


def _passive_radiator(radiator: PassiveRadiator) -> str:
    return (
        f"passive radiator {radiator.name}: {_mm(radiator.piston_diameter)} piston, "
        f"{in_unit(radiator.moving_mass, 'g', digits=3)} moving, on the "
        f"{face_words(radiator.face)}"
    )


def _amplifier(amplifier: Amplifier) -> str:
    parts = []
    if amplifier.power is not None:
        into = in_unit(amplifier.into, "ohm")
        parts.append(f"{in_unit(amplifier.power, 'W')} into {into}")
    if amplifier.lowest_impedance is not None:
        parts.append(f"for {in_unit(amplifier.lowest_impedance, 'ohm')} or more")
    parts.append(f"{in_unit(amplifier.resistance, 'ohm')} with its cable")
    return ", ".join(parts)


def _wishes(brief: Brief) -> Iterator[str]:
    if brief.level is not None:
        yield f"at least {brief.level:g} dB in the listening window"
    if brief.tilt is not None:
        yield f"tilt {brief.tilt[0]:g} to {brief.tilt[1]:g} dB per octave"
    if brief.reach is not None:
        yield f"down to {hertz(brief.reach)}"
    if brief.seat_level is not None:
        yield f"at least {brief.seat_level:g} dB at the main seat"
    sizes = [
        f"{_mm(size)} {word}"
        for size, word in ((brief.width, "wide"), (brief.height, "high"), (brief.depth, "deep"))
        if size is not None
    ]
    if sizes:
        yield f"at most {listed(sizes)}"
    if brief.distance is not None:
        yield f"heard at {in_unit(brief.distance, 'm')}"
    if brief.ear_height is not None:
        yield f"ears at {in_unit(brief.ear_height, 'm')}"
    if brief.surfaces:
        yield f"with {listed(brief.surfaces)}"
    if brief.budget is not None:
        yield f"drivers for at most {brief.budget:g}"


def _litres(volume: float) -> str:
    return in_unit(volume, "l", digits=3)


def _mm(metres: float) -> str:
    return in_unit(metres, "mm", digits=3)
