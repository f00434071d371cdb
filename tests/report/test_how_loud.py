"""How loud it plays, in words: figures of a point source, known in closed form."""

from __future__ import annotations

import re

import numpy as np
import pytest

from acoustics.case.design.brief_model import Brief
from acoustics.case.design.model import FrequencyGrid, Placement, Surface
from acoustics.prediction import predict
from acoustics.report.how_loud import how_loud
from acoustics.report.summary import summary
from support.cases import make_case, make_driver, seat_at
from support.free_field import solve_free_field
from support.limits import with_limits

SEAT = 88 - 20 * np.log10(2) - 20 * np.log10(2.5)
"""dB for 2.83 V of a point source of 88 dB into half space, 2.5 m away (method of images)."""


def told(limits, **changes):
    values = {
        "surfaces": (),
        "seat": seat_at(2.5, (0.79,)),
        "frequencies": FrequencyGrid(40.0, 20_000.0, 12),
        **changes,
    }
    case = make_case([make_driver("only")], **values)
    points, table = how_loud(case, with_limits(predict(case, solve=solve_free_field), limits))
    return " ".join(points), table


ALL = {("power", "only"): 28.3, ("amplifier", "only"): 40.0, ("displacement", "only"): 90.0}


def test_levels_for_the_usual_voltage_and_at_most():
    """28.3 V are 20 dB more than 2.83 V."""
    text, table = told(ALL)
    assert "For 2.83 V: 74.0 dB at the seat, and 82.0 dB of one cabinet at 1 m" in text
    assert "One steady sine at a time" in text
    assert "cabinets play" not in text
    assert "not stated" not in text
    head, first, *rows = table.splitlines()
    assert head.split("  ")[-1].strip() == "what ends it"
    assert first.split() == ["62.5", "Hz", "74.0", "94.0", "28.3", "power", "(only)"]
    assert len(rows) == 8  # octaves to 16 kHz


def test_cabinets_of_a_pair_are_added_and_it_is_said():
    text, _ = told(ALL, placement=Placement(pair=True, spacing=0.5))
    assert "both cabinets play, their powers added" in text
    assert "For 2.83 V: 77.0 dB at the seat, and 82.0 dB of one cabinet" in text


def test_what_the_briefs_level_takes():
    text, _ = told(ALL, brief=Brief(seat_level=SEAT + 12, reach=50.0))
    assert "86.0 dB at the seat, 50 Hz to 10 kHz: takes 11.3 V and has 8.0 dB" in text
    assert "to spare, least at " in text
    assert ", limited by power (only)." in text
    left = text[text.index("What is then left") :]
    # 40 V and 90 V are 3.0 and 10.0 dB above 28.3 V.
    assert left.startswith("What is then left to each limit: power (only) 8.0 dB at ")
    assert left.index("amplifier 11.0 dB") < left.index("displacement (only) 18.0 dB")


def test_what_lacks_is_said_and_down_to_where_it_can_be_had():
    """Displacement that allows f² / 100 V: 22.6 V, 18 dB over 2.83 V, at 47.5 Hz."""
    case = make_case(frequencies=FrequencyGrid(40.0, 20_000.0, 12))
    allowed = case.frequencies.values() ** 2 / 100
    limits = {**ALL, ("displacement", "only"): allowed}
    text, _ = told(limits, brief=Brief(seat_level=SEAT + 18, reach=42.0))
    volts = 2.83 * 10 ** (18 / 20)
    assert "lacks up to" in text
    assert ", limited by displacement (only)); going down from 300 Hz it can be had to " in text
    found = float(text.split("can be had to ")[1].split(" Hz")[0])
    assert found == pytest.approx(np.sqrt(100 * volts), abs=0.1)
    lowest = 1000 * 2 ** (-54 / 12)  # the first of the grid above 42 Hz
    lack = 20 * np.log10(volts / (lowest**2 / 100))
    assert f"displacement (only) −{lack:.1f} dB at {lowest:.1f} Hz" in text


def test_where_the_room_takes_it_away_it_is_said():
    """Method of images: driver and ears 0.79 m above a hard floor, 2.5 m apart, meet in opposition
    at 375 Hz. The mean power over 1/3 octave about it, by fine sums, is 12.15 dB down."""
    brief = Brief(seat_level=SEAT + 20)
    text, _ = told(ALL, surfaces=(Surface("floor", 0.0),), brief=brief)
    found = re.search(r"lacks up to .*\(at 375 Hz.* The reflections take (.*?) dB there: ", text)
    assert found is not None
    assert float(found.group(1)) == pytest.approx(12.15, abs=0.5)
    assert "going up from 300 Hz it can be had first at " in text
    assert "The reflections take" not in told(ALL, brief=brief)[0]


def test_what_is_not_stated_is_named():
    text, _ = told({**ALL, ("displacement", "only"): np.nan})
    assert "It may be less, as these are not stated: drivers.only.most_displacement." in text


def test_where_no_limit_is_known_there_is_no_highest_level():
    frequency = make_case(frequencies=FrequencyGrid(40.0, 20_000.0, 12)).frequencies.values()
    _, table = told({("power", "only"): np.where(frequency < 1500, np.inf, 20.0)})
    low, high = (table.splitlines()[row].split() for row in (1, -1))
    assert low == ["62.5", "Hz", "74.0", "∞", "∞", "nothing", "known"]
    assert high[-2:] == ["power", "(only)"]


def test_the_summary_tells_it_where_a_limit_is_known():
    case = make_case()
    prediction = predict(case, solve=solve_free_field)
    limited = with_limits(prediction, {("power", "woofer"): 20.0})
    assert "How loud\n--------\n" in summary(case, limited)
    assert "How loud\n" not in summary(case, with_limits(prediction))
