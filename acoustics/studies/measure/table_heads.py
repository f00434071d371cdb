"""What the head of a written table of a response says, so that it can be read again."""

from __future__ import annotations

import re
from dataclasses import dataclass

WRITTEN_BY = "Written by roundover measure"
FOR_VOLTAGE = "for {:g} V at the driver's terminals"
DELAY_TAKEN_OUT = "Phase from the loopback on, {:.6f} ms of delay taken out."
OF_FULL_SCALE = "dB of full scale, no sound pressure level"

_NUMBER = r"(-?\d+(?:\.\d+)?)"


@dataclass(frozen=True)
class TableHead:
    """Of a table that `roundover measure` wrote.

    `voltage` (V) at the driver, None if that is not told; `removed_delay` (s) of the phase, None
    where nobody knows from when it counts; `absolute` whether levels are sound pressure levels.
    """

    voltage: float | None
    removed_delay: float | None
    absolute: bool


def table_head(text: str) -> TableHead | None:
    """What the head of such a table says; None of any other table."""
    head = "\n".join(line for line in text.splitlines() if line.startswith("#"))
    if WRITTEN_BY not in head:
        return None
    delay = _number(DELAY_TAKEN_OUT, "{:.6f}", head)
    return TableHead(
        voltage=_number(FOR_VOLTAGE, "{:g}", head),
        removed_delay=None if delay is None else delay / 1000,
        absolute=OF_FULL_SCALE not in head,
    )


def _number(words: str, place: str, head: str) -> float | None:
    before, after = words.split(place)
    found = re.search(re.escape(before) + _NUMBER + re.escape(after), head)
    return None if found is None else float(found[1])
