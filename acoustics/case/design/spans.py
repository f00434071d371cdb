"""Spans as a case file writes them, [lowest, highest], and which of them are none."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from acoustics.case.text.units import hertz


def ascending(span: Sequence[float], what: str = "frequency") -> None:
    """Refuse a span that holds nothing (ValueError)."""
    if span[0] >= span[1]:
        raise ValueError(f"the lower {what} comes first; swap the two")


def not_falling(span: Sequence[float], what: str) -> None:
    """Refuse a span whose ends are the wrong way round (ValueError); a single value is one."""
    if span[0] > span[1]:
        raise ValueError(f"the lower {what} comes first; swap the two")


def one_after_the_other(spans: Sequence[Sequence[float]]) -> None:
    """Refuse spans (Hz) of crossovers that do not stand from the lowest on (ValueError)."""
    for one, other in itertools.pairwise(spans):
        if not (one[0] < other[0] and one[1] < other[1]):
            raise ValueError(
                f"{span_words(one)} stands before {span_words(other)}; write the spans from the "
                "lowest crossover on"
            )


def span_words(span: Sequence[float]) -> str:
    """A span of frequencies (Hz) in words."""
    return f"{hertz(span[0])} to {hertz(span[1])}"
