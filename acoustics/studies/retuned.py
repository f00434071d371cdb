"""An enclosure with another volume and tuning, its ports or passive radiators made to fit."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from scipy.optimize import brentq

from acoustics.case.model import Case
from acoustics.case.source_model import Enclosure
from acoustics.source.box import tuning_of

LONGEST = 20.0
"""m: no port is looked for beyond"""

HEAVIEST = 1e3
"""likewise: a passive radiator's moving mass over what it has"""


def retuned(
    case: Case, enclosure: Enclosure, volume: float, tuning: float | None = None
) -> Enclosure | None:
    """Give an enclosure another net volume and tuning.

    Args:
        case: for the air and the drivers.
        enclosure: what is changed.
        volume: net, m³; what is taken stays as it is.
        tuning: Hz, of ports by one common length, of passive radiators by the mass that each of
            them moves, in equal ratio; without meaning for a closed box. None: ports and passive
            radiators stay as they are.

    Returns:
        The enclosure; None where no length above 0, or no mass, gives that tuning.
    """
    taken = sum(part for _, part in enclosure.taken)
    sized = replace(enclosure, gross=volume + taken)
    if tuning is None or enclosure.kind == "closed":
        return sized
    if enclosure.kind == "vented":
        return _solved(case, lambda length: with_length(sized, length), tuning, 0.0, LONGEST)
    lightest = 1 / HEAVIEST
    return _solved(case, lambda ratio: _heavier(sized, ratio), tuning, lightest, HEAVIEST)


def with_length(enclosure: Enclosure, length: float) -> Enclosure:
    """The same enclosure, all its ports `length` (m) long."""
    return replace(enclosure, ports=tuple(replace(port, length=length) for port in enclosure.ports))


def _heavier(enclosure: Enclosure, ratio: float) -> Enclosure:
    return replace(
        enclosure,
        passive_radiators=tuple(
            replace(each, moving_mass=ratio * each.moving_mass)
            for each in enclosure.passive_radiators
        ),
    )


def _solved(
    case: Case, made: Callable[[float], Enclosure], tuning: float, low: float, high: float
) -> Enclosure | None:
    def off(value: float) -> float:
        return math.log(tuning_of(case, made(value)) / tuning)

    if off(low) < 0 or off(high) > 0:
        return None
    return made(float(brentq(off, low, high, xtol=1e-7)))
