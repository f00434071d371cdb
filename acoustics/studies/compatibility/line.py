"""One thing that was looked at: figures, and what they say by a rule."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

Verdict = Literal["good", "look twice", "bad", "not known"]

WORST_FIRST: tuple[Verdict, ...] = ("bad", "look twice", "not known", "good")

Check = Literal[
    "impedance",
    "load",
    "rated impedance",
    "displacement",
    "resonance",
    "crossover",
    "level",
    "level asked",
    "balance",
    "overlap",
    "piston size",
    "beamwidth",
    "spacing",
    "volume",
    "budget",
]

CHECKS: tuple[Check, ...] = get_args(Check)
"""What can cost an amplifier or a driver first, then what no filter mends, then the rest."""

OF_PAIRS: tuple[Check, ...] = ("resonance", "overlap", "piston size", "beamwidth", "spacing")
"""Checks of what one driver hands over to another."""

OF_GROUPS: tuple[Check, ...] = ("level", "balance")
"""Checks of drivers against the lowest."""

COMMON = "common practice"


@dataclass(frozen=True)
class Line:
    """A check of one driver, of some together, of a pair or of the whole loudspeaker.

    `subject` names the drivers, of a pair the lower first; it is empty for the loudspeaker.
    `figures` are by name, in SI units and dB, NaN where one is not known. `missing` are the keys of
    the case file that would tell. `source` is that of the rule.
    """

    check: Check
    subject: tuple[str, ...]
    figures: Mapping[str, float] = field(default_factory=dict)
    verdict: Verdict = "not known"
    missing: tuple[str, ...] = ()
    source: str = COMMON


def at_most(value: float, good: float, look_twice: float) -> Verdict:
    """Good up to one limit, worth a second look up to another; not known for NaN."""
    if math.isnan(value):
        return "not known"
    if value <= good:
        return "good"
    return "look twice" if value <= look_twice else "bad"


def at_least(value: float, good: float, look_twice: float) -> Verdict:
    """As `at_most`, the other way round."""
    return at_most(-value, -good, -look_twice)


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of some; what is not known counts as worse than good only."""
    return min(verdicts, key=WORST_FIRST.index)
