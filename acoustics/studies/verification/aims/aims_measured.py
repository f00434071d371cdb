"""Whether the finished loudspeaker meets its aims and its brief, from what was measured of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import xarray as xr

from acoustics.case.design.brief_model import Brief
from acoustics.case.design.model import BAND, SMOOTHING, Aim, Case
from acoustics.listening.aims import Measured, even, judge, verdict
from acoustics.listening.bands import why_not_covered
from acoustics.listening.brief import hold, reach
from acoustics.listening.error import NEPER
from acoustics.listening.standard_curves import LISTENING_WINDOW, ON_AXIS, Direction
from acoustics.studies.verification.aims.aim_measured import NOT_MEASURED, AimMeasured
from acoustics.studies.verification.aims.as_predicted import (
    Excess,
    carried,
    covered,
    excesses,
    in_directions,
)
from acoustics.studies.verification.aims.needed import BEAM_STEP, needed
from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.readings.readings import Readings

DRAWS, SEED = 8, 9
"""readings with noise added once more, which tell how far a figure may be off"""

STUDENT = 2.365
"""times the standard deviation of so few draws, within which 95 % lie (JCGM 100:2008, table G.2,
7 degrees of freedom)"""

LEAST_OCTAVES = 1.0
LEAST_SHARE = 0.5
"""of an aim's band in octaves, that must have been measured to judge it (common practice)"""


def aims_measured(case: Case, prediction: xr.Dataset, bench: Bench) -> tuple[AimMeasured, ...]:
    """Every aim of a case, then level, tilt and reach of its brief, as measured.

    Args:
        case: the design, with its aims and its brief.
        prediction: of the design, as `predict` makes it.
        bench: the readings, and what they would be of the design.

    Returns:
        One for each aim, then one for each of those points that the brief names.
    """
    found = excesses(bench)
    every = [_aim(aim, aim, prediction, found, bench, 0.0) for aim in case.aims]
    return (*every, *_brief(case, prediction, found, bench))


def _aim(
    aim: Aim,
    shown: Aim,
    prediction: xr.Dataset,
    found: Sequence[Excess],
    bench: Bench,
    shift: float,
) -> AimMeasured:
    """One aim; `shown` has the limits that the case states, `shift` from one to the other."""
    wanted = judge(aim, prediction, doubted=False)
    predicted = None if wanted.value is None else wanted.value + shift
    blank = AimMeasured(
        name=shown.name or f"{aim.measure} at the {aim.where}",
        unit=wanted.unit,
        where=aim.where,
        at_least=shown.at_least,
        at_most=shown.at_most,
        measured=None,
        uncertainty=None,
        predicted=predicted,
        state=NOT_MEASURED,
    )
    directions, lacking = needed(aim, prediction, found, bench.design.case)
    if lacking:
        return replace(blank, tell=lacking)
    if aim.measure == "level" and not all(each.calibrated for each in directions.values()):
        return replace(blank, tell="a reading of known level tells it")
    part, note = _in_part(aim, directions, prediction)
    if part is None:
        return replace(blank, state="not known", note=note)
    arcs = _arcs(prediction, aim, directions)
    read = judge(part, carried(arcs, directions), doubted=False)
    value = read.value
    if value is None or math.isnan(value):
        return replace(blank, state="not known", note=read.note)
    rng = np.random.default_rng(SEED)
    noisy = [judge(part, carried(arcs, directions, rng), doubted=False).value for _ in range(DRAWS)]
    doubt = STUDENT * float(np.std([each for each in noisy if each is not None], ddof=1))
    if aim.measure == "level":
        doubt = math.hypot(doubt, _level_doubt(bench.readings, directions))
    held = verdict(part, Measured((even(aim.where, value, doubt),)))
    state = held.state
    if note and state == "met" and aim.measure in ("ripple", "beamwidth"):
        note += "; what lies outside may still miss it"
    return replace(blank, measured=value + shift, uncertainty=doubt, state=state, note=note)


def _arcs(prediction: xr.Dataset, aim: Aim, directions: Mapping[Direction, Excess]) -> xr.Dataset:
    """The arcs that an aim is judged on: of a beam at the angles at which one is measured."""
    angles = prediction.angle.values
    if aim.measure == "beamwidth":
        asked = np.abs(angles / BEAM_STEP - np.round(angles / BEAM_STEP)) < 1e-6
    else:
        asked = np.isin(np.round(angles, 6), [angle for _, angle in directions])
    return prediction[["arc_total"]].isel(angle=np.flatnonzero(asked))


