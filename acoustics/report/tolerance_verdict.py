"""Whether it matters that builds stray, in a few sentences."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.studies.tolerance.answers import (
    aim_figures,
    hundred,
    kept_aims,
    parts_of,
    per_hundred,
    share_of_all,
    spread_name,
    strayings,
)
from acoustics.studies.wording import amount, listed

SAFE, SHAKY = 0.95, 0.75
"""Share of the builds that meet what the design meets: from the first on it hardly matters, below
the second it does (common practice, no source)."""

MUCH = 0.5
"""dB: a deviation from exact builds above it is told first (common practice, no source)"""


def verdict(found: xr.Dataset) -> str:
    """Does it matter? Which aims hold in how many of 100 builds, and how far curves stray."""
    return f"Does it matter? {_answer(found)} {_curves(found)}{_lost(found)}".strip()


def aim_state(found: xr.Dataset, aim: int) -> str:
    """Whether the design meets an aim."""
    own = float(found.design_aim_met[aim])
    return "not known" if np.isnan(own) else "met" if own else "missed"


def _answer(found: xr.Dataset) -> str:
    count = found.sizes["aim"]
    if not count:
        return (
            "The case file names no aims, so nothing decides; the figures below say how far builds "
            "stray. Add [[aims]] to be told."
        )
    kept = kept_aims(found)
    missed = [n for n in range(count) if float(found.design_aim_met[n]) == 0]
    parts = []
    if kept:
        share, low, high = share_of_all(found, kept)
        told = f"{per_hundred(share)} of 100 builds ({per_hundred(low)} to {per_hundred(high)})"
        parts.append(_of_kept(found, kept, share, told))
    if missed:
        parts.append(_of_missed(found, missed, alone=not kept))
    unknown = [f'"{found.aim.values[n]}"' for n in range(count) if n not in (*kept, *missed)]
    if unknown:
        parts.append(f"Not known of the design: {listed(unknown)}.")
    return " ".join(parts)


def _of_kept(found: xr.Dataset, kept: list[int], share: float, told: str) -> str:
    """What becomes of the aims that the design meets."""
    whole = "the aim" if len(kept) == 1 else f"all {len(kept)} aims"
    if np.isnan(share):
        return f"Not known: of no build is known whether it meets {whole} that the design meets."
    answer = "Hardly" if share >= SAFE else "Yes" if share < SHAKY else "Somewhat"
    text = f"{answer}: {told} meet {whole} that the design meets."
    shaky = [n for n in kept if float(found.share_met[n]) < SAFE]
    if shaky:
        shaky.sort(key=lambda n: float(found.share_met[n]))
        text += f" What builds lose: {_met_by(found, shaky)}."
        text += _why(found, shaky[0])
    return text


def _why(found: xr.Dataset, aim: int) -> str:
    """What the figure of an aim strays by most, as a sentence; empty where that is not told."""
    parts = parts_of(found, aim_figures(found)[aim])
    if not parts:
        return ""
    part = parts[0]
    name = spread_name(found, part.spread)
    return f" The first of them hangs most on {name}: {100 * part.total:.0f} % of its variance."


def _of_missed(found: xr.Dataset, missed: list[int], *, alone: bool) -> str:
    """What builds do about the aims that the design itself misses."""
    if all(float(found.share_met[n]) == 0 for n in missed):
        names = listed([f'"{found.aim.values[n]}"' for n in missed])
        text = f"The design itself misses {names}, and so does every build."
    else:
        text = f"The design itself misses what some builds meet by luck: {_met_by(found, missed)}."
    return f"It is not the builds that decide: {text[0].lower()}{text[1:]}" if alone else text


def _met_by(found: xr.Dataset, aims: list[int]) -> str:
    names = found.aim.values
    return "; ".join(f'"{names[n]}", met by {hundred(found, n)} of 100' for n in aims)


def _curves(found: xr.Dataset) -> str:
    told = {one.where: one for one in strayings(found)}
    axis = told.get("on the reference axis")
    if axis is None:
        return ""
    return (
        f"On the axis {100 * found.attrs['band']:g} of 100 builds stay within "
        f"±{amount(axis.median, 'dB', finer=1)} at most frequencies and "
        f"±{amount(axis.largest, 'dB', finer=1)} at the worst one."
    )


def _lost(found: xr.Dataset) -> str:
    """What to mind before anything else: builds that are missing, fields that are far off."""
    text, failed, off = "", found.attrs["builds_failed"], found.attrs["deviation"]
    if failed:
        text += f" {failed} of {found.attrs['builds']} builds cannot be; see below."
    if off > MUCH:
        text += (
            f" Mind: the spreads are so wide that levels of builds are off by up to "
            f"{amount(off, 'dB')} here; see the end, and state smaller ones to be told for sure."
        )
    return text
