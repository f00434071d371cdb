"""How loud each driver is in this cabinet, after the baffle step, and through the crossover."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, Branch, Case, PassFilter
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.crossover import branch_response, branches_of
from acoustics.listening.levels import band_level
from acoustics.listening.standard_curves import LISTENING_WINDOW, responses
from acoustics.studies.compatibility.line import Line, at_least, at_most
from acoustics.studies.compatibility.ways import Ways, names

START = 100.0
"""Hz: where the lowest drivers are taken to begin if nothing tells how they roll off."""

END = BAND[1]
"""Hz: up to here the highest are judged."""

DOWN = 6.0
"""dB: where a driver has fallen by this, it ends."""

WEAKER, FAR_WEAKER = 0.5, 2.0
"""dB: so much weaker than the lowest a driver may be, and may be at a second look."""

UNEVEN = 2.0
"""dB: so far from the lowest drivers' level others may end up. Beyond it is worth a second look and
no more: another gain mends it, if the drivers are loud enough."""


@dataclass(frozen=True)
class Loudness:
    """Of drivers that play together: `own` level in their band, and what the filter makes of it.

    dB at 1 m for 2.83 V in the listening window. Of the lowest `own` is the level at their low end,
    below the baffle step; `band_mean` is that of all their band. `low` (Hz) is where it begins.
    """

    own: float
    band_mean: float
    filtered: float
    low: float


def level_lines(case: Case, prediction: xr.Dataset, ways: Ways) -> Iterator[Line]:
    """Level of every group of drivers against the lowest; the crossover's gains against it.

    The lowest drivers are judged where the baffle is small against the wavelength and they radiate
    all round: what they give there is what all others must come down to.
    """
    if not ways.lowest:
        return
    branches = branches_of(case)
    base = lowest_loudness(case, prediction, ways)
    yield from _asked(case, ways.lowest, base, branches)
    for members in ways.groups:
        own = loudness(case, prediction, members, _judged(ways, members))
        gap = own.own - base.own
        yield Line(
            "level",
            (*names(case, ways.lowest), *names(case, members)),
            {
                "below": float(len(ways.lowest)),
                "level": own.own,
                "lowest": base.own,
                "lowest_mean": base.band_mean,
                "gap": gap,
                "attenuation": max(gap, 0.0),
            },
            at_least(gap, -WEAKER, -FAR_WEAKER),
        )
        yield from _asked(case, members, own, branches)
        off = own.filtered - base.filtered
        yield Line(
            "balance",
            (*names(case, ways.lowest), *names(case, members)),
            {
                "below": float(len(ways.lowest)),
                "off": off,
                "gain": own.filtered - own.own,
                "wanted": own.filtered - own.own - off,
            },
            at_most(abs(off), UNEVEN, math.inf),
        )


def lowest_loudness(case: Case, prediction: xr.Dataset, ways: Ways) -> Loudness:
    """Of the lowest drivers together, at the octave where they are weakest but not yet falling."""
    low = roll_off(prediction, ways.lowest, ways)
    start = START if low is None else 2 * low
    highest = max(min(ways.bands[i].high, END) for i in ways.lowest)
    start = min(start, highest / 2)
    first = min(START if low is None else low, start)
    mean = loudness(case, prediction, ways.lowest, (first, highest))
    at_the_end = loudness(case, prediction, ways.lowest, (start, 2 * start))
    return replace(at_the_end, band_mean=mean.own, low=first)


def loudness(
    case: Case, prediction: xr.Dataset, members: tuple[int, ...], band: tuple[float, float]
) -> Loudness:
    """Mean level of some drivers over a band, as if they always added in step."""
    frequency = prediction.frequency.values
    branches = branches_of(case)
    plain = [np.ones(frequency.size) for _ in members]
    gains = [
        np.abs(branch_response(_flat(branches[i]), frequency, case.sampling_rate)) for i in members
    ]
    own = _window_level(prediction, members, plain, band)
    asked = [branches[i].level for i in members if branches[i].slopes == "acoustic"]
    if asked and asked[0] is not None:
        filtered = asked[0]
    else:
        filtered = _window_level(prediction, members, gains, band)
    return Loudness(own, own, filtered, band[0])


def roll_off(prediction: xr.Dataset, members: tuple[int, ...], ways: Ways) -> float | None:
    """Where the lowest drivers have fallen by 6 dB toward low frequencies, Hz.

    Against their mean above `START`, into half space. None where they have not within what was
    predicted, as drivers of constant sensitivity have not.
    """
    frequency = prediction.frequency.values
    source = np.abs(prediction.source.transpose("driver", "frequency").values[list(members)])
    level = 20 * np.log10(source.sum(axis=0) * frequency)
    highest = max(min(ways.bands[i].high, END) for i in members)
    inside = (frequency >= min(START, highest / 2)) & (frequency <= highest)
    wanted = level[inside].mean() - DOWN
    below = np.flatnonzero((level < wanted) & (frequency < frequency[inside][-1]))
    if not below.size:
        return None
    i = int(below[-1])
    part = (wanted - level[i]) / (level[i + 1] - level[i])
    return float(frequency[i] * (frequency[i + 1] / frequency[i]) ** part)


def _asked(
    case: Case, members: tuple[int, ...], own: Loudness, branches: tuple[Branch, ...]
) -> Iterator[Line]:
    """The level of acoustic slopes against what the drivers give of themselves."""
    branch = branches[members[0]]
    if branch.slopes != "acoustic" or branch.level is None:
        return
    more = branch.level - own.own
    yield Line(
        "level asked",
        names(case, members),
        {"more": more, "asked": branch.level, "own": own.own, "most_gain": branch.most_gain},
        at_most(more, WEAKER, max(branch.most_gain, WEAKER)),
    )


def _judged(ways: Ways, members: tuple[int, ...]) -> tuple[float, float]:
    band = ways.bands[members[0]]
    return band.low, max(min(band.high, END), 1.5 * band.low)


def _flat(branch: Branch) -> Branch:
    """A branch without its high- and low-passes and its delay: what it does within its band."""
    kept = tuple(one for one in branch.sections if not isinstance(one, PassFilter))
    return replace(branch, sections=kept, delay=0.0, inverted=False)


def _window_level(
    prediction: xr.Dataset,
    members: tuple[int, ...],
    gains: list[np.ndarray],
    band: tuple[float, float],
) -> float:
    """Level at 1 m for 2.83 V, mean over the listening window and a band, dB."""
    factor = xr.DataArray(np.array(gains), dims=("driver", "frequency"))
    chosen = prediction.isel(driver=list(members))
    each = abs(DRIVE_VOLTAGE * chosen.source * chosen.arc_field) * factor
    heard = responses(prediction.assign(arc_total=each.sum("driver")), LISTENING_WINDOW)
    mean = (heard**2).mean("direction") ** 0.5
    level = float(band_level(mean, prediction.frequency, band))
    return level + 20 * math.log10(prediction.attrs["reference_distance"])
