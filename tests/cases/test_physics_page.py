"""The page of physics states the limits that the code has, and what was measured of it."""

from __future__ import annotations

import math
import re

import pytest

from acoustics.cabinet.shallow import LEAST_TURN
from acoustics.case.design.model import trusted_to
from acoustics.conventions import air_at
from acoustics.measurement.near_field import HIGHEST_KA
from acoustics.source.limits import PORT_SPEED
from acoustics.source.load import BAFFLED_FROM, SOLVED_TO
from acoustics.structure.lining_damping import BARE_LOSS
from acoustics.studies.measure.far import LEAST_SNR, PERIODS
from acoustics.studies.structure.sound import HEARD, QUIET
from acoustics.studies.tolerance.indices import LEAST_EXPLAINED
from support.cases import CASES

TEXT = (CASES / "PHYSICS.md").read_text(encoding="utf-8")
TOP = CASES.parent
BENCHMARKS = (TOP / "benchmarks" / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("sentence", "value", "stated"),
    [
        ("turns by less than 4° is refused", math.degrees(LEAST_TURN), 4.0),
        ("Above 17 m/s in a port", PORT_SPEED, 17.0),
        ("air load counts to 1 kHz; from there to 2 kHz", SOLVED_TO, 1000.0),
        ("air load counts to 1 kHz; from there to 2 kHz", BAFFLED_FROM, 2000.0),
        ("a Q of 100", 1 / BARE_LOSS, 100.0),
        ("quiet from 20 dB below the drivers", -QUIET, 20.0),
        ("heard from 10 dB below", -HEARD, 10.0),
        ("two and a half periods fit its gate", PERIODS, 2.5),
        ("30 dB over its noise", LEAST_SNR, 30.0),
        ("nothing above ka = 1", HIGHEST_KA, 1.0),
        ("less than 80 % of the variance", LEAST_EXPLAINED, 0.8),
    ],
)
def test_a_limit_is_that_of_the_code(sentence, value, stated):
    assert sentence in TEXT
    assert value == pytest.approx(stated)


def test_pistons_are_trusted_as_far_as_the_page_says():
    assert "2.7 kHz for a piston of 120 mm, 13 kHz for one of 25 mm" in TEXT
    speed = air_at(293.15).speed_of_sound
    assert trusted_to(0.120, None, speed) == pytest.approx(2.7e3, rel=0.02)
    assert trusted_to(0.025, None, speed) == pytest.approx(13e3, rel=0.02)


@pytest.mark.parametrize(
    ("here", "there", "where"),
    [
        ("177 of 180 with a listed fault", "177 of 180", BENCHMARKS),
        ("none of 60 sound ones", "0 of 60", BENCHMARKS),
        ("54 of 60 with a fault on no list", "54 of 60", BENCHMARKS),
        ("114 of 117 faults", "114 of 117", BENCHMARKS),
        ("Of 300 synthetic", "by 300 builds", BENCHMARKS),
        ("0.07 dB for the passive two-way", "| 0.074 dB |", BENCHMARKS),
        ("at most 0.09 dB off finer rules", "| 0.086 |", DEVELOPERS),
        ("97 lie below it", "97 of 100 true errors lie below it", DEVELOPERS),
        ("at 7°: 0.14 dB", "7°: 0.14 dB", DEVELOPERS),
        ("0.22 dB off, with these 0.14 dB", "0.22 dB, with these by 0.14", DEVELOPERS),
        ("within 0.5 % of finite elements", "within 0.5 % of a plate", DEVELOPERS),
        ("4 to 10 % high", "4 to 10 % high", DEVELOPERS),
        ("it may be 0.13 dB", "all together 0.13 dB", DEVELOPERS),
    ],
)
def test_what_was_measured_is_what_the_other_pages_say(here, there, where):
    assert here in TEXT
    assert there in where


def test_every_chapter_says_where_it_ends():
    chapters = re.split(r"^## \d+\. ", TEXT, flags=re.MULTILINE)[1:]
    assert len(chapters) == 8
    for chapter in chapters:
        for part in ("Idea", "Sources", "How well it holds", "Limits"):
            assert f"**{part}.**" in chapter, chapter[:30]
        assert "**What this cannot tell you.**" in chapter
        assert "**Instead:**" in chapter
