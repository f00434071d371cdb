"""How drivers hand over, told from readings of a Linkwitz–Riley pair in closed form."""

from dataclasses import replace

import numpy as np
import pytest
import xarray as xr

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.crossings.figures import handover, phase_by_sums
from acoustics.studies.verification.crossings.found import (
    DRIVERS,
    NOTHING,
    REVERSED,
    SUM,
    crossovers_found,
)
from acoustics.studies.verification.crossings.sides import Sides
from acoustics.studies.verification.crossings.words import (
    CROSSOVER_FOUND,
    crossover_dataset,
    sentences,
    verdict_of,
)
from acoustics.studies.verification.healthy.aligned import align
from support.toy_bench import CORNER, GRID, SPEED, bench_with, linkwitz_riley, response

FAR = (0.0, 0.025, 50.0)
"""as far from either driver: the ways differ by nothing"""

TWO = (response("woofer", (0,), place=FAR), response("tweeter", (1,), place=FAR))
BOTH = response("all", place=FAR)
FLIPPED = response("flipped", flipped=(1,), place=FAR)


@pytest.fixture(scope="module")
def prediction():
    """What `crossovers` and `upper_sides` read of one: how loud each driver is by itself."""
    strength = np.abs(linkwitz_riley(GRID))
    return xr.Dataset(
        {"strength": (("driver", "frequency"), strength)},
        coords={"driver": ["woofer", "tweeter"], "frequency": GRID},
    )


def found_of(prediction, readings, built=None, **how):
    bench = bench_with(readings, built, microphone=0.005, **how)
    return crossovers_found(bench, prediction, align(bench, ()))


def late_tweeter(delay):
    return Built(bench_with(TWO).design.case, delays=(0.0, delay))


def sides_of(lower, upper):
    return Sides(GRID, lower, upper, 0.1, (0, 1))


def test_linkwitz_riley_in_closed_form():
    """Both sides are in phase everywhere and 6 dB down at the corner (Linkwitz 1976, JAES)."""
    pair = sides_of(*linkwitz_riley(GRID))
    figures = handover(pair, CORNER, pair)
    assert figures.crossing == pytest.approx(CORNER, rel=1e-3)
    assert figures.phase == pytest.approx(0.0, abs=0.01)
    assert figures.null == pytest.approx(CORNER, rel=2e-3)
    assert figures.depth > 40  # infinite at the corner itself
    assert figures.verdict == "deep"
    assert figures.lower_corner == pytest.approx(CORNER, rel=0.02)
    assert figures.upper_corner == pytest.approx(CORNER, rel=0.02)


@pytest.mark.parametrize("delay", [20e-6, -35e-6])
def test_a_delay_is_found(prediction, delay):
    """A delay τ turns the phase by 360·f·τ, and is told as itself."""
    (found,) = found_of(prediction, TWO, late_tweeter(delay), delay=3e-3, seed=3)
    assert found.told_from == DRIVERS
    assert found.measured.phase == pytest.approx(-360 * CORNER * delay, abs=2.0)
    assert found.measured.late == pytest.approx(delay, abs=1e-6)
    assert found.designed.phase == pytest.approx(0.0, abs=1.0)
    way = "late" if delay > 0 else "early"
    assert any(f"tweeter is {abs(delay) * 1e6:.0f} µs {way}" in each for each in sentences(found))


def test_words_of_a_sound_pair(prediction):
    """In step, and nothing said of a delay."""
    (found,) = found_of(prediction, TWO, seed=4)
    assert verdict_of(found) == "in step"
    assert "in step" in sentences(found)[0]
    assert not any("µs" in each for each in sentences(found))


def test_reversed_by_mistake(prediction):
    """A tweeter connected the wrong way round is in opposition, its delay still that designed."""
    case = bench_with(TWO).design.case
    drivers = (case.drivers[0], replace(case.drivers[1], inverted=True))
    (found,) = found_of(prediction, TWO, Built(replace(case, drivers=drivers)))
    assert "opposite phase" in verdict_of(found)
    assert found.measured.late == pytest.approx(0.0, abs=1e-6)


