"""What was worked out last, for as long as what it came from is the same."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

Found = TypeVar("Found")

DEPTH = 6
"""How many answers of one kind are kept: a search goes back and forth between few builds."""


class Kept:
    """Answers by their kind; of every kind the last few."""

    def __init__(self) -> None:
        self._last: dict[str, list[tuple[tuple[Any, ...], tuple[Hashable, ...], Any]]] = {}

    def get(
        self,
        kind: str,
        made_from: tuple[Any, ...],
        values: tuple[Hashable, ...],
        make: Callable[[], Found],
    ) -> Found:
        """An answer that is there, or a new one.

        Args:
            kind: what it is.
            made_from: objects that have to be the very same; equal ones count as others, because to
                compare them may take longer than the answer.
            values: plain values that have to be equal.
            make: works it out.
        """
        there = self._last.setdefault(kind, [])
        for number, (objects, plain, found) in enumerate(there):
            if plain == values and all(
                one is other for one, other in zip(objects, made_from, strict=True)
            ):
                there.append(there.pop(number))
                known: Found = found
                return known
        made = make()
        there.append((made_from, values, made))
        del there[:-DEPTH]
        return made
