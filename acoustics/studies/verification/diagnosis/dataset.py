"""What a diagnosis says, and the readings as it tells them, as a Dataset."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import xarray as xr

from acoustics.conventions import DRIVE_VOLTAGE, Variable
from acoustics.prediction.labels import labelled
from acoustics.studies.verification.bench.answers import Answers, Bench
from acoustics.studies.verification.diagnosis.diagnosis import Cause, Diagnosis
from acoustics.studies.verification.diagnosis.explanation import Explanation
from acoustics.studies.verification.diagnosis.next_measurement import said
from acoustics.studies.verification.readings.readings import ImpedanceReading, ResponseReading

_CAUSE = ("cause",)
_MEMBER = ("cause", "member")
_CURVE = ("told_reading", "told_frequency")

DIAGNOSIS: dict[str, Variable] = {
    "cause": Variable(_CAUSE, "1", "causes that readings do not tell apart, the likeliest first"),
    "cause_probability": Variable(_CAUSE, "1", "probability of any of a cause's members"),
    "cause_words": Variable(_MEMBER, "1", "a member in words, empty for none"),
    "cause_remedy": Variable(_MEMBER, "1", "what to look at or do about it"),
    "cause_kind": Variable(_MEMBER, "1", "its faults by kind and subject"),
    "cause_size": Variable(_MEMBER, "1", "likeliest size of a single fault, in its unit"),
    "cause_size_low": Variable(_MEMBER, "1", "lower end of its 95 % interval"),
    "cause_size_high": Variable(_MEMBER, "1", "upper end of its 95 % interval"),
    "cause_designed": Variable(_MEMBER, "1", "value of the design"),
    "cause_unit": Variable(_MEMBER, "1", "SI unit of its size, empty for none"),
    "strayed": Variable(("strayed",), "1", "what seems to have strayed without being a fault"),
    "strayed_share": Variable(("strayed",), "1", "how far, in standard deviations of its spread"),
    "strayed_deviation": Variable(("strayed",), "1", "standard deviation of that"),
    "told_reading": Variable(("told_reading",), "1", "reading"),
    "told_frequency": Variable(("told_frequency",), "Hz", "frequency"),
    "told_unit": Variable(("told_reading",), "1", "Pa for 2.83 V, or ohm"),
    "told_has_phase": Variable(("told_reading",), "1", "whether its phase was measured"),
    "told_misfit": Variable(("told_reading",), "1", "mean square misfit of the likeliest cause"),
    "told_misfit_design": Variable(("told_reading",), "1", "mean square misfit of the design"),
    "told_measured": Variable(_CURVE, "1", "reading, in its unit"),
    "told_designed": Variable(_CURVE, "1", "the same as the design tells it, strays fitted"),
    "told_found": Variable(_CURVE, "1", "the same as the likeliest cause has it, likewise"),
    "shown_explanation": Variable(("shown",), "1", "what the next measurement tells apart"),
    "shown_words": Variable(("shown",), "1", "what it would show, against the first"),
}
"""Variables and coordinates of `diagnosis_dataset`."""

NO_MEASUREMENT = ""


def diagnosis_dataset(bench: Bench, found: Diagnosis) -> xr.Dataset:
    """Causes, what strayed, the readings as they are told, and what to measure next.

    The attributes `verdict`, `sure` (0 or 1), `healthy` and `unknown` (probabilities), `chance`
    (share of readings that would fit worse were the likeliest cause right) and `next_measurement`
    (empty for none) say the rest.
    """
    arrays = _causes(found.causes) | _strayed(found) | _curves(bench, found)
    following = found.following
    shown = () if following is None else following.shown
    arrays |= {
        "shown_explanation": np.array([each.explanation for each in shown], dtype=str),
        "shown_words": np.array([each.words for each in shown], dtype=str),
    }
    return labelled(arrays, {}, {}, DIAGNOSIS).assign_attrs(
        verdict=found.verdict,
        sure=int(found.sure),
        healthy=found.healthy,
        unknown=found.unknown,
        chance=found.as_found.chance,
        next_measurement=NO_MEASUREMENT if following is None else following.name,
    )


def _causes(causes: Sequence[Cause]) -> dict[str, np.ndarray]:
    most = max((len(cause.members) for cause in causes), default=0)

    def words(value: Callable[[Explanation], str]) -> np.ndarray:
        rows = [[value(one) for one in cause.members] for cause in causes]
        padded = [row + [""] * (most - len(row)) for row in rows]
        return np.array(padded, dtype=str).reshape(len(causes), most)

    def numbers(value: Callable[[Explanation], float]) -> np.ndarray:
        answer = np.full((len(causes), most), np.nan)
        for i, cause in enumerate(causes):
            for j, one in enumerate(cause.members):
                if len(one.blames) == 1 and one.blames[0].size is not None:
                    answer[i, j] = value(one)
        return answer

    def unit(one: Explanation) -> str:
        sizes = one.blames[0].fault.sizes
        return sizes.unit if len(one.blames) == 1 and sizes is not None else ""

    def designed(one: Explanation) -> float:
        sizes = one.blames[0].fault.sizes
        assert sizes is not None
        return sizes.design

    return {
        "cause": np.arange(1, len(causes) + 1),
        "cause_probability": np.array([cause.probability for cause in causes], dtype=float),
        "cause_words": words(said),
        "cause_remedy": words(lambda one: " ".join(blame.fault.remedy for blame in one.blames)),
        "cause_kind": words(lambda one: "; ".join(blame.fault.name for blame in one.blames)),
        "cause_size": numbers(lambda one: _number(one.blames[0].size)),
        "cause_size_low": numbers(lambda one: _number(one.blames[0].low)),
        "cause_size_high": numbers(lambda one: _number(one.blames[0].high)),
        "cause_designed": numbers(designed),
        "cause_unit": words(unit),
    }


def _number(value: float | None) -> float:
    return np.nan if value is None else value


def _strayed(found: Diagnosis) -> dict[str, np.ndarray]:
    strayed = found.as_found.strayed
    return {
        "strayed": np.array([each.name for each in strayed], dtype=str),
        "strayed_share": np.array([each.share for each in strayed], dtype=float),
        "strayed_deviation": np.array([each.spread for each in strayed], dtype=float),
    }


def _curves(bench: Bench, found: Diagnosis) -> dict[str, np.ndarray]:
    """Every reading on all frequencies, NaN where it is not compared."""
    readings, grids = bench.readings, bench.frequencies
    own = [*grids.responses, *grids.impedances]
    frequency = np.unique(np.concatenate(own)) if own else np.zeros(0)
    count = len(readings.responses)
    factors = [DRIVE_VOLTAGE] * count + [1.0] * len(readings.impedances)

    def curves(answers: Answers) -> np.ndarray:
        rows = np.full((len(own), frequency.size), np.nan, dtype=complex)
        values = [*answers.responses, *answers.impedances]
        for row, at, value, factor in zip(rows, own, values, factors, strict=True):
            row[np.searchsorted(frequency, at)] = factor * value
        return rows

    each: list[ResponseReading | ImpedanceReading] = [*readings.responses, *readings.impedances]
    return {
        "told_reading": np.array([one.name for one in each], dtype=str),
        "told_frequency": frequency,
        "told_unit": np.array(["Pa"] * count + ["ohm"] * (len(each) - count), dtype=str),
        "told_has_phase": np.array([one.has_phase for one in each], dtype=bool),
        "told_misfit": np.array(found.as_found.misfit, dtype=float),
        "told_misfit_design": np.array(found.as_designed.misfit, dtype=float),
        "told_measured": curves(bench.measured),
        "told_designed": curves(found.as_designed.answers),
        "told_found": curves(found.as_found.answers),
    }
