"""What is said of drivers: verdict first, figures with their rules, keys for what is not known."""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import replace

import pytest

from acoustics.case.design.brief_model import Brief
from acoustics.case.design.enclosure_model import Amplifier, Enclosure
from acoustics.case.design.model import Branch, Placement
from acoustics.case.design.network_model import Element
from acoustics.report import compatibility_csv, compatibility_text
from acoustics.report.compatibility_words import WORDS
from acoustics.studies.compatibility import CHECKS, Line, compatibility
from support.boxes import parameters
from support.cases import make_case, make_driver, pass_branch
from support.free_field import solve_free_field


def one_line(text):
    return " ".join(text.split())


def said(case, lines=None):
    lines = compatibility(case, solve=solve_free_field) if lines is None else lines
    return one_line(compatibility_text(case, lines))


def two_way(woofer=None, tweeter=None, corner=1300.0, gain=0.0, **changes):
    drivers = (
        make_driver("woofer", -0.05, **{"piston_diameter": 0.08, **(woofer or {})}),
        make_driver("tweeter", 0.05, **(tweeter or {})),
    )
    crossover = (
        pass_branch("woofer", "low-pass", corner),
        pass_branch("tweeter", "high-pass", corner, gain=gain),
    )
    return make_case(drivers, **{"crossover": crossover, **changes})


EVERYTHING = {
    "amplifier": Amplifier(lowest_impedance=4.0),
    "brief": Brief(seat_level=90.0, budget=200.0),
    "placement": Placement(pair=True, spacing=2.0),
    "enclosures": (Enclosure("box", "closed", ("woofer",), 0.008),),
}
WOOFER = {
    "small_signal": parameters(42.0, 0.4),
    "rated_impedance": 6.0,
    "price": 60.0,
    "mass": 1.5,
    "most_displacement": 0.005,
}
TWEETER = {
    "small_signal": parameters(500.0, 0.7),
    "rated_impedance": 6.0,
    "price": 30.0,
    "mass": 0.5,
    "most_displacement": 0.002,
}


@pytest.fixture(scope="module")
def everything():
    """A case of which all is stated, and its lines by the solver."""
    case = two_way(WOOFER, TWEETER, gain=-5.0, **EVERYTHING)
    return case, compatibility(case)


def test_it_starts_with_the_verdict_and_counts(everything):
    case, lines = everything
    text = compatibility_text(case, lines)
    assert {line.verdict for line in lines} == {"good"}
    assert text.splitlines()[0] == case.title
    start = f"Do these drivers go together in this cabinet? Yes, as far as is known. {len(lines)}"
    assert f"{start} checks: {len(lines)} good." in one_line(text)
    assert "First of all" not in text
    assert "Not known yet" not in text
    assert "does not apply" not in text
    assert max(map(len, text.splitlines())) <= 88
    assert text.endswith("decide.\n")


def test_every_check_says_figure_rule_and_source(everything):
    case, lines = everything
    text = compatibility_text(case, lines)
    points = [one_line(point) for point in re.split(r"\n- |\n\n", text) if "Rule: " in point]
    assert len(points) == len(lines)
    for line in lines:
        assert any(
            f"Good. {WORDS[line.check].title}: " in point and f"({line.source})." in point
            for point in points
        )
    told = one_line(text)
    # ohm, l, dB, octaves, wavelengths: SI inside, units here.
    assert "the woofer is usable to 4.09 kHz, 1.7 octaves above the crossover" in told
    assert "the tweeter from 500 Hz, 1.4 octaves below it" in told
    assert "100 mm from centre to centre, 0.38 wavelengths at 1.3 kHz" in told
    assert "8 l, closed, 0.85 of the 9.41 l that would be flat" in told
    assert "the drivers cost 180 of 200 for both cabinets; they weigh 4 kg" in told
    assert "falls to 6.0 ohm at" in told
    assert "not below the 4.0 ohm the amplifier is made for" in told
    assert "Rule: an octave below or more (common practice)" in told


def test_what_is_bad_comes_first_and_says_what_to_try():
    text = said(two_way(tweeter={"sensitivity": 80.0}, corner=4500.0))
    assert "Not like this." in text
    # Level is told before what lies between the drivers: no filter makes a driver louder.
    assert "First of all: level of the woofer and the tweeter." in text
    assert text.index("Bad. Level: the tweeter gives 74.0 dB") < text.index("Look twice. Spacing")
    assert "8.0 dB less. Rule:" in text
    assert "Try: a more sensitive driver" in text
    # ka = 2 at 2·343/(π·0.08 m) = 2729 Hz; an octave below ka = 3 at 4094 Hz: 2047 Hz.
    assert "Bad. Piston size: the woofer has ka = 3.30 at 4.5 kHz" in text
    assert "Try: cross at 2.73 kHz or lower" in text
    assert "Bad. Usable bands: the woofer is usable to 4.09 kHz, 0.1 octaves below" in text
    assert "Try: cross at 2.05 kHz or lower" in text


