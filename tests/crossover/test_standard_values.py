"""Preferred numbers against the standard, and what is near to a value against all there is."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.crossover.standard_values import SERIES, between, combined, nearest, neighbours

# IEC 60063:2015, from memory
E12 = "10 12 15 18 22 27 33 39 47 56 68 82"
E24 = "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91"

VALUES = 10 ** np.random.default_rng(63).uniform(-7, 3, 60)


def everything(series):
    return [float(f"{n}e{power}") for power in range(-10, 7) for n in SERIES[series]]


def test_the_series_of_the_standard():
    for name, table in (("E12", E12), ("E24", E24)):
        assert [round(10 * number) for number in SERIES[name]] == [int(n) for n in table.split()]


def test_the_series_are_even_in_ratio():
    """Numbers are within 5 % of 10^(k/n): the series was made so, but for old rounding."""
    for name, count in (("E12", 12), ("E24", 24)):
        even = 10 ** (np.arange(count) / count)
        np.testing.assert_allclose(SERIES[name], even, rtol=0.05)


@pytest.mark.parametrize("series", SERIES)
def test_nearest_is_nearest_in_ratio(series):
    for value in VALUES:
        found = nearest(value, series)
        best = min(abs(math.log(each / value)) for each in everything(series))
        assert found in everything(series)
        assert abs(math.log(found / value)) == pytest.approx(best, abs=1e-12)


@pytest.mark.parametrize("series", SERIES)
def test_nothing_lies_between_neighbours(series):
    for value in VALUES:
        below, above = neighbours(value, series)
        assert below < value < above
        assert not [each for each in everything(series) if below < each < above]
        assert {below, above} <= set(everything(series))
    for value in everything(series):
        assert neighbours(value, series) == (value, value)


def test_at_the_end_of_a_decade():
    assert neighbours(9.5) == (8.2, 10.0)
    assert neighbours(9.5e-6, "E24") == (9.1e-6, 10e-6)
    assert nearest(0.97e-3) == 1.0e-3
    assert neighbours(math.nextafter(1e-3, 0)) == (1e-3, 1e-3)


@pytest.mark.parametrize("series", SERIES)
@pytest.mark.parametrize("kind", ["capacitor", "resistor"])
def test_two_parts_are_never_worse_than_one(kind, series):
    better = 0
    for value in VALUES:
        one, two = (combined(value, kind, series, most=most) for most in (1, 2))
        off = [abs(math.log(each.value / value)) for each in (one, two)]
        assert off[1] <= off[0]
        better += off[1] < off[0] / 5
        for each in (one, two):
            assert set(each.values) <= set(everything(series))
            assert each.error == pytest.approx(each.value / value - 1)
            assert each.value == pytest.approx(together(kind, each), rel=1e-12)
    assert better > 30


def together(kind, combination):
    if combination.joined is None:
        (answer,) = combination.values
        return answer
    adds = (combination.joined == "side by side") == (kind == "capacitor")
    if adds:
        return sum(combination.values)
    return 1 / sum(1 / value for value in combination.values)


@pytest.mark.parametrize("kind", ["capacitor", "resistor"])
def test_the_pair_is_the_best_of_all_pairs(kind):
    """Against every pair of three decades, either way, but for those with a useless part."""
    near = [value for value in everything("E12") if 1e-7 <= value <= 1e-3]
    for value in (7.4e-6, 5.05e-6, 9.9e-6, 1.37e-6):
        off = []
        for one, other in itertools.combinations_with_replacement(near, 2):
            low, high = sorted((one, other))
            if low >= 0.02 * value:
                off.append(abs(math.log((low + high) / value)))
            if value >= 0.02 * high:
                off.append(abs(math.log(low * high / (low + high) / value)))
        found = combined(value, kind)
        assert abs(math.log(found.value / value)) <= min(off) + 1e-9


def test_how_parts_of_a_kind_add_up():
    """7.02 µF = 6.8 µF + 0.22 µF; ohms that add are one after the other."""
    found = combined(7.02e-6, "capacitor")
    assert (found.joined, found.values) == ("side by side", (6.8e-6, 0.22e-6))
    assert found.error == pytest.approx(0.0, abs=1e-12)
    found = combined(7.02, "resistor")
    assert (found.joined, found.values) == ("one after the other", (6.8, 0.22))
    halved = combined(4.1, "resistor")
    assert (halved.joined, halved.values) == ("side by side", (8.2, 8.2))


def test_coils_are_single_and_standard_values_too():
    assert len(combined(0.8e-3, "inductor").values) == 1
    assert len(combined(0.8e-3, "inductor", most=2).values) == 2
    for kind in ("capacitor", "resistor"):
        found = combined(4.7e-6, kind)
        assert (found.values, found.joined, found.error) == ((4.7e-6,), None, 0.0)


def test_parts_below_one():
    """A value below 1 is one: nothing in the arithmetic begins at 1."""
    assert nearest(0.5) == 0.47
    assert nearest(1e-12) == 1e-12


@pytest.mark.parametrize("value", [0.0, -1.0, math.inf, math.nan])
def test_no_part_without_a_value(value):
    with pytest.raises(RoundoverError, match="above 0"):
        nearest(value)


def test_three_parts_are_too_many():
    with pytest.raises(RoundoverError, match="not from 3"):
        combined(1.0, "resistor", most=3)


def test_values_between_two_ends_both_counted_in():
    assert between(0.47, 1.5, "E12") == [0.47, 0.56, 0.68, 0.82, 1.0, 1.2, 1.5]
    assert between(9.1, 11.0, "E24") == [9.1, 10.0, 11.0]
    assert between(1e-6, 1e-5, "E12")[::12] == [1e-6, 1e-5]
    assert len(between(1e-6, 1e-3, "E24")) == 3 * 24 + 1
    assert between(2.3, 2.6, "E12") == []
    assert between(0.3, 0.4, "E12") == [0.33, 0.39]
    # An end that rounding took past a value still counts it; a share of a millionth does not.
    assert between(math.nextafter(1.0, 2), math.nextafter(1.2, 1), "E12") == [1.0, 1.2]
    assert between(1.0 * (1 + 1e-6), 1.5 * (1 - 1e-6), "E12") == [1.2]
    assert between(1.0, -1.0, "E12") == between(1.0, 0.0, "E12") == []


@pytest.mark.parametrize("kind", ["capacitor", "resistor"])
def test_the_greater_share_comes_first(kind):
    """10.3 = 5.6 + 4.7, and two equal parts where those are the best, in either way of joining."""
    adds, harmonic = ("side by side", "one after the other")[:: 1 if kind == "capacitor" else -1]
    found = combined(10.3, kind)
    assert (found.joined, found.values) == (adds, (5.6, 4.7))
    assert found.value == pytest.approx(10.3)
    found = combined(1.64, kind)
    assert (found.joined, found.values, found.value) == (adds, (0.82, 0.82), 1.64)
    found = combined(7.5, kind)
    assert (found.joined, found.values) == (harmonic, (15.0, 15.0))
    assert found.value == pytest.approx(7.5)
    # 5.6·6.8/12.4 = 3.0710, the smaller one, of which more goes through, first.
    found = combined(5.6 * 6.8 / 12.4, kind)
    assert (found.joined, found.values) == (harmonic, (5.6, 6.8))


def test_what_adds_less_than_a_fiftieth_is_left_out():
    """10 + 0.33 is exact and its second part adds 3.2 %; 100 + 1.5 would, but adds 1.5 %."""
    assert combined(10.33, "capacitor").values == (10.0, 0.33)
    assert combined(101.5, "capacitor").values != (100.0, 1.5)
    assert min(combined(101.5, "capacitor").values) > 2.0


def test_two_ways_that_are_as_good_are_told_as_the_first():
    """2.0 by 1.0 + 1.0 and by 3.9 ‖ 4.1 or the like: side by side comes first, of capacitors."""
    found = combined(2.0, "capacitor")
    assert (found.joined, found.values) == ("side by side", (1.0, 1.0))
    assert combined(2.0, "resistor").value == 2.0


def test_an_error_is_told_as_a_share():
    """2.2 for 2.0 is 10 % too much, 1.8 for 2.0 is 10 % too little."""
    assert combined(2.05, "inductor").error == pytest.approx(2.2 / 2.05 - 1)
    assert combined(1.95, "inductor").error == pytest.approx(1.8 / 1.95 - 1)
    assert combined(1.95, "inductor").values == (1.8,)
    with pytest.raises(RoundoverError, match="not from 0"):
        combined(1.0, "resistor", most=0)
