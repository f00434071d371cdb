"""The text of a verification says first what is wrong, and how sure that is."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest

from acoustics.report import verification_csv, verification_text
from acoustics.report.verification_sizes import in_trade, size_range
from support.cases import make_case
from support.verifications import PART, TURNED, Member, verification


@pytest.fixture(scope="module")
def case():
    return make_case()


def flat(text):
    return " ".join(text.split())


def answer(text):
    """The paragraph under the title."""
    return flat(text.split("\n\n")[1])


def section(text, title):
    _, _, rest = text.partition(f"{title}\n{'-' * len(title)}\n")
    return flat(rest.split("\n\n")[0])


def test_a_match_is_said_first_and_nothing_is_blamed(case):
    text = verification_text(case, verification())
    assert answer(text) == "It matches the design (97 % likely)."
    assert "What to look at" not in text
    assert "What would look the same" not in text
    assert max(map(len, text.splitlines())) <= 88
    assert text.endswith("\n")


def test_a_match_says_what_lies_outside_all_the_same(case):
    found = verification(outside=["axis", "terminals"], sure=False, healthy=0.7, unknown=0.3)
    said = answer(verification_text(case, found))
    assert "That is not sure: something is wrong that is on no list (30 %)." in said
    assert "axis by +3.0 dB at 1 kHz and terminals by +33 % at 1 kHz" in said


def test_a_sure_fault_comes_with_size_ends_and_remedy(case):
    found = verification("fault", healthy=0.0, unknown=0.02, causes=[(0.963, [PART])])
    text = verification_text(case, found)
    assert answer(text) == (
        "It does not match the design. Most likely (96 %): C1 of the tweeter is about 14 µF, not "
        "10 µF (95 %: 13.1 to 15 µF)."
    )
    assert section(text, "What to look at") == "- Read what is printed on C1."
    assert section(text, "What else it may be") == "- 2 %: something that is on no list."


def test_what_looks_the_same_is_named_with_the_measurement_that_tells(case):
    found = verification(
        "fault",
        sure=False,
        healthy=0.01,
        unknown=0.02,
        causes=[(0.8, [TURNED, PART]), (0.15, [replace(PART, words="C2 is about 20 µF")])],
        following="tweeter alone",
        shown=[(TURNED.words, ""), (PART.words, "up to 3.1 dB louder, at 2 kHz")],
    )
    text = verification_text(case, found)
    first = "Most likely (80 % with what would look the same, below): the tweeter is connected"
    assert first in answer(text)
    assert "These readings do not tell them apart." in answer(text)
    assert section(text, "What would look the same") == (
        "- C1 of the tweeter is about 14 µF, not 10 µF (95 %: 13.1 to 15 µF)."
    )
    assert section(text, "What else it may be").startswith("- 15 %: C2 is about 20 µF")
    told = section(text, "What to measure next")
    assert told.startswith("- Tweeter alone:")
    assert f"Against what it shows if {TURNED.words}:" in told
    assert f"- if {PART.words}: up to 3.1 dB louder, at 2 kHz." in told
    assert text.index("What to look at") < text.index("What else it may be")


def test_a_slip_of_the_measurement_does_not_blame_the_loudspeaker(case):
    far = Member(
        "the microphone stood about 1 m away, not 2 m", "Measure it with a tape.",
        "microphone at another distance: in distance", 1.0, 0.98, 1.07, 2.0, "m",
    )  # fmt: skip
    said = answer(
        verification_text(case, verification("fault", healthy=0.0, causes=[(0.96, [far])]))
    )
    assert said == (
        "The readings do not match the design, and the measurement is why, most likely (96 %): "
        "the microphone stood about 1 m away, not 2 m (95 %: 0.98 to 1.07 m)."
    )
    both = replace(far, kind=f"{far.kind}; {PART.kind}")
    found = verification("fault", healthy=0.0, causes=[(0.96, [both])])
    assert answer(verification_text(case, found)).startswith("It does not match the design.")


def test_a_fault_of_many_is_told_as_open(case):
    causes = [(0.3, [TURNED]), (0.25, [PART]), (0.2, [replace(PART, words="a third")])]
    found = verification("fault", sure=False, healthy=0.05, unknown=0.2, causes=causes)
    said = answer(verification_text(case, found))
    assert said.startswith("It does not match the design (75 % likely), and the readings leave")
    assert "Likeliest (30 %): the tweeter is connected" in said


def test_nothing_known_says_where_it_deviates(case):
    found = verification(
        "none of the known faults explains this",
        healthy=0.0, unknown=0.98, causes=[(0.02, [TURNED])], outside=["woofer alone"],
    )  # fmt: skip
    said = answer(verification_text(case, found))
    assert said.startswith("None of the known faults explains this. Something else is wrong (98 %")
    assert "It deviates most in woofer alone by +3.0 dB at 1 kHz." in said
    assert "What comes closest (2 %): the tweeter" in said


def test_nothing_that_fits_is_told_even_where_a_fault_is_likeliest(case):
    found = verification(
        "none of the known faults explains this",
        healthy=0.0, unknown=0.1, causes=[(0.9, [TURNED])],
    )  # fmt: skip
    text = verification_text(case, found)
    assert "fits worse than readings of such a build hardly ever would" in answer(text)
    assert "10 %: something that is on no list" in section(text, "What else it may be")


def test_not_sure_names_all_that_it_may_be(case):
    """No one of them stands for all."""
    found = verification(
        "not sure", sure=False, healthy=0.45, unknown=0.2, causes=[(0.35, [TURNED])]
    )
    text = verification_text(case, found)
    said = answer(text)
    assert section(text, "What it may be").count("%: ") == 3
    assert said.startswith("Not sure: it is as designed (45 %); the tweeter is connected")
    assert said.index("(35 %)") < said.index("(20 %)")


def test_no_probability_is_told_as_certain(case):
    text = verification_text(case, verification(healthy=1.0, unknown=0.0))
    assert "It matches the design (more than 99 % likely)." in text


def test_readings_aims_and_crossover_are_told(case):
    text = verification_text(case, verification(outside=["axis"]))
    table = text[text.index("Readings against") :].split("\n\n")[0].splitlines()
    (row,) = [line for line in table if line.startswith("axis")]
    assert row.split()[1:4] == ["outside", "60", "%"]
    assert "+3.0 dB at 1 kHz" in row
    assert "501 Hz to 4.89 kHz" in row
    aims = section(text, "Aims and brief, as measured")
    assert aims.index("level wanted: missed.") < aims.index("tilt wanted: too close to call.")
    assert aims.index("tilt wanted: too close to call.") < aims.index("smooth: met.")
    # One line for all that one reading would tell.
    assert "loud (predicted 73.7 dB) and wide (predicted 129°); a reading at the seat" in aims
    assert "(from woofer alone and tweeter alone): Woofer and tweeter are 8° apart" in section(
        text, "Crossover"
    )
    assert "lower peak at 25 Hz, designed 25 Hz" in section(text, "Enclosures")
    assert section(text, "Narrow wrinkles of the impedance").startswith("- Terminals: a narrow")


def test_what_was_set_right_is_told_and_what_was_not_to_be_expected(case):
    text = verification_text(case, verification(microphone=-0.02, far=True))
    told = section(text, "Set right before comparing")
    # 1.96 standard deviations of 0.1 dB, 0.01 ms and 1 mm.
    assert "All levels were read 0.30 ± 0.20 dB higher than they are." in told
    assert "Delay of clock one: 4.300 ± 0.020 ms." in told
    assert "The microphone stood 20.0 ± 2.0 mm to the left, 1.0 ± 2.0 mm above and" in told
    assert "2.0 ± 2.0 mm behind of where it was stated." in told
    assert "- Far off." in told
    inside = section(verification_text(case, verification()), "Set right before comparing")
    assert "Far off" not in inside


def test_only_what_strayed_far_is_told(case):
    strayed = [("woofer compliance", 1.9), ("tweeter C1", -2.6), ("bass volume", 3.2)]
    text = verification_text(case, verification(strayed=strayed))
    told = section(text, "What seems to have strayed most")
    assert told == (
        "- Bass volume: 3.2 ± 0.4 standard deviations above the design. "
        "- Tweeter C1: 2.6 ± 0.4 standard deviations below the design."
    )
    assert "strayed most" not in verification_text(case, verification())


def test_what_cannot_be_told_follows_from_what_was_measured(case):
    blind = verification(has_phase=False, impedances=())
    text = verification_text(case, blind)
    told = section(text, "What this cannot tell")
    assert "No response has phase" in told
    assert "No impedance was given" in told
    assert "Enclosures" not in text
    deaf = verification(responses=())
    told = section(verification_text(case, deaf), "What this cannot tell")
    assert "No response was given" in told
    assert "No impedance" not in told


def test_cautions_and_notes_are_there(case):
    text = verification_text(case, verification(notes=["axis: the unit was guessed."]))
    assert "capacitors, which hold charge" in section(text, "Before you open or measure it")
    assert section(text, "About the files") == "- axis: the unit was guessed."


def test_the_table_has_every_member_and_is_safe_for_spreadsheets():
    nasty = Member("=cmd() is what a file said", remedy="+1")
    found = verification("fault", healthy=0.1, unknown=0.05, causes=[(0.85, [PART, nasty])])
    rows = list(csv.DictReader(io.StringIO(verification_csv(found))))
    assert [row["rank"] for row in rows] == ["1", "1", "2", "3"]
    assert rows[0]["what"] == PART.words
    # 14, 13.1, 15 and 10 µF.
    assert [rows[0][name] for name in ("size", "low", "high", "designed", "unit")] == [
        "14", "13.1", "15", "10", "uF",
    ]  # fmt: skip
    assert rows[1]["what"].startswith("'=")
    assert rows[1]["remedy"] == "+1"  # a number is no formula
    assert rows[2]["what"] == "as designed"
    assert float(rows[2]["probability"]) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("low", "high", "unit", "kind", "told"),
    [
        (13.1e-6, 15e-6, "F", "", "13.1 to 15 µF"),
        (0.01, 0.0125, "m3", "", "10 to 12.5 litres"),
        (-0.012, 0.004, "m", "", "−12 to 4 mm"),
        (0.48, 0.52, "m", "", "0.48 to 0.52 m"),
        (-2.0, -1.5, "dB", "", "−2 to −1.5 dB"),
        (0.4, 0.6, "", "fill: bass", "40 to 60 %"),
        (5.0, 7.0, "", "air leak: bass", "5 to 7"),
        (1e-4, 1e-4, "s", "", "0.1 ms"),
        (np.nan, 1.0, "s", "", ""),
    ],
)
def test_sizes_are_in_the_units_of_the_trade(low, high, unit, kind, told):
    assert size_range(low, high, unit, kind) == told


def test_a_size_that_is_not_known_is_an_empty_cell():
    assert in_trade(np.nan, "F") == ("", "")
