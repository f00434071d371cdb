"""Wrinkles planted in a design's own impedance: found again, and told with the modes near them.

A wrinkle is a loop a/(1 + jQ(f/f₀ − f₀/f)), a share a of the impedance (any resonance in series
with a resistance). The air on the cabinet is left out on both sides.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import acoustics as ac
from acoustics.prediction.passive import passive_of
from acoustics.source import motion_of
from acoustics.studies.verification.enclosures.terminals import designed_impedance
from acoustics.studies.verification.enclosures.wrinkles_found import (
    NOTHING_NEAR,
    REMEDIES,
    modes_of,
    wrinkles_found,
)
from acoustics.studies.verification.readings.readings import ImpedanceReading, Readings
from support.cases import CASES

FREQUENCY = 20.0 * 2.0 ** (np.arange(48 * 7) / 48)
NOISE = 0.003


def load(frequency):
    return None


@pytest.fixture(scope="module")
def case():
    return ac.read_case(CASES / "compact-passive")


@pytest.fixture(scope="module")
def modes(case):
    return modes_of(case).causes


def told(case, driver, impedance, frequency=FREQUENCY):
    rng = np.random.default_rng(3)
    both = rng.standard_normal((2, frequency.size))
    noisy = impedance * np.exp(NOISE * (both[0] + 1j * both[1]))
    one = ImpedanceReading("own", "own.txt", driver, frequency, noisy, True, (1.0, 3e4), NOISE)
    return wrinkles_found(case, Readings((), (one,), 0.01, 1.0), load=load)


def planted(impedance, frequency, share, q):
    turn = FREQUENCY / frequency
    return impedance * (1 + share / (1 + 1j * q * (turn - 1 / turn)))


def own(case, driver):
    return designed_impedance(case, motion_of(case, FREQUENCY), (driver,), FREQUENCY)


def test_a_clean_impedance_has_none_and_none_is_asked_of_nothing(case):
    assert told(case, 0, own(case, 0)) == ()
    assert told(case, 0, np.zeros(0), np.zeros(0)) == ()


def test_a_wrinkle_at_a_wall_is_told_with_that_wall_and_what_to_do(case, modes):
    wall = next(each for each in modes if each.kind == "wall")
    (found,) = told(case, 0, planted(own(case, 0), wall.frequency, 0.1, 25.0))
    assert found.reading == "own"
    assert found.wrinkle.frequency == pytest.approx(wall.frequency, rel=0.005)
    assert found.wrinkle.q == pytest.approx(25.0, rel=0.2)
    assert found.causes[0] == wall
    assert f"{wall.what} (" in found.words
    assert REMEDIES["wall"] in found.words
    assert found.words.startswith("a narrow wrinkle at ")


def test_causes_are_told_the_nearest_first_and_no_farther_than_they_may_be(case, modes):
    """A wall by 5 %, the air by 3 %."""
    air = next(each for each in modes if each.kind == "air")
    (found,) = told(case, 0, planted(own(case, 0), 1.01 * air.frequency, 0.1, 25.0))
    assert air in found.causes
    assert REMEDIES["air"] in found.words
    far = [
        abs(np.log(found.wrinkle.frequency / each.frequency))
        / (0.05 if each.kind == "wall" else 0.03)
        for each in found.causes
    ]
    assert far == sorted(far)
    assert max(far) <= 1.0
    assert sum(each.kind == "wall" for each in modes) > len(found.causes)


def test_where_no_mode_is_near_it_says_what_else_to_look_for(case, modes):
    lowest = min(each.frequency for each in modes)
    (found,) = told(case, 0, planted(own(case, 0), 0.6 * lowest, 0.1, 25.0))
    assert found.causes == ()
    assert found.words.endswith(NOTHING_NEAR)


def test_behind_a_passive_crossover_broad_and_small_wrinkles_are_parts(case, modes):
    wall = next(each for each in modes if each.kind == "wall")
    seen = passive_of(case, motion_of(case, FREQUENCY), FREQUENCY).network.input_impedance
    (found,) = told(case, None, planted(seen, wall.frequency, 0.1, 25.0))
    assert found.causes[0] == wall
    assert told(case, None, planted(seen, wall.frequency, 0.1, 8.0)) == ()
    assert told(case, None, planted(seen, wall.frequency, 0.02, 25.0)) == ()


def test_at_the_terminals_of_several_amplifiers_nothing_is_known(case):
    active = replace(case, crossover=(), amplifier=None)
    assert told(active, None, planted(own(case, 0), 300.0, 0.1, 25.0)) == ()


def test_walls_of_which_nothing_can_be_known_are_told_as_that(case):
    """Without a thickness there are no walls to compute."""
    thin = replace(case, structure=None, cabinet=replace(case.cabinet, wall_thickness=None))
    found = modes_of(thin)
    assert found.causes == ()
    assert "is not known" in found.unknown
    assert "wall_thickness" in found.unknown
    (one,) = told(thin, 0, planted(own(thin, 0), 300.0, 0.1, 25.0))
    assert one.words.endswith(f"or a resonance of a surround or spider; {found.unknown}")


def test_modes_are_counted_in_words_and_then_in_figures(modes):
    words = [each.what for each in modes]
    assert any(each.startswith("the first mode of the ") for each in words)
    assert "the first standing wave of the air inside" in words
    assert any(each.startswith("the 6th mode of the ") for each in words)
