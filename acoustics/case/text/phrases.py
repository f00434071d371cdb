"""Lists as people say them, and what a name not in one may have meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence

from acoustics.case.text.shown import short_name

ALIKE = 0.65
"""of `difflib`'s ratio: names less alike than this were not meant"""

LONGEST = 200
"""letters"""


def listed(names: Sequence[str], last: str = "and") -> str:
    """Names as a phrase: "woofer, midrange and tweeter"."""
    return f" {last} ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""


def choice(names: Iterable[str], wrong: str) -> str:
    """Which names there are, and which of them `wrong` may have meant."""
    known = list(names)
    meant = "".join(f"; did you mean '{short_name(name)}'?" for name in nearest(wrong, known))
    return f"use {listed([short_name(name) for name in known], 'or')}{meant}"


def nearest(wrong: str, known: Iterable[str]) -> list[str]:
    """The one of some names that is most like a wrong one, if any is like it."""
    if len(wrong) > LONGEST:  # no name is, and to compare takes long
        return []
    return difflib.get_close_matches(wrong, list(known), n=1, cutoff=ALIKE)
