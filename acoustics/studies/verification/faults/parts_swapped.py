"""Two parts of one kind of the passive crossover, each soldered in where the other belongs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import combinations

from acoustics.case.design.network_model import Element
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_element
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.parts import PlacedPart, placed_parts, with_value
from acoustics.studies.verification.fault.words import UNPLUGGED, part_said
from acoustics.studies.verification.faults.part_value import LEAST
from acoustics.studies.verification.readings.readings import Readings


def parts_swapped_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every two whose values differ by more than what counts as off."""
    for one, other in combinations(placed_parts(design.case), 2):
        if one.part.kind != other.part.kind or not _differ(one, other):
            continue
        yield Fault(
            "parts swapped",
            _both(one, other),
            partial(_changed, one, other),
            partial(_words, one, other),
            f"{UNPLUGGED}read what is printed on {one.part.name} and {other.part.name}, and let "
            "them change places.",
            odds=0.5,  # there are many pairs
        )


def _differ(one: PlacedPart, other: PlacedPart) -> bool:
    low, high = sorted((one.part.value, other.part.value))
    return high > (1 + LEAST) * low


def _both(one: PlacedPart, other: PlacedPart) -> str:
    if one.driver == other.driver:
        return f"{one.part.name} and {other.part.name} of the {one.driver}"
    return f"{one.words} and {other.words}"


def _changed(one: PlacedPart, other: PlacedPart, built: Built, size: float) -> Built:
    for here, there in ((one, other), (other, one)):
        built = with_element(built, here.branch, here.place, partial(_in_place, here, there))
    return built


def _in_place(here: PlacedPart, there: PlacedPart, element: Element) -> Element:
    """An element with another part in place of its own, its wire or its losses with it."""
    mine, its = here.part, there.part
    element = with_value(element, mine.kind, mine.value, its.value)
    if getattr(element, mine.kind) is None or mine.kind == "resistor":
        return element
    if here.lossy:
        # Of a part that shares its element with a coil nothing is known but the coil's.
        own = element.resistance + (its.resistance - mine.resistance)
        element = replace(element, resistance=max(own, 0.0))
    if element.core_resistance == mine.core_resistance:
        element = replace(element, core_resistance=its.core_resistance)
    return element


def _words(one: PlacedPart, other: PlacedPart, size: float) -> str:
    kind = one.part.kind
    mine, its = part_said(kind, one.part.value), part_said(kind, other.part.value)
    return (
        f"{_both(one, other)} are swapped: {one.part.name} is {its}, not {mine}, and "
        f"{other.part.name} {mine}, not {its}"
    )
