"""Where something lies on a face, as people say it."""

from __future__ import annotations

from acoustics.case.text.phrases import listed
from acoustics.case.text.units import in_unit


def place_words(right: float, up: float) -> str:
    """A place (m) from the middle of a face: "20 mm left and 135 mm up", "in the middle"."""
    ways = [
        f"{in_unit(abs(value), 'mm', digits=4)} {ahead if value > 0 else back}"
        for value, ahead, back in ((right, "right", "left"), (up, "up", "down"))
        if abs(value) > 1e-6
    ]
    return listed(ways) if ways else "in the middle"
