"""From the checked table of a part to its element, and from a raw list to its elements."""

from __future__ import annotations

from collections.abc import Collection

from acoustics.case.design.network_model import Element
from acoustics.case.tables.network_table import ElementTable
from acoustics.case.text.lines import Path


def element_of(text: ElementTable) -> Element:
    """The element of a table that has passed its own checks."""
    stated = text.model_dump(exclude={"name", "resistance", "between"})
    return Element(
        name=text.name or "",
        resistance=text.resistance or 0.0,
        between=None if text.between is None else (text.between[0], text.between[1]),
        **stated,
    )


def sound_elements(raw: object, at: Path, faulty: Collection[Path]) -> list[Element] | None:
    """The elements of a list of parts at path `at`; None where there is no list, or a fault."""
    if not isinstance(raw, list) or any(path[: len(at)] == at for path in faulty):
        return None
    return [element_of(ElementTable.model_validate(part)) for part in raw]
