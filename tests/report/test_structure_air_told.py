"""What is told of the air inside, where little or nothing of it is known."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.report.structure_air import GONE, air_parts, quality_words
from acoustics.structure.air_bands import WavesInBand
from acoustics.structure.air_places import QuietHeights
from support.structure_found import hand_made, small_case


@pytest.fixture(scope="module")
def found(tmp_path_factory):
    return hand_made(small_case(tmp_path_factory.mktemp("air")))


def told(found):
    return " ".join(" ".join(air_parts(found)).split())


def waves(found, inside, band):
    """Which of the standing waves lie in the band of the driver; the others are octaves off."""
    which = np.zeros(found.air.count, dtype=bool)
    which[:inside] = True
    octaves = np.where(which, 0.0, 0.4 + np.arange(found.air.count))
    return replace(found, bands=(WavesInBand("wide", band, which, octaves),), quiet_heights=())


def test_where_nothing_is_known_the_reason_is_told(found):
    nothing = replace(found, air=None, air_left_out="the box is open")
    assert told(nothing).endswith("Not told: the box is open.")
    assert "nothing is known of the air inside" in told(replace(nothing, air_left_out=""))


def test_a_box_too_small_for_waves_says_so(found):
    none = told(replace(found, air=replace(found.air, count=0)))
    assert "No standing wave up to " in none
    assert "Standing waves of the air inside" not in none


@pytest.mark.parametrize(
    ("inside", "band", "says"),
    [
        (0, (3000.0, math.inf), "wide plays from 3 kHz: no standing wave is in its band, the"),
        (1, (0.0, 900.0), "wide plays to 900 Hz: in its band is "),
        (3, (100.0, 900.0), "wide plays from 100 Hz to 900 Hz: in its band are "),
        (5, (0.0, math.inf), "wide plays without corners: in its band are "),
    ],
)
def test_waves_in_a_band_are_told_by_how_many_there_are(found, inside, band, says):
    text = told(waves(found, inside, band))
    assert says in text
    assert ("and 2 more." in text) == (inside == 5)
    assert ("the nearest 0.4 octaves outside" in text) == (inside == 0)


def test_without_bands_it_says_where_they_are_told(found):
    assert "at which frequencies they cross" in told(replace(found, bands=()))
    assert "at which frequencies they cross" not in told(waves(found, 1, (0.0, 900.0)))


@pytest.mark.parametrize(
    ("heights", "best", "loudness", "says"),
    [
        (
            ((0.02, -0.03),),
            0.05,
            0.1,
            "alone 20 mm above the middle or 30 mm below the middle; excites",
        ),
        (((),), 0.0, 1.0, "wide: excites the first ones least in the middle of its face, hardly"),
        (((0.02,),), -0.01, 0.1, "least 10 mm below the middle, by 10.0 dB less than where it is."),
    ],
)
def test_heights_that_leave_a_wave_alone(found, heights, best, loudness, says):
    quiet = QuietHeights("wide", (1,), heights, best, loudness)
    assert says in told(replace(found, quiet_heights=(quiet,)))


def test_a_driver_that_no_wave_changes_for_has_no_line(found):
    quiet = QuietHeights("wide", (), (), 0.0, 1.0)
    bare = replace(found, bands=(), quiet_heights=(quiet,))
    assert told(bare) == told(replace(found, bands=(), quiet_heights=()))


def test_without_openings_and_linings_frequencies_alone_are_told(found):
    bare = told(replace(found, air_response=None, linings=None))
    assert "how strongly it drives" not in bare
    assert "What lining does" not in bare
    assert "how strongly it drives" in told(found)
    assert "What lining does" in told(found)
    # What could not be compared is told with its reason.
    lacking = replace(found.linings, left_out=("the fill has no data",))
    assert "Not compared: the fill has no data." in told(replace(found, linings=lacking))


def test_a_quality_factor_in_few_letters():
    assert quality_words(60.4) == "60"
    assert quality_words(5.31) == "5.3"
    assert quality_words(0.2) == GONE
