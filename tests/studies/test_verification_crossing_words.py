"""What is told of a crossover that was measured: figures made by hand, and their sentences."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from acoustics.studies.verification.crossings.figures import Handover
from acoustics.studies.verification.crossings.found import NOTHING, REVERSED, SUM, Found
from acoustics.studies.verification.crossings.sides import Crossover
from acoustics.studies.verification.crossings.words import (
    crossover_dataset,
    sentences,
    verdict_of,
)

SIDES = Crossover("woofer and tweeter", 2000.0, "woofer", "tweeter", frozenset({0}), frozenset({1}))
PHASE = "each driver by itself"
WANTED = Handover.unknown(
    crossing=2000.0, phase=5.0, null=2000.0, depth=30.0, lower_corner=1900.0, upper_corner=2100.0
)


def found(told_from=PHASE, *, measured=None, designed=WANTED, **changes):
    known = {"doubt": 4.0, "missing": math.nan, "missing_doubt": math.nan, **changes}
    figures = Handover.unknown(**(measured or {}))
    return Found(SIDES, told_from, ("both",), figures, designed, tell="", **known)


def test_nothing_measured_says_so_and_knows_no_verdict():
    none = found(NOTHING)
    assert sentences(none) == ("Nothing was measured that tells woofer and tweeter.",)
    assert verdict_of(none) == "not known"


@pytest.mark.parametrize(
    ("missing", "doubt", "verdict", "says"),
    [
        (0.2, 0.1, "adds up as designed", "0.2 dB from the design's, which is within 0.5 dB"),
        (-0.9, 1.0, "adds up as designed", "0.9 dB from the design's, which is within 1.0 dB"),
        (2.4, 0.3, "less than designed", "lacks 2.4 dB against the design: the drivers are out"),
        (-1.5, 0.3, "adds up as designed", "is 1.5 dB louder than designed: a driver plays too"),
        (math.nan, 0.3, "not known", "The sum does not reach where woofer and tweeter hand over."),
    ],
)
def test_what_a_sum_alone_tells(missing, doubt, verdict, says):
    one = found(SUM, missing=missing, missing_doubt=doubt)
    (sentence,) = sentences(one)
    assert says in sentence
    assert verdict_of(one) == verdict


def test_a_sum_that_lacks_level_is_judged_only_where_the_design_has_a_phase():
    blind = replace(WANTED, phase=math.nan)
    assert verdict_of(found(SUM, designed=blind, missing=3.0, missing_doubt=0.1)) == "not known"


def test_a_design_that_is_not_in_step_itself_is_told():
    shallow = replace(WANTED, depth=3.0)
    (sentence,) = sentences(found(SUM, designed=shallow, missing=0.0, missing_doubt=0.1))
    assert sentence.endswith("add up as designed; as designed they are not in step either.")


def test_a_phase_is_told_with_its_verdict_and_what_it_takes():
    """0.1 ms late at 2 kHz are 72° (360·f·t); 40 µs early is told as that, 1 µs is not."""
    one = found(measured={"crossing": 2000.0, "phase": 77.0, "late": 1e-4})
    said = sentences(one)
    assert said[0].startswith("Woofer and tweeter are 77° apart at 2 kHz (designed 5°): ")
    assert said[1] == "Against the design the tweeter is 100 µs late."
    early = sentences(found(measured={"crossing": 2000.0, "phase": 77.0, "late": -4e-5}))
    assert early[1] == "Against the design the tweeter is 40 µs early."
    close = sentences(found(measured={"crossing": 2000.0, "phase": 6.0, "late": 1e-6}))
    assert len(close) == 1


def test_phases_in_step_opposed_and_too_close_to_call():
    verdicts = {
        phase: verdict_of(found(measured={"phase": float(phase)}))
        for phase in (10, -10, 100, -100, 175, -175)
    }
    assert verdicts[10] == verdicts[-10]
    assert verdicts[100] == verdicts[-100]
    assert verdicts[175] == verdicts[-175]
    assert len(set(verdicts.values())) == 3
    assert verdict_of(found(measured={"phase": 100.0}, doubt=180.0)) == "too close to call"


def test_a_null_is_told_with_where_it_was_designed():
    built = {"depth": 25.0, "null": 2100.0, "built_depth": 25.0}
    (told,) = sentences(found(REVERSED, measured=built))
    assert told.startswith(
        "With the tweeter reversed there is a null 25 dB deep at 2.1 kHz (designed 30 dB at 2 kHz)"
    )
    none = {"depth": 1.0, "built_depth": 1.0}
    (told,) = sentences(found(measured=none, designed=replace(WANTED, null=math.nan)))
    assert told.startswith("Reckoned with the tweeter reversed there is no null (designed 30 dB): ")
    assert verdict_of(found(measured=none)) in told


def test_sides_are_told_by_their_corners_and_levels():
    """Within a twelfth of an octave a corner is as designed; 0.5 dB are none."""
    figures = {
        "lower_corner": 1900.0 * 2 ** (1 / 13),
        "upper_corner": 2100.0 * 2 ** (1 / 11),
        "lower_level": 1.2,
        "upper_level": -0.8,
    }
    lower, loud, upper, quiet = sentences(found(measured=figures))
    assert lower.endswith("(as designed).")
    assert loud == "In its own band the woofer is 1.2 dB louder than designed."
    assert upper.endswith("(designed 2.1 kHz).")
    assert quiet == "In its own band the tweeter is 0.8 dB quieter than designed."
    assert sentences(found(measured={"lower_level": 0.4, "upper_level": -0.4})) == ()


def test_all_of_it_is_a_table_with_a_row_for_each():
    rows = [found(NOTHING), found(measured={"crossing": 2000.0, "phase": 77.0, "late": 1e-4})]
    table = crossover_dataset(rows)
    assert table.sizes == {"crossover_reading": 2}
    assert table.crossover_verdict.values.tolist() == [verdict_of(each) for each in rows]
    assert table.crossover_words.values[1] == " ".join(sentences(rows[1]))
    assert table.crossover_phase.values[1] == 77.0
    assert math.isnan(table.crossover_phase.values[0])
    assert table.crossover_designed_phase.values.tolist() == [5.0, 5.0]
