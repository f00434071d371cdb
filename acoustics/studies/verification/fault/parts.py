"""Parts of a passive crossover as a fault befalls them: other values, left out, bridged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from acoustics.case.design.model import Case
from acoustics.case.design.network_model import Element
from acoustics.case.design.network_parts import Part, PartKind
from acoustics.case.text.phrases import listed
from acoustics.crossover.connections import ladders_of
from acoustics.studies.verification.fault.changes import scaled

OPEN = 1e6
"""ohm: in place of a part that is not connected. So elements keep their places, and no node hangs
free; next to any driver it is nothing."""

SHORT = 1e-3
"""ohm: of a bridge of solder or wire."""

_FIELDS: dict[PartKind, tuple[str, ...]] = {
    "inductor": ("inductor",),
    "capacitor": ("capacitor", "second_capacitor"),
    "resistor": ("resistor", "second_resistor"),
}


@dataclass(frozen=True)
class PlacedPart:
    """A part of a design: in which branch of the crossover, and at which place in it."""

    part: Part
    branch: int
    place: int
    element: Element
    driver: str

    @property
    def words(self) -> str:
        """As the schematic names it: "C1 of the tweeter"."""
        return f"{self.part.name} of the {self.driver}"

    @property
    def subject(self) -> str:
        """With what it is: "capacitor C1 of the tweeter"."""
        return f"{self.part.kind} {self.words}"

    @property
    def lossy(self) -> bool:
        """Whether the resistance of its element is its own."""
        carrier = "capacitor" if self.element.inductor is None else "inductor"
        return self.part.kind == carrier

    @property
    def alone(self) -> bool:
        """Whether its element has no other part."""
        return not _has_values(without(self.element, self.part.kind))


def placed_parts(case: Case) -> tuple[PlacedPart, ...]:
    """Every part of the passive crossover, named as in the schematic."""
    return tuple(
        PlacedPart(
            part, case.crossover.index(ladder.branch), place, rung.element, ladder.driver.name
        )
        for ladder in ladders_of(case)
        for place, rung in enumerate(ladder.rungs)
        for part in rung.parts
    )


def parts_apart(case: Case, *, together: str) -> Iterator[list[PlacedPart]]:
    """The parts one by one, but all of an element at once whose parts are joined `together`."""
    for _, own in groupby(placed_parts(case), lambda each: (each.branch, each.place)):
        parts = list(own)
        yield from [parts] if parts[0].element.joined == together else ([part] for part in parts)


def any_of(parts: Sequence[PlacedPart]) -> tuple[str, str]:
    """Words for one of some parts of a branch, which it may be: names alone, and its subject."""
    names = listed([each.part.name for each in parts], "or")
    kinds = listed([f"{each.part.kind} {each.part.name}" for each in parts], "or")
    return names, f"{kinds} of the {parts[0].driver}"


def attenuators(case: Case) -> Iterator[tuple[PlacedPart, ...]]:
    """The resistors of each passive ladder that do nothing but make its driver weaker.

    Those that are elements by themselves: in the way of the signal, and, where there is one such,
    across. In networks that are no ladders it cannot be told which they are.
    """
    alone = [each for each in placed_parts(case) if each.part.kind == "resistor" and each.alone]
    for branch in dict.fromkeys(each.branch for each in alone):
        own = tuple(one for one in alone if one.branch == branch and one.element.place is not None)
        if any(each.element.place == "series" for each in own):
            yield own


def is_attenuator(case: Case, part: PlacedPart) -> bool:
    """Whether a part is all there is of an attenuator."""
    return (part,) in attenuators(case)


def with_value(element: Element, kind: PartKind, design: float, size: float) -> Element:
    """With another value of one part, in the proportion of its pieces if it has several.

    A part that is open or shorted has no value to be off.
    """
    if kind == "resistor" and element.resistor in (OPEN, SHORT):
        return element
    changed: dict[str, Any] = {
        name: scaled(now, design, size)
        for name in _FIELDS[kind]
        if (now := getattr(element, name)) is not None
    }
    return replace(element, **changed)


def without(element: Element, kind: PartKind) -> Element:
    """With one kind of part gone, and what it had in series or beside it."""
    changed: dict[str, Any] = dict.fromkeys(_FIELDS[kind], None)
    carrier = "capacitor" if element.inductor is None else "inductor"
    if kind == carrier:
        changed["resistance"] = 0.0
    if kind == "inductor":
        changed["core_resistance"] = None
    return replace(element, **changed)


def opened(element: Element, kind: PartKind) -> Element:
    """With one part not connected: what stands beside it is left, a chain conducts no more."""
    left = without(element, kind)
    if element.joined == "side by side" and _has_values(left):
        return left
    return _only(element, OPEN)


def shorted(element: Element, kind: PartKind) -> Element:
    """With one part bridged: what stands before or behind it is left."""
    left = without(element, kind)
    if element.joined == "one after the other" and _has_values(left):
        return left
    return _only(element, SHORT)


def _only(element: Element, resistance: float) -> Element:
    for kind in _FIELDS:
        element = without(element, kind)
    return replace(element, resistor=resistance, resistance=0.0)


def _has_values(element: Element) -> bool:
    return any(getattr(element, name) is not None for names in _FIELDS.values() for name in names)
