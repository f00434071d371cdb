"""How a test sweep is played and recorded, and what the case says of it, in words."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

from acoustics.studies.measure.planned import Planned
from acoustics.studies.wording import hertz


def playing_lines(planned: Planned, level: float, silence: tuple[float, float]) -> Iterator[str]:
    """What the file holds, how it is wired, and the lines for the case; a paragraph each.

    Args:
        planned: the sweep.
        level: of its peak, dB re full scale.
        silence: before and after it, s.
    """
    sweep, stated = planned.sweep, planned.stated
    yield (
        f"Sweep for {planned.driver}: {hertz(sweep.lowest)} to {hertz(sweep.highest)} in "
        f"{sweep.duration:.2f} s, {sweep.sampling_rate:g} samples a second, its peak {-level:g} dB "
        f"below full scale, after {silence[0]:g} s of silence and before {silence[1]:g} s. "
        f"{planned.why}".rstrip()
    )
    yield (
        "Both channels are alike. Channel 1 goes to the amplifier; channel 2 goes straight back "
        "into input 2 of the interface, by a cable, and is the loopback. Record both inputs at "
        "once, the microphone in input 1, from before the sweep to after the silence. Set the "
        "level with the amplifier first, and measure the voltage at the driver while a steady tone "
        "of the same peak plays."
    )
    key = planned.driver
    if not re.fullmatch(r"[A-Za-z0-9_-]+", key):
        key = json.dumps(key)
    yield (
        "For the case:\n\n"
        f"[measurement.drivers.{key}]\n"
        f'sweep = {{ lowest = "{stated.lowest:g} Hz", highest = "{stated.highest:g} Hz", '
        f'duration = "{stated.duration:g} s" }}\n'
    )