def _in_part(
    aim: Aim, directions: Mapping[Direction, Excess], prediction: xr.Dataset
) -> tuple[Aim | None, str]:
    """The aim over what was measured of its band, and what to know about that."""
    band, known = _of(aim), covered(directions)
    frequency = prediction.frequency.values
    step = float(np.max(np.diff(np.log2(frequency)))) if frequency.size > 1 else 0.0
    slack = 2 ** min(step, 1 / 12)
    if known[0] <= band[0] * slack and known[1] >= band[1] / slack:
        return aim, ""
    low, high = max(band[0], known[0]), min(band[1], known[1])
    octaves = math.log2(high / low) if high > low else 0.0
    stretch = f"{low:.0f} to {high:.0f} Hz"
    if octaves < max(LEAST_OCTAVES, LEAST_SHARE * math.log2(band[1] / band[0])):
        known_to = f"{known[0]:.0f} to {known[1]:.0f} Hz"
        return None, f"only {known_to} can be trusted, too little of {band[0]:g} to {band[1]:g} Hz"
    return replace(aim, band=(low, high)), f"judged over {stretch}, where it can be trusted"


def _brief(
    case: Case, prediction: xr.Dataset, found: Sequence[Excess], bench: Bench
) -> list[AimMeasured]:
    """Level, tilt and reach, if the brief names them."""
    brief, every = case.brief, []
    if brief is None:
        return []
    if brief.level is not None:
        nearer = 20 * math.log10(prediction.attrs["reference_distance"])
        shown = Aim("level wanted", "level", "listening window", BAND, None, brief.level, None)
        inner = replace(shown, at_least=brief.level - nearer)
        every.append(_aim(inner, shown, prediction, found, bench, nearer))
    if brief.tilt is not None:
        tilt = Aim("tilt wanted", "tilt", "listening window", BAND, SMOOTHING, *brief.tilt)
        every.append(_aim(tilt, tilt, prediction, found, bench, 0.0))
    if brief.reach is not None:
        every.append(_reach(case, prediction, found, brief.reach))
    return every


def _reach(
    case: Case, prediction: xr.Dataset, found: Sequence[Excess], asked: float
) -> AimMeasured:
    """How far down it plays, from the axis: what is low goes alike in all directions.

    The listening window is taken to exceed the design as the axis does.
    """
    (wanted,) = hold(replace(case, brief=Brief(reach=asked)), prediction)
    blank = AimMeasured(
        *("reach wanted", "Hz", "listening window", None, asked, None, None, wanted.found),
        state=NOT_MEASURED,
        tell="a reading on the axis that can be trusted down to there tells it, such as one whose "
        "low end was joined from near fields",
    )
    axis = in_directions(found, (ON_AXIS,), mirrored=False)
    if not axis or covered(axis)[0] > asked or why_not_covered(axis[ON_AXIS].frequency, BAND):
        return blank
    each = axis[ON_AXIS]
    every: dict[Direction, Excess] = dict.fromkeys(LISTENING_WINDOW, each)
    limit = Aim("", "level", "listening window", BAND, None, None, asked)
    arcs = _arcs(prediction, limit, every)
    value = reach(carried(arcs, every)).value
    rng = np.random.default_rng(SEED)
    noisy = [reach(carried(arcs, _redrawn(every, rng))).value for _ in range(DRAWS)]
    doubt = STUDENT * float(np.nanstd(noisy, ddof=1))
    state = verdict(limit, Measured((even("", value, doubt),))).state
    if value <= each.frequency[0] * 2 ** (1 / 12):
        state = "met" if value <= asked else state
    note = "told from the axis"
    return replace(blank, measured=value, uncertainty=doubt, state=state, note=note, tell="")


def _redrawn(
    every: Mapping[Direction, Excess], rng: np.random.Generator
) -> dict[Direction, Excess]:
    """One reading in many directions, with its noise once more, alike in all of them."""
    one = next(iter(every.values()))
    noise = one.uncertainty * rng.standard_normal(one.nepers.size)
    drawn = replace(one, nepers=one.nepers + noise)
    return dict.fromkeys(every, drawn)


def _level_doubt(readings: Readings, directions: Mapping[Direction, Excess]) -> float:
    """How far a mean level may be off, dB, 95 %: its calibration, and the microphone's distance."""
    nearest = min(each.distance for each in directions.values())
    return math.hypot(readings.level, readings.microphone / nearest / NEPER)


def _of(aim: Aim) -> tuple[float, float]:
    assert aim.band is not None
    return aim.band
