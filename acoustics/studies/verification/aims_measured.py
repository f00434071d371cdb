"""Whether the finished loudspeaker meets its aims and its brief, from what was measured of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.case.model import BAND, SMOOTHING, Aim, Case
from acoustics.case.source_model import Brief
from acoustics.conventions import Variable
from acoustics.listening.aims import Measured, even, judge, verdict
from acoustics.listening.bands import why_not_covered
from acoustics.listening.brief import hold, reach
from acoustics.listening.error import NEPER
from acoustics.listening.standard_curves import LISTENING_WINDOW, ON_AXIS, Direction
from acoustics.studies.verification.answers import Bench
from acoustics.studies.verification.as_predicted import (
    Excess,
    carried,
    covered,
    excesses,
    in_directions,
)
from acoustics.studies.verification.freedoms import COVERED
from acoustics.studies.verification.named import named
from acoustics.studies.verification.readings import Readings

DRAWS, SEED = 24, 9
"""readings with noise added once more, which tell how far a figure may be off"""

LEAST_OCTAVES = 1.0
LEAST_SHARE = 0.5
"""of an aim's band in octaves, that must have been measured to judge it (common practice)"""

MIRRORED = 1e-6
"""m: drivers this close to the middle leave the left as the right"""

BEAM_STEP = 10.0
"""degrees between the directions of a measured beam, at most"""

NOT_MEASURED = "not measured"


@dataclass(frozen=True)
class AimMeasured:
    """An aim or a point of the brief, as measured and as predicted.

    Attributes:
        name, unit: of the aim.
        where: the place it is taken at.
        at_least, at_most: its limits, None for none.
        measured: figure, None where it was not measured; `uncertainty` how far it may be off, 95 %.
        predicted: figure of the design, None where it has none.
        state: "met", "missed", "too close to call", "not known" or "not measured".
        note: over which band it was judged, or why it was not.
        tell: which measurement would tell.
    """

    name: str
    unit: str
    where: str
    at_least: float | None
    at_most: float | None
    measured: float | None
    uncertainty: float | None
    predicted: float | None
    state: str
    note: str = ""
    tell: str = ""

    @property
    def words(self) -> str:
        """The aim, both figures and the state, in a sentence or two."""
        limits = [
            f"{word} {limit:g}"
            for word, limit in (("at least", self.at_least), ("at most", self.at_most))
            if limit is not None
        ]
        said = f"{self.name} ({' and '.join(limits)} {self.unit}): {self.state}"
        if self.measured is not None:
            said += f", measured {self.measured:.3g}"
            if self.uncertainty is not None:
                said += f" ± {self.uncertainty:.2g}"
            said += f" {self.unit}"
        if self.predicted is not None:
            said += f", predicted {self.predicted:.3g} {self.unit}"
        return " ".join(filter(None, (f"{said}.", _sentence(self.note), _sentence(self.tell))))


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
    directions, lacking = _needed(aim, prediction, found, bench.design.case)
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
    doubt = COVERED * float(np.std([each for each in noisy if each is not None]))
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


def _needed(
    aim: Aim, prediction: xr.Dataset, found: Sequence[Excess], case: Case
) -> tuple[Mapping[Direction, Excess], str]:
    """The readings an aim rests on, and which are lacking, in words."""
    mirrored = all(abs(driver.position[0]) < MIRRORED for driver in case.drivers)
    if aim.measure == "lobe window":
        return {}, (
            "readings on the axis and at several heights round the ears, at the seat's distance, "
            "tell it"
        )
    if aim.measure == "floor dip":
        return {}, "a reading at the seat with the floor's reflection in its gate tells it"
    if aim.where == "seat":
        return {}, "a reading at the seat, its gate closed before the first reflection, tells it"
    if aim.measure == "beamwidth":
        return _beam(aim, prediction, found, mirrored)
    if aim.where == "reference axis":
        asked: tuple[Direction, ...] = (ON_AXIS,)
        lacks = "a reading of the whole loudspeaker on the reference axis tells it"
    else:
        asked = LISTENING_WINDOW
        lacks = (
            "readings on the axis, 10° up and down, and 10°, 20° and 30° to "
            f"{'one side' if mirrored else 'either side'} tell it"
        )
    directions = in_directions(found, asked, mirrored)
    return directions, "" if len(directions) == len(asked) else lacks


def _beam(
    aim: Aim, prediction: xr.Dataset, found: Sequence[Excess], mirrored: bool
) -> tuple[Mapping[Direction, Excess], str]:
    """Readings out from the axis to where the level has fallen by 6 dB, at every 10° without a gap.

    One more than the predicted beam must have been read to either side, or all of the circle.
    """
    half = BEAM_STEP
    wanted = judge(aim, prediction, doubted=False).value
    if wanted is not None and not math.isnan(wanted):
        half = min(180.0, BEAM_STEP * (math.ceil(wanted / 2 / BEAM_STEP) + 1))
    steps = np.arange(0.0, half + BEAM_STEP / 2, BEAM_STEP)
    asked: list[Direction] = [("horizontal", float(a)) for a in steps]
    asked += [("horizontal", -float(a)) for a in steps[1:] if a < 180]
    directions = in_directions(found, asked, mirrored)
    if len(directions) == len(asked):
        return directions, ""
    way = "to one side" if mirrored else "to either side"
    return directions, f"readings every 10° from the axis to {half:.0f}° {way} tell it"


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
    doubt = COVERED * float(np.nanstd(noisy))
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


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""


_AIM = ("aim_measured",)

AIMS_MEASURED: dict[str, Variable] = {
    "aim_measured": Variable(_AIM, "1", "number of an aim, or of a point of the brief"),
    "aim_measured_name": Variable(_AIM, "1", "what an aim is called"),
    "aim_measured_where": Variable(_AIM, "1", "where it is taken"),
    "aim_measured_unit": Variable(_AIM, "1", "unit of its figures"),
    "aim_measured_at_least": Variable(_AIM, "1", "lower limit, in its unit"),
    "aim_measured_at_most": Variable(_AIM, "1", "upper limit, in its unit"),
    "aim_measured_figure": Variable(_AIM, "1", "figure as measured, in its unit"),
    "aim_measured_uncertainty": Variable(_AIM, "1", "how far that may be off, 95 %, in its unit"),
    "aim_measured_predicted": Variable(_AIM, "1", "figure as predicted, in its unit"),
    "aim_measured_state": Variable(_AIM, "1", "met, missed, too close to call or not measured"),
    "aim_measured_words": Variable(_AIM, "1", "an aim in sentences"),
    "aim_measured_tell": Variable(_AIM, "1", "which measurement would tell"),
}
"""Variables and coordinates of `aims_dataset`."""


def aims_dataset(found: Sequence[AimMeasured]) -> xr.Dataset:
    """All aims, dims (aim_measured); NaN where there is no figure or no limit."""

    def numbers(of: str) -> np.ndarray:
        values = [getattr(each, of) for each in found]
        return np.array([np.nan if each is None else each for each in values], dtype=float)

    arrays: dict[str, np.ndarray] = {"aim_measured": np.arange(len(found))}
    for name in ("name", "where", "unit", "state", "words", "tell"):
        arrays[f"aim_measured_{name}"] = np.array([getattr(e, name) for e in found], dtype=str)
    for name, of in (
        *(("at_least", "at_least"), ("at_most", "at_most"), ("figure", "measured")),
        *(("uncertainty", "uncertainty"), ("predicted", "predicted")),
    ):
        arrays[f"aim_measured_{name}"] = numbers(of)
    return named(arrays, AIMS_MEASURED)