def test_reversed_on_purpose(prediction):
    """A sum and a reversed sum in time give both sides back: (s + r)/2 and (s − r)/2."""
    (found,) = found_of(prediction, (BOTH, FLIPPED), late_tweeter(30e-6), delay=1e-3)
    assert found.told_from == REVERSED
    assert found.measured.phase == pytest.approx(-360 * CORNER * 30e-6, abs=1.0)
    assert found.designed.depth > 40


@pytest.mark.parametrize("degrees", [20.0, 60.0, 90.0])
def test_sizes_of_two_sums(degrees):
    """|a − b|/|a + b| = tan(φ/2) at equal levels; the null is −20·lg sin(φ/2) below."""
    low, up = linkwitz_riley(GRID)
    up = up * np.exp(1j * np.radians(degrees))
    figures = phase_by_sums(GRID, np.abs(low + up), np.abs(low - up), CORNER, sides_of(low, up))
    assert figures.phase_size == pytest.approx(degrees, abs=1.0)
    half = np.sin(np.radians(degrees / 2))
    assert figures.depth == pytest.approx(-20 * np.log10(half), abs=0.2)


def test_reversed_sum_without_the_sum(prediction):
    """Held against the sum as predicted, and said so."""
    flat = replace(FLIPPED, has_phase=False)
    (found,) = found_of(prediction, (flat,))
    assert found.measured.null == pytest.approx(CORNER, rel=0.04)
    assert verdict_of(found) == "in step"
    assert "tells how deep" in found.tell


def test_sum_alone(prediction):
    """A delay of a third of a period costs the level that its closed form says, at the corner.

    |1 + exp(−jωτ)|/2 = |cos(ωτ/2)|: the mean over the overlap lies between nothing and somewhat
    more than at the corner, as ωτ grows across it.
    """
    delay = 1 / (3 * CORNER)
    (found,) = found_of(prediction, (BOTH,), late_tweeter(delay))
    at_corner = -20 * np.log10(abs(np.cos(np.pi * CORNER * delay)))
    assert found.told_from == SUM
    assert 0.5 * at_corner < found.missing < 1.5 * at_corner
    assert "does not tell which" in sentences(found)[0]
    assert "wrong way round" in found.tell
    (sound,) = found_of(prediction, (BOTH,))
    assert verdict_of(sound) == "adds up as designed"


def test_sizes_alone(prediction):
    """Without phase there are levels and corners, and no delay."""
    quiet = Built(bench_with(TWO).design.case, levels=(0.0, -2.0))
    bare = tuple(replace(each, has_phase=False) for each in TWO)
    (found,) = found_of(prediction, bare, quiet, level=0.0)
    assert np.isnan(found.measured.phase)
    assert found.measured.upper_level == pytest.approx(-2.0, abs=0.05)
    assert any("2.0 dB quieter" in each for each in sentences(found))
    assert "one clock" in found.tell


def test_nothing_read(prediction):
    """Without readings it says which would tell."""
    (found,) = found_of(prediction, (response("one", (0,)),))
    assert found.told_from == NOTHING
    assert "each alone" in found.tell


def test_near_the_cabinet_the_design_says_what_to_expect(prediction):
    """Off the middle, the ways differ: the design's phase there is 360·f·(d₂ − d₁)/c."""
    place = (0.0, 0.30, 1.0)
    near = tuple(replace(each, place=place) for each in TWO)
    (found,) = found_of(prediction, near)
    ways = [np.hypot(1.0, 0.30 - y) for y in (-0.05, 0.10)]
    # The upper one is nearer, louder, and so crosses a little below the corner.
    expected = -360 * found.designed.crossing * (ways[1] - ways[0]) / SPEED
    assert found.designed.phase == pytest.approx(expected, abs=2.0)
    assert found.measured.phase == pytest.approx(found.designed.phase, abs=1.0)


def test_dataset_explains_itself(prediction):
    """Every variable has a unit and a meaning, and every name is in the table."""
    found = found_of(prediction, (*TWO, BOTH, FLIPPED))
    data = crossover_dataset(found)
    assert data.sizes["crossover_reading"] == len(found) == 2
    for name in (*data.data_vars, *data.coords):
        assert data[name].attrs["units"]
        assert data[name].attrs["long_name"]
        assert name in CROSSOVER_FOUND
