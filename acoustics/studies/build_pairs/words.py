"""What builds were drawn, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.case.text import units
from acoustics.studies.build_pairs.pairs import BuildPairs
from acoustics.studies.wording import listed

FINER = {"m": ("mm", 1e3), "s": ("µs", 1e6), "K": ("K", 1.0), "": ("", 1.0)}
"""Base unit → the one in which people say how far something strays, and how many make one."""

PLURALS = {"position": "positions", "level": "levels", "delay": "delays", "part": "parts"}
"""Kinds of spreads of which a design has several."""


def about_builds(labels: Sequence[str], pairs: BuildPairs) -> list[str]:
    """How many builds there are, what strays in them and what is made of them."""
    middle = f"{100 * pairs.band:g} %"
    most = f"{50 * (1 + pairs.band):g} %"
    failed = pairs.asked - pairs.sound
    left = f" {failed} more were drawn that cannot be." if failed else ""
    notes = [
        f"Differences are held against {pairs.sound} builds of each design, drawn at random (seed "
        f"{pairs.seed}). Listener and room stray alike in all designs, what is built strays by "
        f"itself. A difference counts where the middle {middle} of the differences between builds "
        f"lie on its side of none. What builds leave of one in level is what {most} of pairs show "
        "at some frequency, to the same side. So few builds tell either only roughly: a figure "
        f"close to the limit may fall on either side of it with other draws.{left}"
    ]
    said: dict[str, list[str]] = {}
    for label, tolerance in zip(labels, pairs.tolerances, strict=True):
        said.setdefault(_strays(tolerance), []).append(label)
    everyone = len(said) == 1
    return notes + [
        f"{'All designs' if everyone else listed(who)}: {words}." for words, who in said.items()
    ]


def _strays(tolerance: Tolerance) -> str:
    if not tolerance.spreads:
        return "nothing strays"
    usual = " (the usual spreads, as no table [tolerance] states any)" if tolerance.usual else ""
    groups: dict[tuple[str, str, str], None] = {}
    for spread in tolerance.spreads:
        groups[_what(spread), _how_far(spread), spread.shape] = None
    parts = {
        shape: [f"{what} {size}" for what, size, own in groups if own == shape]
        for shape in dict.fromkeys(shape for _, _, shape in groups)
    }
    words = {"normal": "95 % of builds within", "uniform": "all builds evenly within"}
    told = "; ".join(f"{words[shape]} {listed(each)}" for shape, each in parts.items())
    return f"{told}{usual}"


def _what(spread: Spread) -> str:
    if spread.kind == "driver parameter":
        return spread.keys[0].rsplit(".", 1)[1].replace("_", " ")
    return PLURALS.get(spread.kind, spread.name)


def _how_far(spread: Spread) -> str:
    if spread.relative:
        return f"{100 * spread.within:.3g} %"
    if spread.kind == "level":
        return f"{spread.within:.3g} dB"
    if spread.unit in FINER:
        unit, count = FINER[spread.unit]
        return f"{count * spread.within:.3g} {unit}".rstrip()
    return units.in_unit(spread.within, spread.unit, digits=3)
