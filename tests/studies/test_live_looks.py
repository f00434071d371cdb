"""Where lobes are looked at."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.listening.interpolation import pressure_between
from acoustics.studies.live.looks import looked_round, looks_at, nearest

FREQUENCY = np.geomspace(20.0, 20e3, 200)


def test_an_only_crossover_is_looked_at_with_half_an_octave_to_either_side():
    found = looks_at(np.array([2000.0]))
    assert found[0] == 2000.0
    np.testing.assert_allclose(np.log2(found[1:] / 2000.0), [-0.5, 0.5])


def test_of_several_each_is_looked_at_and_of_many_the_highest():
    np.testing.assert_array_equal(looks_at(np.array([400.0, 3000.0])), [400.0, 3000.0])
    found = looks_at(np.array([80.0, 300.0, 900.0, 4000.0]))
    np.testing.assert_array_equal(found, [300.0, 900.0, 4000.0])


def test_without_a_crossover_there_is_still_something_to_look_at():
    assert looks_at(np.array([])).size == 3


@pytest.mark.parametrize("crossovers", [[2000.0], [400.0, 3100.0], [20.0], [19_900.0], []])
def test_what_takes_part_tells_what_is_between(crossovers):
    # Other frequencies may hold anything: what is told at the crossovers does not change.
    at = np.array(crossovers)
    mask = looked_round(FREQUENCY, at)
    assert mask[nearest(FREQUENCY, looks_at(at))].all()
    assert not mask.all()
    whole = np.exp(-2j * np.pi * FREQUENCY * 1e-3)[None]
    cut = np.where(mask, whole, np.nan)
    for one in at:
        told = pressure_between(cut, FREQUENCY, one, 1e-3)
        np.testing.assert_allclose(told, pressure_between(whole, FREQUENCY, one, 1e-3))
        np.testing.assert_allclose(np.abs(told), 1.0, atol=1e-9)


def test_few_frequencies_all_take_part():
    assert looked_round(np.array([900.0, 1800.0]), np.array([1000.0])).all()


def test_the_nearest_is_so_by_ratio():
    grid = np.array([1000.0, 2000.0])
    np.testing.assert_array_equal(nearest(grid, np.array([1400.0, 1430.0])), [0, 1])