def test_what_is_worth_a_second_look_is_no_refusal():
    text = said(two_way(corner=2900.0))
    assert "Perhaps." in text
    assert "First of all: usable bands of the woofer and the tweeter." in text


def test_what_is_not_known_names_the_keys():
    text = said(two_way())
    assert "Too little is known to say." in text
    known, unknown = text.split("Not known yet, and the key that would tell")
    assert "amplifier.lowest_impedance: impedance of the woofer, impedance of" in unknown
    assert "enclosures: volume of the woofer" in unknown
    assert "drivers.tweeter.small_signal: resonance of the tweeter" in unknown
    # What is known of it stands with its figure.
    assert "Not known. Usable bands: the woofer is usable to 4.09 kHz" in known
    assert "Resonance: " not in known
    assert "Displacement: the brief does not ask (brief.seat_level)" in unknown
    assert "Cost: the brief does not ask (brief.budget)" in unknown


def test_warnings_of_the_case_come_before_the_figures():
    warning = "case.toml:12: drivers.woofer.small_signal.total_q: 0.5 does not follow"
    text = said(replace(two_way(), warnings=(warning,)))
    assert text.index("What does not fit together in the case file") < text.index("Good. ")
    assert f"- {warning}" in text
    assert "does not fit together" not in said(two_way())


def test_one_driver_has_nobody_to_go_with():
    case = make_case((make_driver("full range", piston_diameter=0.08),))
    text = said(case)
    assert "Does this driver suit this cabinet?" in text
    assert (
        "Resonance, usable bands, piston size, directivity, spacing, level and balance: there is "
        "one driver." in text
    )
    assert "Displacement: the brief" not in text


def test_without_a_crossover_the_pairs_do_not_apply():
    text = said(two_way(woofer={"piston_diameter": 0.1}, crossover=()))
    assert "crossover.tweeter.sections: crossover of the tweeter." in text
    assert "no driver hands over to another by the crossover as it is written" in text


def test_several_woofers_are_named_together():
    line = Line(
        "level",
        ("a", "b", "tweeter"),
        {
            "below": 2.0,
            "level": 88.0,
            "lowest": 88.5,
            "lowest_mean": 90.0,
            "gap": -0.5,
            "attenuation": 0.0,
        },
        "good",
    )
    text = said(two_way(), [line])
    assert "the tweeter gives 88.0 dB" in text
    assert "the a and the b 88.5 dB below the baffle step" in text
    assert "0.5 dB less. Rule" in text


FIGURES = {
    "level": {
        "below": 1.0,
        "level": 82.0,
        "lowest": 82.0,
        "lowest_mean": 84.0,
        "gap": 0.01,
        "attenuation": 0.01,
    },
    "impedance": {"least": 3.1, "at": 300.0, "amplifier": 4.0, "rated": math.nan},
    "load": {"least": 2.9, "at": 900.0, "amplifier": 4.0},
    "rated impedance": {"least": 5.2, "share": 0.65, "rated": 8.0},
    "displacement": {
        "displacement": 0.0012,
        "at": 900.0,
        "most": 0.001,
        "level": 96.0,
        "distance": 2.5,
    },
    "resonance": {
        "frequency": 2000.0,
        "resonance": 900.0,
        "octaves": 1.152,
        "wanted": 2.0,
        "order": 2.0,
    },
    "level asked": {"more": 6.5, "asked": 88.5, "own": 82.0, "most_gain": 6.0},
    "balance": {"below": 1.0, "off": 4.5, "gain": 0.0, "wanted": -4.5},
    "overlap": {
        "frequency": 2200.0,
        "above": 0.31,
        "below": 0.87,
        "limit": 2730.0,
        "resonance": 1200.0,
        "octaves": 0.31,
    },
    "beamwidth": {"difference": 113.0, "lower": 67.0, "upper": 180.0, "frequency": 2500.0},
    "spacing": {
        "wavelengths": 1.7,
        "distance": 0.238,
        "wavelength": 0.14,
        "behind": -0.02,
        "frequency": 2450.0,
    },
    "volume": {
        "ratio": 0.4,
        "volume": 0.004,
        "wanted": 0.01,
        "closed": 0.01,
        "vented": 0.015,
        "is_vented": 0.0,
        "bass": 1.0,
    },
    "budget": {"cost": 220.0, "budget": 180.0, "cabinets": 2.0, "mass": math.nan},
}
PAIRS = ("level", "balance", "overlap", "beamwidth", "spacing")


