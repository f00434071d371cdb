"""Verdicts on aims in words: met, missed, too close to call, not known."""

from __future__ import annotations

import pytest

from acoustics.case.design.model import Aim
from acoustics.listening import AimVerdict, judge_aims
from acoustics.report.aim_lines import aim_line, aim_lines, first_line
from support.cases import make_driver, pass_branch

BAND = (300.0, 10_000.0)


def verdict(value=2.0, met=True, name="smooth", measure="ripple", unit="dB", **changes):
    limits = {"at_least": None, "at_most": 1.9, **changes.pop("limits", {})}
    aim = Aim(name, measure, "reference axis", BAND, 6.0, **limits)
    given = {
        "values": (("reference axis", value),),
        "missed_by": {True: 0.0, False: 0.1, None: None}[met],
        "uncertainty": 0.05,
        **changes,
    }
    return AimVerdict(aim, value, unit, met=met, **given)


MET = verdict(1.5)
MISSED = verdict(2.0, met=False, name="smoother")
CLOSE = verdict(1.92, met=None, name="smoothest", close=True)
UNKNOWN = verdict(None, met=None, name="far", note="too wide a band", uncertainty=None)


@pytest.mark.parametrize(
    ("verdicts", "answer"),
    [
        ([MET], "Yes, by what it set out to do: its aim is met."),
        ([MET, MET], "Yes, by what it set out to do: all 2 of its aims are met."),
        ([MET, MISSED], "Not yet: it meets 1 of its 2 aims; missed: “smoother” (by 0.10 dB)."),
        ([CLOSE], "Too close to call: it meets 0 of its one aim; too close to call: “smoothest”."),
        ([MET, UNKNOWN], "Not known: it meets 1 of its 2 aims; not known: “far”."),
        (
            [MISSED, CLOSE, UNKNOWN],
            "Not yet: it meets none of its 3 aims; missed: “smoother” (by 0.10 dB); too close "
            "to call: “smoothest”; not known: “far”.",
        ),
        (
            [CLOSE, UNKNOWN],
            "Not known: it meets none of its 2 aims; too close to call: “smoothest”",
        ),
        ([], "The case file names no aims, so nothing decides"),
    ],
)
def test_verdict_in_a_sentence(verdicts, answer):
    assert first_line(verdicts).startswith(f"Is it good? {answer}")


@pytest.mark.parametrize(
    ("one", "line"),
    [
        (MET, "met: smooth: ripple 1.50 ± 0.05 dB (at most 1.9 dB asked)"),
        (MISSED, "MISSED by 0.10 dB: smoother: ripple 2.00 ± 0.05 dB (at most 1.9 dB asked)"),
        (CLOSE, "too close to call: smoothest: ripple 1.92 ± 0.05 dB (at most 1.9 dB asked)"),
        (UNKNOWN, "not known: far: ripple no figure (at most 1.9 dB asked); too wide a band"),
        (
            verdict(1.5, uncertainty=0.3, caveat="40 % of its band rests on drivers beyond"),
            "met: smooth: ripple 1.5 ± 0.3 dB (at most 1.9 dB asked) [40 % of its band rests on "
            "drivers beyond]",
        ),
        (
            verdict(
                -0.1,
                measure="tilt",
                unit="dB/octave",
                uncertainty=0.03,
                limits={"at_least": -1.0, "at_most": 0.3},
            ),
            "met: smooth: tilt −0.10 ± 0.03 dB per octave (−1.00 to 0.30 asked)",
        ),
        (
            verdict(360.0, measure="beamwidth", unit="degree", note="never falls by 6 dB"),
            "met: smooth: beamwidth all round (at most 2° asked)",
        ),
        (
            verdict(127.1, measure="beamwidth", unit="degree", uncertainty=1.4),
            "met: smooth: beamwidth 127 ± 1° (at most 2° asked)",
        ),
        (verdict(0.0, uncertainty=0.0), "met: smooth: ripple 0.0 dB (at most 1.9 dB asked)"),
    ],
)
def test_one_line_for_each(one, line):
    assert aim_line(one) == line


def test_missed_first_met_last():
    states = [line.split(":")[0] for line in aim_lines([MET, UNKNOWN, MISSED, CLOSE])]
    assert states == ["MISSED by 0.10 dB", "not known", "too close to call", "met"]


def places(*values, met=False):
    return aim_line(verdict(2.0, met=met, values=values))


def test_where_it_is_missed():
    """A place is told where it matters, and a cabinet only where the other fares otherwise."""
    low, high = "ear height 0.85 m", "ear height 1.05 m"
    assert f"2.00 ± 0.05 dB at {low} (" in places((low, 2.0), (high, 1.0))
    assert " at ear" not in places((low, 2.0), (high, 1.0), met=True)
    assert " at ear" not in places((low, 2.0), (high, 2.0))
    left, right = f"left cabinet, {low}", f"right cabinet, {low}"
    other = f"left cabinet, {high}"
    assert f"dB at {low} (" in places((left, 2.0), (right, 2.0), (other, 1.0))
    assert f"dB at {left} (" in places((left, 2.0), (right, 1.0), (other, 1.0))


def test_open_windows_are_at_least_that_high(known):
    """Two drivers close together keep their level over all heights predicted, 0.30 to 2.00 m."""
    aim = Aim("forgiving", "lobe window", "seat", None, None, 0.1, None)
    case, prediction, _ = known(
        drivers=(make_driver("woofer", 0.095), make_driver("tweeter", 0.125)),
        crossover=(
            pass_branch("woofer", "low-pass", 2500.0),
            pass_branch("tweeter", "high-pass", 2500.0),
        ),
        aims=(aim,),
    )
    (line,) = aim_lines(judge_aims(case, prediction))
    assert line == "met: forgiving: lobe window at least 1.70 m (at least 0.10 m asked)"


def test_a_null_misses_by_at_least():
    """45 ± 19 dB, nobody knows: 26 dB or more, 18 dB or more beyond the 8 dB asked."""
    null, doubt = 45.0, 19.0
    deep = verdict(
        null,
        met=False,
        name="floor",
        measure="floor dip",
        limits={"at_most": 8.0},
        missed_by=null - 8.0,
        uncertainty=doubt,
    )
    assert aim_line(deep).startswith(
        "MISSED by at least 18.0 dB: floor: floor dip at least 26.0 dB"
    )
