"""Which spreads matter, which do not, in words that a builder can act on."""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import xarray as xr

from acoustics.report.tolerance_words import value_words
from acoustics.studies.tolerance.answers import (
    Part,
    figure_name,
    idle_spreads,
    parts_of,
    spread_name,
    told_figures,
    within_words,
)
from acoustics.studies.wording import listed

LARGE = 0.1
"""Total index: spreads with less of a part are not told by name"""

STILL = "does not stray"
"""as `indices` has it"""

MOST = 3
"""spreads named of a figure"""


def weights(found: xr.Dataset) -> list[str]:
    """Of every figure the spreads that it strays by; what matters nowhere; what is not told."""
    if not found.sizes["spread"]:
        return ["Nothing strays."]
    lines, silent = [], defaultdict[str, list[str]](list)
    for n in told_figures(found):
        parts = parts_of(found, n)
        if parts:
            lines.append(_line(found, n, parts))
        else:
            silent[str(found.index_note.values[n])].append(figure_name(found, n))
    for reason, names in silent.items():
        if reason == STILL:
            lines.append(f"{listed(names)}: {'does' if len(names) == 1 else 'do'} not stray.")
        else:
            lines.append(f"{listed(names)}: not told: {reason}.")
    return [*lines, *_idle(found, told=len(lines) > len(silent))]


def _line(found: xr.Dataset, figure: int, parts: list[Part]) -> str:
    """One figure: between which values, and by which spreads."""
    ends = found.figure_percentile.values[[0, -1], figure]
    low, high = (value_words(found, figure, float(end)) for end in ends)
    own = value_words(found, figure, float(ends[1]), unit=True)
    head = f"{figure_name(found, figure)} ({low} to {own if high in own else high})"
    large = [part for part in parts if part.total >= LARGE][:MOST] or parts[:1]
    first = large[0]
    names = [f"{_named(found, part)} {_per_cent(part.total)}" for part in large]
    rest = 1 - sum(part.total for part in large)
    others = f", all others {_per_cent(rest)}" if rest >= LARGE else ""
    text = f"{head}: {', '.join(names)} of the variance{others}."
    if len(large) == 1 or first.steadier >= LARGE:
        name = spread_name(found, first.spread)
        text += f" With {name} exact it would stray {_per_cent(first.steadier)} less."
    return text


def _named(found: xr.Dataset, part: Part) -> str:
    return f"{spread_name(found, part.spread)} ({within_words(found, part.spread)})"


def _per_cent(share: float) -> str:
    return f"{100 * float(np.clip(share, 0, 1)):.0f} %"


def _idle(found: xr.Dataset, *, told: bool) -> list[str]:
    """What a builder need not pay for."""
    if not told:
        return []
    idle = idle_spreads(found)
    if not idle:
        return ["Every spread has a part of 1 % or more in some figure."]
    names = [_named(found, Part(n, 0.0, 0.0)) for n in idle]
    return [
        f"What need not be any closer, so is not worth paying for: {listed(names)}. Of no figure "
        "told here do they make 1 % of the variance. Figures look at 300 Hz to 10 kHz unless an "
        "aim says otherwise: what such spreads do to the bass is in the bands alone."
    ]
