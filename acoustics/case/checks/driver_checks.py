"""Checks of what drives a driver: parameters that are too few, or that contradict each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from acoustics.case.messages.faults import Problem
from acoustics.case.objects.driver_of import MEASURED_AIR, related_of
from acoustics.case.tables.case_table import CaseTable
from acoustics.case.tables.driver_table import diameter_of, piston_diameter_of, ring_hole
from acoustics.case.tables.small_signal_table import UNITS
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import listed
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import in_unit
from acoustics.driver import Contradiction, Related
from acoustics.driver.relations import MOST_APART, MOST_FORGIVEN

ENOUGH = ("resonance", "mechanical_q", "electrical_q", "equivalent_volume", "dc_resistance")
"""Keys that always suffice, with the piston's diameter."""

MOST_DECIBELS = 20 * math.log10(1 + MOST_APART)
"""Likewise of the pressure."""

WORLDS = 1000.0
"""percent: what is farther apart is not told in figures"""

PISTON_KEYS = {"piston_diameter", "ring_inner_diameter", "profile"}
"""Keys that say how large the piston is."""


class _Finding(NamedTuple):
    problem: Problem
    forgiven: bool


def source_problems(drivers: Mapping[str, Values]) -> Iterator[Problem]:
    """Drivers of which it is not known how they move, or whose parameters cannot be."""
    for name, driver in drivers.items():
        yield from _missing(name, driver)
        yield from (found.problem for found in _findings(name, driver) if not found.forgiven)


def driver_warnings(text: CaseTable) -> Iterator[Problem]:
    """What does not quite fit together in the drivers of a case without faults."""
    for name, table in text.drivers.items():
        yield from (found.problem for found in _findings(name, dict(table)) if found.forgiven)


def with_pistons(drivers: Mapping[str, Values]) -> dict[str, Values]:
    """The drivers with the diameters of their pistons, where these are known."""
    known = {}
    for name, driver in drivers.items():
        diameter = piston_diameter_of(driver)
        known[name] = {key: value for key, value in driver.items() if key != "piston_diameter"}
        if diameter is not None:
            known[name]["piston_diameter"] = diameter
    return known


def _missing(name: str, driver: Values) -> Iterator[Problem]:
    """Keys that may only be left out where the small-signal parameters say them."""
    if "small_signal" not in driver:
        return
    at: Path = ("drivers", name)
    table = driver["small_signal"]
    heading = f"[drivers.{short_name(name)}.small_signal]"
    if "piston_diameter" in driver and piston_diameter_of(driver) is None:
        instead = "" if table is None else f", or effective_area in {heading}"
        yield Problem(
            (*at, "piston_diameter"),
            f'the key is missing; add it, for example piston_diameter = "25 mm"{instead}',
        )
    unheard = driver.get("measured", 0) is None
    if driver.get("sensitivity", 0.0) is None and table is None and unheard:
        yield Problem(
            (*at, "sensitivity"),
            "the key is missing; add it, for example sensitivity = 89.0, or the small-signal "
            f"parameters in a table {heading}, or what was measured in [drivers."
            f"{short_name(name)}.measured]",
        )


def _findings(name: str, driver: Values) -> Iterator[_Finding]:
    at: Path = ("drivers", name, "small_signal")
    if driver.get("small_signal", 0) is None and driver.get("voice_coil") is not None:
        message = "says nothing without small-signal parameters; add a table of those too"
        yield _Finding(Problem(("drivers", name, "voice_coil"), message), True)
    # With a fault in the piston's own keys its area is not known either.
    area_known = driver.keys() >= PISTON_KEYS and piston_diameter_of(driver) is not None
    found = related_of(driver) if area_known else None
    if found is None:
        return
    for impossible in found.impossible:
        quantity = impossible.quantity
        where = at if driver["small_signal"].model_dump().get(quantity) is None else (*at, quantity)
        yield _Finding(
            Problem(where, f"{quantity} {impossible.reason}; correct one of the values"), False
        )
    if found.missing:
        yield _Finding(Problem(at, _too_few(found)), False)
    for each in found.contradictions:
        yield _told(at, driver, each)
    yield from _twice_told(name, driver, found)


def _too_few(found: Related) -> str:
    """What is missing, and what would do."""
    follow = "does not follow" if len(found.missing) == 1 else "do not follow"
    wrong = f"{listed(found.missing)} {follow} from the keys here"
    if found.enough:
        one = "one of " if len(found.enough) > 1 else ""
        return f"{wrong}; add {one}{listed(found.enough, 'or')}"
    if found.both:
        return f"{wrong}; add two keys, for example {listed(found.both)}"
    return f"{wrong}; give at least {listed(ENOUGH)}"


def _apart(difference: float) -> str:
    """A relative difference in words."""
    percent = 100 * difference
    return f"{percent:.3g} % apart" if percent < WORLDS else "worlds apart"


def _told(at: Path, driver: Values, contradiction: Contradiction) -> _Finding:
    """A contradiction in words, at the quantity if it is stated, else at its table."""
    quantity = contradiction.quantity
    table = driver["small_signal"].model_dump()
    apart = _apart(contradiction.difference)
    message = (
        f"{quantity} is {_shown(quantity, contradiction.value)} {contradiction.way}, but "
        f"{_shown(quantity, contradiction.other_value)} {contradiction.other_way}: {apart}"
    )
    if not contradiction.forgiven:
        message += f"; correct one of them, or leave {quantity} out"
    where = at if table.get(quantity) is None else (*at, quantity)
    return _Finding(Problem(where, message), contradiction.forgiven)


def _twice_told(name: str, driver: Values, found: Related) -> Iterator[_Finding]:
    """Sensitivity and piston diameter, stated and as they follow."""
    at: Path = ("drivers", name)
    stated = driver.get("sensitivity")
    if stated is not None and found.small_signal is not None:
        level = found.small_signal.sensitivity(MEASURED_AIR)
        if abs(stated - level) > MOST_DECIBELS:
            yield _Finding(
                Problem(
                    (*at, "sensitivity"),
                    f"sensitivity is {stated:.4g} dB as given, but {level:.4g} dB from "
                    f"small_signal: {abs(stated - level):.2g} dB apart",
                ),
                True,
            )
    area, diameter = driver["small_signal"].effective_area, driver.get("piston_diameter")
    if area is None or diameter is None:
        return
    other = diameter_of(area, ring_hole(driver))
    difference = max(diameter, other) / min(diameter, other) - 1
    if difference > MOST_APART:
        forgiven = difference <= MOST_FORGIVEN
        advice = "" if forgiven else "; correct one of them, or leave piston_diameter out"
        yield _Finding(
            Problem(
                (*at, "piston_diameter"),
                f"piston_diameter is {in_unit(diameter, 'mm', digits=3)} as given, but "
                f"{in_unit(other, 'mm', digits=3)} from effective_area: "
                f"{_apart(difference)}{advice}",
            ),
            forgiven,
        )


def _shown(quantity: str, value: float) -> str:
    unit = UNITS.get(quantity)
    return in_unit(value, unit, digits=3) if unit else f"{value:.3g}"
