"""Ports in words: size, room, air speed, and what would help."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.case.text.units import in_unit
from acoustics.report.box_words import grams, millimetres
from acoustics.studies.wording import hertz

TOO_FAST, TOO_LONG = "Too fast", "Too long"
"""how lines begin that tell a fault"""

HELPS = "What would help: "
"""how the line begins that tells what would slow the air down"""


SAME_LENGTH = 5e-4
"""m: lengths that differ by less are the same"""

SAME_MASS = 5e-5
"""kg: masses that differ by less are the same"""


def port_lines(box: xr.Dataset, radiators: Sequence[xr.Dataset]) -> list[str]:
    """What there is to say of a box's ports; empty where it has none.

    A line that tells a fault begins with `TOO_FAST` or `TOO_LONG`.
    """
    ports = [one for one in radiators if str(one.radiator_kind.values) == "port"]
    lines = [line for port in ports for line in _one(box, port)]
    if ports and not math.isnan(float(box.slower_port_diameter)):
        lines.append(_slower(box, ports))
    return lines


def passive_lines(radiators: Sequence[xr.Dataset]) -> list[str]:
    """What there is to say of a box's passive radiators; empty where it has none."""
    lines = []
    for one in radiators:
        if str(one.radiator_kind.values) != "passive radiator":
            continue
        mass = float(one.moving_mass)
        text = f"{one.radiator.values}: moves {grams(mass)}"
        change = mass - float(one.get("present_moving_mass", one.moving_mass))
        if abs(change) > SAME_MASS:
            how = "more" if change > 0 else "less"
            text += f", {grams(abs(change))} {how} than at present"
        moved = one.displacement
        at = hertz(float(moved.frequency[int(moved.argmax("frequency"))]))
        text += f". For 2.83 V it moves {in_unit(float(moved.max()), 'mm', digits=2)} at {at}"
        most = float(one.most_displacement)
        if math.isnan(most):
            lines.append(f"{text}; how far it may is not stated.")
        else:
            lines.append(f"{text}, of {in_unit(most, 'mm', digits=2)} allowed to either side.")
    return lines


def _one(box: xr.Dataset, port: xr.Dataset) -> list[str]:
    name, length, room = (
        str(port.radiator.values),
        float(port.port_length),
        float(port.port_room),
    )
    sides = [millimetres(side) for side in port.port_size.values if not np.isnan(side)]
    size = f"{sides[0]} across" if len(sides) == 1 else " by ".join(sides)
    half_wave = float(box.attrs["speed_of_sound"]) / (2 * length) if length > 0 else math.inf
    before = float(port.get("present_port_length", port.port_length))
    now = "" if abs(length - before) < SAME_LENGTH else f" ({millimetres(before)} at present)"
    lines = [
        f"{name}: {size}, {millimetres(length)} long{now}. Along it fits half a wave of "
        f"{hertz(half_wave)}, where it sounds by itself."
    ]
    if length > room:
        lines.append(
            f"{TOO_LONG}: behind the mouth of {name} there is room for {millimetres(room)}, half "
            "its width to the opposite wall left free. Take a narrower one, tune higher, or "
            "another face; a bend would make room too, but is not modelled."
        )
    speed = port.air_speed_at_limit
    if bool(speed.isnull().all()):
        return lines
    fastest, most = float(speed.max()), float(box.attrs["most_port_speed"])
    at = hertz(float(speed.frequency[int(speed.argmax("frequency"))]))
    if fastest > most:
        lines.append(
            f"{TOO_FAST}: as loud as everything else allows, its air reaches {fastest:.0f} m/s "
            f"(peak), at {at}; above {most:g} m/s a port is heard (common practice)."
        )
    else:
        lines.append(
            f"Slow enough: at full level its air reaches {fastest:.0f} m/s (peak), at {at}; "
            f"{most:g} m/s can pass (common practice)."
        )
    return lines


def _slower(box: xr.Dataset, ports: Sequence[xr.Dataset]) -> str:
    diameter, length = float(box.slower_port_diameter), float(box.slower_port_length)
    room = min(float(port.port_room) for port in ports)
    each = "A port" if len(ports) == 1 else f"{len(ports)} ports"
    across = f"{millimetres(diameter)} across"
    if math.isnan(length):
        return f"{each} {across} would be slow enough, but no length tunes the box to the same."
    text = (
        f"{HELPS}{each.lower()} {across} would be slow enough, and for the same tuning "
        f"{'takes' if len(ports) == 1 else 'take'} a length of {millimetres(length)}: a larger "
        "area at the same tuning means a longer port."
    )
    if length > room:
        text += " That does not fit straight: a passive radiator, or less level, may be the answer."
    return text
