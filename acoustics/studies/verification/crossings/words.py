"""What was found of a crossover in plain sentences, and as a Dataset."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields

import numpy as np
import xarray as xr

from acoustics.case.text.units import hertz
from acoustics.conventions import Variable
from acoustics.listening.phase_tracking import IN_STEP
from acoustics.listening.reverse_null import FAIR, VERDICTS
from acoustics.prediction.labels import labelled
from acoustics.studies.verification.crossings.figures import Handover
from acoustics.studies.verification.crossings.found import NOTHING, REVERSED, SUM, Found

LEVEL_TOLD = 0.5
"""dB: a side's level, or a sum's, closer to the design's is as designed (common practice)"""

CORNER_TOLD = 1 / 12
"""octave: likewise of corners"""

_EACH = ("crossover_reading",)

HANDOVER_VARIABLES: dict[str, tuple[str, str]] = {
    "crossing": ("Hz", "where both sides of the crossover are equally loud"),
    "phase": ("degree", "phase of the upper side relative to the lower there"),
    "phase_size": ("degree", "size of that phase, 0 to 180"),
    "rms_phase": ("degree", "weighted rms of the phase in the overlap"),
    "loss": ("dB", "most that the sum lies below that of both in phase"),
    "delay": ("s", "delay of the upper side, from the slope of the phase"),
    "late": ("s", "delay of the upper side against the design's"),
    "null": ("Hz", "frequency of the dip with the upper side reversed"),
    "depth": ("dB", "depth of that dip below the sum in phase"),
    "change": ("dB", "sum as built above the reversed one, at the dip"),
    "built_depth": ("dB", "depth of the deepest dip below the sum in phase as built"),
    "lower_corner": ("Hz", "where the lower side is 6 dB below its pass band"),
    "upper_corner": ("Hz", "where the upper side is 6 dB below its pass band"),
    "lower_level": ("dB", "level of the lower side in its pass band above the design's"),
    "upper_level": ("dB", "level of the upper side in its pass band above the design's"),
}
"""Figure → unit and meaning; measured, and as designed at the same place."""

CROSSOVER_FOUND: dict[str, Variable] = {
    "crossover_reading": Variable(_EACH, "1", "number of what was told of a crossover"),
    "crossover_found": Variable(_EACH, "1", "crossover"),
    "crossover_told_from": Variable(_EACH, "1", "what a crossover was told from"),
    "crossover_readings": Variable(_EACH, "1", "the readings it was told from"),
    "crossover_verdict": Variable(_EACH, "1", "how the drivers hand over, in a few words"),
    "crossover_words": Variable(_EACH, "1", "what was found of a crossover, in sentences"),
    "crossover_tell": Variable(_EACH, "1", "which reading would tell more"),
    "crossover_phase_doubt": Variable(_EACH, "degree", "how far a phase may be off, 95 %"),
    "crossover_missing": Variable(_EACH, "dB", "sum through the overlap below the design's"),
    "crossover_missing_doubt": Variable(_EACH, "dB", "how far that may be off, 95 %"),
    **{
        f"crossover_{name}": Variable(_EACH, unit, f"{meaning}, as measured")
        for name, (unit, meaning) in HANDOVER_VARIABLES.items()
    },
    **{
        f"crossover_designed_{name}": Variable(_EACH, unit, f"{meaning}, as designed")
        for name, (unit, meaning) in HANDOVER_VARIABLES.items()
    },
}
"""Variables and coordinates of `crossover_dataset`."""


def verdict_of(found: Found) -> str:
    """How the drivers hand over in a few words: in step, or not, or what is not known."""
    figures, wanted = found.measured, found.designed
    if np.isfinite(figures.phase):
        size = abs(figures.phase)
        if abs(size - IN_STEP) < found.doubt:
            return "too close to call"
        if size < IN_STEP:
            return VERDICTS["deep"]
        return VERDICTS["opposed" if size > 180 - IN_STEP else "shallow"]
    if np.isfinite(figures.depth):
        return VERDICTS[figures.verdict]
    if np.isfinite(found.missing):
        if found.missing > max(LEVEL_TOLD, found.missing_doubt):
            return "less than designed" if np.isfinite(wanted.phase) else "not known"
        return "adds up as designed"
    return "not known"


def sentences(found: Found) -> tuple[str, ...]:
    """What was found, a sentence each."""
    if found.told_from == NOTHING:
        return (f"Nothing was measured that tells {found.crossover.name}.",)
    if found.told_from == SUM:
        return (_sum_sentence(found),)
    parts = [*_phase_sentences(found), *_null_sentence(found), *_side_sentences(found)]
    return tuple(parts)


