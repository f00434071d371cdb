"""How a case file says which face of the cabinet is meant."""

from __future__ import annotations

import math
from typing import Any

from acoustics.cabinet.names import DIRECTIONS, direction_text
from acoustics.case.design.faces import Direction
from acoustics.case.tables.fields import Kind, Number
from acoustics.case.text.phrases import choice
from acoustics.case.text.shown import shortened
from acoustics.case.text.units import UnitError

COMPONENT = Number(-1000, 1000)

EXAMPLE = "such as [-1, 0, 1] for one turned by 45° to the left"


class FaceOf(Kind):
    """A face by its name, or by the direction in which it looks: [right, up, toward the listener].

    Which face looks that way is for the body to say.
    """

    def read(self, value: object) -> str | Direction:
        """The name, or the direction."""
        if isinstance(value, list):
            return _direction(value)
        if isinstance(value, str) and value in DIRECTIONS:
            return value
        wrong = value if isinstance(value, str) else ""
        raise UnitError(
            f"{shortened(value)} is no face; give the direction in which it looks [right, up, "
            f"toward the listener], {_example(wrong)}, or {choice(DIRECTIONS, wrong)}"
        )

    def schema(self) -> dict[str, Any]:
        """One of the names, or three numbers."""
        numbers = {"type": "array", "items": COMPONENT.schema(), "minItems": 3, "maxItems": 3}
        return {"anyOf": [{"type": "string", "enum": [*DIRECTIONS]}, numbers]}


def _example(wrong: str) -> str:
    """Where the face looks that somebody names by an edge, for example."""
    words = [word for word in wrong.split() if word in DIRECTIONS]
    way = [sum(parts) for parts in zip(*(DIRECTIONS[word] for word in words), strict=True)]
    if len(words) != 2 or not any(way):
        return EXAMPLE
    return f"such as {direction_text(way)} for a chamfer of the {' '.join(words)} edge"


def _direction(value: list[object]) -> Direction:
    if len(value) != 3:
        raise UnitError(
            f"{shortened(value)} is no direction; write three numbers [right, up, toward the "
            f"listener], {EXAMPLE}"
        )
    right, up, ahead = (float(COMPONENT.read(each)) for each in value)
    if math.hypot(right, up, ahead) < 1e-6:
        raise UnitError(
            f"{shortened(value)} has no direction; write where the face looks, {EXAMPLE}"
        )
    return right, up, ahead
