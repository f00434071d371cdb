"""Numbers as parts of sentences."""

from __future__ import annotations

import math

import pytest

from acoustics.report.phrases import depth_span, hertz_span, slope, span, whole, with_doubt


@pytest.mark.parametrize(
    ("value", "doubt", "unit", "text"),
    [
        (1.224, 0.05, "dB", "1.22 ± 0.05 dB"),
        (11.187, 0.263, "dB", "11.2 ± 0.3 dB"),
        (127.12, 1.38, "degree", "127 ± 1°"),
        (1.322, 0.0093, "m", "1.32 ± 0.01 m"),
        (-0.0034, 0.0297, "dB/octave", "0.00 ± 0.03 dB per octave"),
        (3.0, 0.0, "dB", "3.0 dB"),
        (3.0, None, "dB", "3.0 dB"),
    ],
)
def test_a_figure_and_its_doubt_end_at_the_same_digit(value, doubt, unit, text):
    """As the guide to the expression of uncertainty has it (JCGM 100:2008, 7.2.6)."""
    assert with_doubt(value, doubt, unit) == text


@pytest.mark.parametrize(
    ("values", "text"),
    [
        ([359.3, 297.6, math.nan], "298 to 359 Hz"),
        ([873.0, 1057.0], "873 Hz to 1.06 kHz"),
        ([1100.0, 2200.0], "1.1 to 2.2 kHz"),
        ([88.2, 88.4], "88.3 Hz"),
        ([100.0, 101.5], "100 to 102 Hz"),
        ([500.0], "500 Hz"),
    ],
)
def test_ranges_of_frequencies(values, text):
    assert hertz_span(values) == text


@pytest.mark.parametrize(
    ("values", "unit", "text"),
    [
        ([10.57, 11.19, math.nan], "dB", "10.6 to 11.2 dB"),
        ([9.12, 9.16], "dB", "9.1 dB"),
        ([0.85, 1.05], "m", "0.85 to 1.05 m"),
    ],
)
def test_ranges(values, unit, text):
    assert span(values, unit) == text


@pytest.mark.parametrize(
    ("depths", "doubts", "text"),
    [
        ([10.6, 11.2, math.nan], [0.3, 0.3, math.nan], "10.6 to 11.2 dB"),
        ([12.0, 45.0], [0.3, 19.0], "12.0 to at least 26.0 dB"),
        ([40.0, 45.0], [10.0, 19.0], "at least 26.0 dB"),
        ([27.0, 45.0], [2.0, 19.0], "at least 26.0 dB"),
    ],
)
def test_nulls_have_a_least_depth(depths, doubts, text):
    assert depth_span(depths, doubts) == text


def test_slopes_and_whole_numbers():
    assert slope(-0.5) == "falls by 0.50 dB per octave"
    assert slope(0.5) == "rises by 0.50 dB per octave"
    assert slope(0.04) == "is level"
    assert (whole(7.6), whole(-1.2)) == ("8", "−1")
