"""What `roundover check` says of a passive crossover."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.case import Case, Element
from acoustics.case.design.network_parts import parts_of
from acoustics.studies.wording import part_value


def network_lines(case: Case) -> Iterator[str]:
    """One line for every driver on the passive crossover: its parts from the amplifier on."""
    passive = [branch for branch in case.crossover if branch.slopes == "passive"]
    parts = parts_of([branch.elements for branch in passive])
    for row, branch in enumerate(passive):
        ways = []
        for number, element in enumerate(branch.elements):
            own = [part for part in parts if (part.ladder, part.element) == (row, number)]
            joint = " beside " if element.joined == "side by side" else " and "
            words = joint.join(f"{part.name} {part_value(part.kind, part.value)}" for part in own)
            ways.append(f"{words} {_where(element)}")
        turned = ", inverted" if branch.inverted else ""
        yield f"  parts      {branch.driver}: {'; '.join(ways) or 'none'}{turned}"


def _where(element: Element) -> str:
    if element.between is not None:
        return f"from {element.between[0]} to {element.between[1]}"
    return "across" if element.place == "across" else "in series"