@pytest.mark.parametrize(
    ("check", "words"),
    [
        ("impedance", "falls to 3.1 ohm at 300 Hz"),
        ("impedance", "an amplifier made for less"),
        ("load", "about 2.9 ohm at 900 Hz (estimate"),
        ("rated impedance", "65% of its rated 8.0 ohm"),
        ("displacement", "moves at most 1.2 mm of its 1 mm (X_max), at 900 Hz, for 96.0 dB"),
        ("resonance", "at 900 Hz, 1.2 octaves below the crossover at 2 kHz"),
        ("resonance", "Try: cross at 3.6 kHz or higher, or steeper slopes"),
        ("level asked", "asks for 88.5 dB, 6.5 dB above the 82.0 dB"),
        ("balance", "with 0.0 dB from the crossover the b ends 4.5 dB above the a"),
        ("balance", "Try: −4.5 dB instead"),
        ("level", "dB in the mean of the band): alike. Rule"),
        # 2.4 kHz or higher and 1.365 kHz or lower: their mean in log frequency is 1.81 kHz.
        ("overlap", "1.81 kHz is halfway, but with these drivers no crossover has an octave"),
        ("beamwidth", "the beam (-6 dB) of the a is 67° wide, that of the b more than 180°"),
        ("spacing", "238 mm from centre to centre, 1.70 wavelengths at 2.45 kHz"),
        ("spacing", "acoustic centre lies 20 mm ahead of the upper one's"),
        # 2450 Hz / 1.7 = 1441 Hz.
        ("spacing", "Try: centres 140 mm apart or closer, or cross at 1.44 kHz or lower"),
        ("volume", "4 l, closed, 0.40 of the 10 l that would be flat. Rule: 0.7 to 1.5 of it ("),
        ("volume", "Try: a volume in which it would be flat in 10 l closed or 15 l vented"),
        ("budget", "cost 220 of 180 for both cabinets. Rule"),
    ],
)
def test_what_is_bad_is_said_with_its_figure_and_a_way_out(check, words):
    subject = ("a", "b") if check in PAIRS else ("a",)
    assert words in said(two_way(), [Line(check, subject, FIGURES[check], "bad")])


def test_a_q_that_no_box_fits_and_a_rated_impedance_are_said():
    figures = {**FIGURES["volume"], "wanted": math.nan, "closed": math.nan, "ratio": math.nan}
    text = said(two_way(), [Line("volume", ("a",), figures, "bad")])
    assert "at this Q no closed box makes it flat, though it would be flat in 15 l vented" in text
    figures = {**FIGURES["volume"], "bass": 0.0}
    text = said(two_way(), [Line("volume", ("a",), figures, "look twice")])
    assert "Rule: 0.7 of it or more, for it plays above a high-pass (" in text
    figures = {"least": 6.4, "at": math.nan, "amplifier": 4.0, "rated": 8.0}
    text = said(two_way(), [Line("impedance", ("a",), figures, "good")])
    assert "taken as 6.4 ohm, 80% of its rated 8.0 ohm, for want of its parameters" in text


def test_the_table_has_every_line_and_no_empty_rule(everything):
    _, lines = everything
    rows = list(csv.reader(io.StringIO(compatibility_csv(lines))))
    assert rows[0][:7] == ["subject", "check", "figure", "unit", "rule", "source", "verdict"]
    assert len(rows) == 1 + len(lines)
    by_check = {row[1]: row for row in rows[1:]}
    assert by_check["spacing"][0] == "woofer and tweeter"
    assert float(by_check["spacing"][2]) == pytest.approx(0.1 * 1300 / 343, rel=1e-5)
    assert by_check["load"][0] == "The loudspeaker"
    assert all(all(row[column] for column in (0, 1, 2, 3, 4, 5, 6)) for row in rows[1:])
    bare = list(csv.reader(io.StringIO(compatibility_csv([Line("resonance", ("t",), NOTHING)]))))
    assert bare[1][2] == ""


NOTHING = {"octaves": math.nan, "wanted": 1.0, "order": 4.0}


def test_every_check_has_words():
    assert set(WORDS) == set(CHECKS)


def test_a_passive_crossover_is_a_load_and_no_corner():
    """8 and 8 + 8 ohm in parallel are 5.33 ohm."""
    rated = {"rated_impedance": 8.0}
    crossover = (
        Branch("woofer", slopes="passive"),
        Branch("tweeter", slopes="passive", elements=(Element("series", resistor=8.0),)),
    )
    case = two_way(rated, rated, crossover=crossover, amplifier=Amplifier(lowest_impedance=4.0))
    text = said(case)
    assert "Combined load: all on the passive crossover falls to 5.3 ohm at" in text
    assert "estimate" not in text
    assert "what hands over where behind passive parts is for `roundover predict` to tell" in text
    assert "crossover.tweeter.sections" not in text
    assert "Displacement: the brief does not ask" in text
    asking = replace(case, brief=Brief(seat_level=90.0))
    assert "level, balance and displacement: what hands over where" in said(asking)
    line = next(
        line for line in compatibility(case, solve=solve_free_field) if line.check == "load"
    )
    assert line.figures["least"] == pytest.approx(16 / 3)