def crossover_dataset(found: Sequence[Found]) -> xr.Dataset:
    """What was found of all crossovers, dims (crossover_reading)."""
    arrays: dict[str, np.ndarray] = {
        "crossover_reading": np.arange(len(found)),
        "crossover_found": _text([each.crossover.name for each in found]),
        "crossover_told_from": _text([each.told_from for each in found]),
        "crossover_readings": _text(["; ".join(each.readings) for each in found]),
        "crossover_verdict": _text([verdict_of(each) for each in found]),
        "crossover_words": _text([" ".join(sentences(each)) for each in found]),
        "crossover_tell": _text([each.tell for each in found]),
        "crossover_phase_doubt": np.array([each.doubt for each in found]),
        "crossover_missing": np.array([each.missing for each in found]),
        "crossover_missing_doubt": np.array([each.missing_doubt for each in found]),
    }
    for field in fields(Handover):
        for prefix, side in (("", "measured"), ("designed_", "designed")):
            arrays[f"crossover_{prefix}{field.name}"] = np.array(
                [getattr(getattr(each, side), field.name) for each in found], dtype=float
            )
    return labelled(arrays, {}, {}, CROSSOVER_FOUND)


def _phase_sentences(found: Found) -> Iterator[str]:
    figures, wanted, sides = found.measured, found.designed, found.crossover
    if not np.isfinite(figures.phase):
        return
    yield (
        f"{sides.lower_driver.capitalize()} and {sides.upper_driver} are "
        f"{abs(figures.phase):.0f}° apart at {_hertz(figures.crossing)} "
        f"(designed {abs(wanted.phase):.0f}°): {verdict_of(found)}."
    )
    turn = 360.0 * figures.late * sides.frequency
    if np.isfinite(turn) and abs(turn) > found.doubt:
        way = "late" if turn > 0 else "early"
        yield (
            f"Against the design the {sides.upper_driver} is "
            f"{abs(figures.late) * 1e6:.0f} µs {way}."
        )


def _null_sentence(found: Found) -> Iterator[str]:
    figures, wanted, sides = found.measured, found.designed, found.crossover
    if not np.isfinite(figures.depth):
        return
    start = "With" if found.told_from == REVERSED else "Reckoned with"
    if np.isfinite(figures.null):
        there = f"a null {figures.depth:.0f} dB deep at {_hertz(figures.null)}"
    else:
        there = "no null"
    designed = f"designed {wanted.depth:.0f} dB"
    if np.isfinite(wanted.null):
        designed += f" at {_hertz(wanted.null)}"
    yield (
        f"{start} the {sides.upper_driver} reversed there is {there} ({designed}): "
        f"{VERDICTS[figures.verdict]}."
    )


def _side_sentences(found: Found) -> Iterator[str]:
    figures, wanted, sides = found.measured, found.designed, found.crossover
    for name, corner, planned, level in (
        (sides.lower_driver, figures.lower_corner, wanted.lower_corner, figures.lower_level),
        (sides.upper_driver, figures.upper_corner, wanted.upper_corner, figures.upper_level),
    ):
        if np.isfinite(corner / planned):
            same = abs(np.log2(corner / planned)) <= CORNER_TOLD
            than = "as designed" if same else f"designed {_hertz(planned)}"
            yield f"The {name} is 6 dB down at {_hertz(corner)} ({than})."
        if np.isfinite(level) and abs(level) > LEVEL_TOLD:
            loud = "louder" if level > 0 else "quieter"
            yield f"In its own band the {name} is {abs(level):.1f} dB {loud} than designed."


def _sum_sentence(found: Found) -> str:
    sides = found.crossover
    about = f"about {_hertz(sides.frequency)}"
    if not np.isfinite(found.missing):
        return f"The sum does not reach where {sides.name} hand over."
    limit = max(LEVEL_TOLD, found.missing_doubt)
    if abs(found.missing) <= limit:
        known = f"{abs(found.missing):.1f} dB from the design's, which is within {limit:.1f} dB"
        aside = ""
        if found.designed.depth < FAIR:
            aside = "; as designed they are not in step either"
        return f"The sum {about} is {known}: they add up as designed{aside}."
    if found.missing > 0:
        return (
            f"The sum {about} lacks {found.missing:.1f} dB against the design: the drivers are out "
            "of step, or one of them is too quiet there; the sum alone does not tell which."
        )
    return (
        f"The sum {about} is {-found.missing:.1f} dB louder than designed: a driver plays too far "
        "past the crossover or too loud there."
    )


def _hertz(frequency: float) -> str:
    return hertz(float(f"{frequency:.3g}"))


def _text(values: Sequence[str]) -> np.ndarray:
    return np.array(values, dtype=str)
