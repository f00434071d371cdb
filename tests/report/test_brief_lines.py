"""The brief in words: each point, the first line, and the comparison."""

from __future__ import annotations

import dataclasses

import pytest

from acoustics.case.design.brief_model import Brief
from acoustics.case.design.model import Aim
from acoustics.listening import AimVerdict, Held
from acoustics.report.aim_lines import first_line
from acoustics.report.brief_lines import brief_line, brief_lines
from acoustics.studies.comparison.compare import compare
from acoustics.studies.comparison.verdicts import briefs
from support.cases import make_case

BRIEF = Brief(surfaces=("floor", "front wall"))


def held(name="level", unit="dB", found=80.8, verdict="missed", at_least=82.0, **changes):
    given = {"at_most": None, "by": None if found is None else 1.2, **changes}
    return Held(name, unit, at_least, found=found, verdict=verdict, **given)


MISSED = held(uncertainty=0.2)
MET = held("width", "m", 0.22, "met", None, at_most=0.23)
CLOSE = held("tilt", "dB/octave", -1.01, "too close to call", -1.0, at_most=0.3, uncertainty=0.03)
UNKNOWN = held("reach", "Hz", None, "not yet known", None, at_most=45.0, tell="state more")


@pytest.mark.parametrize(
    ("one", "line"),
    [
        (
            MISSED,
            "MISSED by 1.2 dB: level: 80.8 ± 0.2 dB at 1 m for 2.83 V (at least 82.0 dB asked)",
        ),
        (MET, "met: width: 220 mm (at most 230 mm asked)"),
        (
            CLOSE,
            "too close to call: tilt: −1.01 ± 0.03 dB per octave (−1.00 to 0.30 dB per octave "
            "asked)",
        ),
        (
            held("ear height", "m", 1.05, at_least=1.19, at_most=1.21, by=0.14),
            "MISSED by 0.15 m: ear height: 1.05 m (1.2 m asked)",
        ),
        (
            held("ear height", "m", 0.95, "met", 0.94, at_most=0.96, by=None),
            "met: ear height: 0.95 m (0.95 m asked)",
        ),
        (
            held("reach", "Hz", 31.42, "too close to call", None, at_most=45.0, uncertainty=26.0),
            "too close to call: reach: 31.4 Hz, uncertain by up to 26 Hz, down to 6 dB below the "
            "mean level (at most 45 Hz asked)",
        ),
        (UNKNOWN, "not yet known: reach (at most 45 Hz asked): state more"),
        (
            held("reach", "Hz", 52.34, at_least=None, at_most=45.0, by=7.34, uncertainty=0.1),
            "MISSED by 7.34 Hz: reach: 52.3 Hz, down to 6 dB below the mean level (at most 45 Hz "
            "asked)",
        ),
        (
            held("level at the seat", found=94.0, at_least=96.0, by=2.0, frequency=47.2,
                 bound="at most", uncertainty=0.2),
            "MISSED by at least 2.0 dB: level at the seat: at most 94.0 ± 0.2 dB at 47.2 Hz (at "
            "least 96.0 dB asked)",
        ),
        (
            held("surfaces", "", 1.0, "not yet known", 2.0, tell="add [front_wall]"),
            "not yet known: surfaces: 1 of 2 are in the case (floor and front wall asked): add "
            "[front_wall]",
        ),
        (
            held("budget", "", 420.5, at_least=None, at_most=400.0, by=20.5, bound="at least"),
            "MISSED by at least 20.5: budget: at least 420.5 (at most 400 asked)",
        ),
        (
            held(verdict="met", found=83.0, caveat="40 % of its band"),
            "met: level: 83.0 dB at 1 m for 2.83 V (at least 82.0 dB asked) [40 % of its band]",
        ),
    ],
)  # fmt: skip
def test_one_line_for_each_point(one, line):
    assert brief_line(BRIEF, one) == line


def test_missed_first_and_met_last():
    lines = brief_lines(BRIEF, [MET, UNKNOWN, CLOSE, MISSED])
    states = [line.split(":")[0] for line in lines]
    assert states == ["MISSED by 1.2 dB", "too close to call", "not yet known", "met"]


def aim(met):
    own = Aim("smooth", "ripple", "reference axis", (300.0, 10_000.0), 6.0, None, 1.9)
    return AimVerdict(own, 2.0, "dB", (("reference axis", 2.0),), met, 0.1, uncertainty=0.5)


@pytest.mark.parametrize(
    ("points", "aims", "answer"),
    [
        ([MET], [], "Yes, by what it set out to do: the point of its brief is met."),
        ([MET, MET], [], "Yes, by what it set out to do: all 2 points of its brief are met."),
        (
            [MET, MET],
            [aim(True)],
            "Yes, by what it set out to do: all 2 points of its brief and its aim are met.",
        ),
        (
            [MET, MISSED, CLOSE, UNKNOWN],
            [],
            "Not yet: it meets 1 of the 4 points of its brief; missed: level (by 1.2 dB); too "
            "close to call: tilt; not yet known: reach.",
        ),
        (
            [MET],
            [aim(False)],
            "Not yet: it meets 0 of its one aim; missed: “smooth” (by 0.1 dB). It meets the one "
            "point of its brief.",
        ),
        (
            [CLOSE],
            [aim(True)],
            "Too close to call: it meets 0 of the one point of its brief; too close to call: tilt. "
            "It meets its one aim.",
        ),
        ([MET, UNKNOWN], [aim(True)], "Not known: it meets 1 of the 2 points of its brief; not "),
    ],
)
def test_the_first_line_takes_the_brief_into_account(points, aims, answer):
    assert first_line(aims, points).startswith(f"Is it good? {answer}")


def test_the_summary_has_the_brief_before_the_aims(summed_up):
    audible = Aim("audible", "level", "reference axis", (300.0, 10_000.0), 6.0, 20.0, None)
    text = summed_up(aims=(audible,), brief=Brief(width=0.2, budget=100.0))
    start = text[: text.index("Aims (")]
    assert "it meets none of the 2 points of its brief; missed: width (by 20 mm); not yet" in start
    assert "The brief --------- - MISSED by 20 mm: width: 220 mm (at most 200 mm asked)" in start
    assert "budget (at most 100 asked): state drivers.woofer.price and drivers" in start
    assert "The brief" not in summed_up(aims=(audible,))


def test_a_comparison_tells_of_each_brief(solve_free_field):
    cases = [
        make_case(path=f"{name}.toml", digest=name[0] * 64, brief=brief)
        for name, brief in (("a", Brief(width=0.2, depth=0.3)), ("b", None))
    ]
    sentences = compare(cases, solve=solve_free_field).sentences
    assert "a meets 1 of the 2 points of its brief; missed: width." in sentences
    assert not any(sentence.startswith("b meets") for sentence in sentences)


def test_without_briefs_a_comparison_says_nothing_of_them():
    assert briefs(("a", "b"), ()) == []
    assert briefs(("a", "b"), ((), (dataclasses.replace(MISSED),))) == [
        "b meets 0 of the one point of its brief; missed: level."
    ]
