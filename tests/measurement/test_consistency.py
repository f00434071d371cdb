"""Every check fires on its fault and is silent on what a careful person measured."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import acoustics as ac
from acoustics.curves import Curve, at_frequencies
from acoustics.measurement.calibration_sign import calibration_wrong, table_left
from acoustics.measurement.data_sheet import fine_structure, like_a_data_sheet
from acoustics.measurement.mistaken import (
    band_centroid,
    phase_missing,
    swapped_files,
    turned_over,
)
from acoustics.measurement.moved import arrivals_off, expected_arrivals, levels_off
from acoustics.measurement.sweep import make_sweep
from acoustics.measurement.undeclared_rate import scaled_frequencies, sweep_of_another_rate
from support.measured_sets import FREQUENCY, SPEED, measured_set

CASES = Path(__file__).parents[2] / "cases"
BANDS = {"woofer": (350.0, 2000.0), "tweeter": (1500.0, 8000.0)}
SEEDS = range(12)


def mean_levels(responses):
    return {name: 20 * np.log10(np.mean(np.abs(each))) for name, each in responses.items()}


def all_said(one):
    """Everything that the checks say of a set."""
    said = [
        *arrivals_off(one.arrived, one.arrivals, SPEED, loopback=True),
        *levels_off(mean_levels(one.found), mean_levels(one.expected)),
        *swapped_files(FREQUENCY, one.found, one.expected),
        calibration_wrong(FREQUENCY, one.differences, one.calibration),
    ]
    for name, band in BANDS.items():
        found, expected = one.found[name], one.expected[name]
        arrival = one.arrived[name][0], one.arrivals[name]
        said += [
            turned_over(FREQUENCY, found, expected, band),
            phase_missing(one.curve(name)),
            scaled_frequencies(FREQUENCY, found, expected, arrival),
            like_a_data_sheet(one.curve(name)),
        ]
    return [finding for finding in said if finding is not None]


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_is_said_of_clean_sets(seed):
    assert all_said(measured_set(seed)) == []


@pytest.mark.slow
def test_nothing_is_said_of_a_hundred_clean_sets():
    assert [seed for seed in range(100) if all_said(measured_set(seed))] == []


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("loopback", [True, False])
def test_a_microphone_moved_between_drivers(seed, loopback):
    one = measured_set(seed)
    time, spread = one.arrived["tweeter"]
    moved = one.arrived | {"tweeter": (time + 0.06 / SPEED, spread)}
    (said,) = arrivals_off(moved, one.arrivals, SPEED, loopback=loopback)
    assert "later than the drawing has it" in said.what
    assert "woofer" in said.where
    assert said.certain
    found = mean_levels(one.found)
    nearer = found | {"tweeter": found["tweeter"] + 6.0}
    (said,) = levels_off(nearer, mean_levels(one.expected))
    assert "times as" in said.advice


def test_both_moved_is_seen_with_a_loopback_alone():
    one = measured_set(3)
    late = {name: (time + 0.1 / SPEED, spread) for name, (time, spread) in one.arrived.items()}
    (said,) = arrivals_off(late, one.arrivals, SPEED, loopback=True)
    assert "later than from where the case has the microphone" in said.what
    assert arrivals_off(late, one.arrivals, SPEED, loopback=False) == ()


def test_levels_of_one_driver_follow_its_distances():
    # 1/r: 6.02 dB for twice the way.
    distances = {"near": -20 * np.log10(0.5), "far": -20 * np.log10(1.0)}
    assert levels_off({"near": 86.0, "far": 80.0}, distances, 1.0) == ()
    (said,) = levels_off({"near": 86.0, "far": 83.0}, distances, 1.0)
    assert "3.0 dB louder" in said.what
    assert "1.4 times as near" in said.advice


def test_arrivals_by_geometry():
    case = ac.read_case(CASES / "compact-centred")
    # The tweeter sits 125 mm up and the woofer 20 mm down, its cone 18 mm deep.
    found = expected_arrivals(case, (0.0, 0.125, 1.0))
    speed = case.air.speed_of_sound
    assert found["tweeter"] == pytest.approx(1 / speed)
    assert found["woofer"] == pytest.approx((np.hypot(1.0, 0.145) + 0.018) / speed)


@pytest.mark.parametrize("seed", SEEDS)
def test_swapped_files(seed):
    one = measured_set(seed)
    exchanged = {"woofer": one.found["tweeter"], "tweeter": one.found["woofer"]}
    (said,) = swapped_files(FREQUENCY, exchanged, one.expected)
    assert "the woofer's looks like the tweeter's" in said.what
    # With one file alone it is only known to be another's.
    (said,) = swapped_files(FREQUENCY, {"woofer": one.found["tweeter"]}, one.expected)
    assert "octaves above where the driver is" in said.what


def test_the_middle_of_a_band_by_hand():
    # Even in power over log frequency from 100 to 6400 Hz: 800 Hz.
    frequency = np.geomspace(100.0, 6400.0, 601)
    assert band_centroid(frequency, np.ones(601)) == pytest.approx(800.0)


@pytest.mark.parametrize("seed", SEEDS)
def test_polarity(seed):
    one = measured_set(seed)
    for name, band in BANDS.items():
        said = turned_over(FREQUENCY, -one.found[name], one.expected[name], band)
        assert said is not None
        assert said.certain
        # A file position of its own does not hide it, nor make it up.
        late = np.exp(-2j * np.pi * FREQUENCY * 1.7e-3)
        assert turned_over(FREQUENCY, -late * one.found[name], one.expected[name], band)
        assert turned_over(FREQUENCY, late * one.found[name], one.expected[name], band) is None


def test_phase_that_is_none():
    curve = measured_set(0).curve("tweeter")
    said = phase_missing(replace(curve, has_phase=False, values=abs(curve.values) + 0j))
    assert said is not None
    assert "tweeter.txt has no phase" in said.what
    said = phase_missing(replace(curve, values=abs(curve.values) + 0j))
    assert said is not None
    assert "the same at all frequencies" in said.what


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (-2.0, "wrong sign"),
        (2.0, "wrong sign"),
        (1.0, "in the curves still"),
        (-1.0, "taken out twice"),
    ],
)
def test_the_microphones_table(share, words):
    # M/R is left of a microphone M by a table taken for R: 1/R² if the table states 1/M.
    told = 0
    for seed in SEEDS:
        one = measured_set(seed)
        table = 20 * np.log10(np.abs(at_frequencies(one.calibration, FREQUENCY)[0]))
        left = {name: each + share * table for name, each in one.differences.items()}
        said = calibration_wrong(FREQUENCY, left, one.calibration)
        # A table of corrections is the same, the other way round.
        inverse = replace(one.calibration, values=1 / one.calibration.values)
        other = calibration_wrong(FREQUENCY, left, inverse, "correction")
        assert (said is None) == (other is None)
        if said is not None:
            assert words in said.what
            assert words in other.what
            told += 1
    # A table of 2 dB can hide among drivers that are off by more; twice of it cannot.
    assert told >= (12 if abs(share) == 2 else 11)


def test_how_much_of_a_table_by_hand():
    # A tilt and an offset do not count; what is left is 0.4 of the table exactly.
    table = measured_set(1).calibration
    level = 20 * np.log10(np.abs(at_frequencies(table, FREQUENCY)[0]))
    difference = 0.4 * level + 1.5 - 0.7 * np.log2(FREQUENCY)
    found = table_left(FREQUENCY, {"one": difference}, table)
    assert found is not None
    assert found.share == pytest.approx(0.4, abs=0.01)
    assert found.correlation == pytest.approx(1.0, abs=0.01)
    flat = replace(table, values=np.ones(table.frequency.size) + 0j)
    assert table_left(FREQUENCY, {"one": difference}, flat) is None


@pytest.mark.parametrize("ratio", [48 / 44.1, 44.1 / 48])
def test_frequencies_of_an_undeclared_rate(ratio):
    found = 0
    for seed in SEEDS:
        one = measured_set(seed)
        for name in BANDS:
            size = np.abs(one.found[name])
            moved = np.interp(FREQUENCY / ratio, FREQUENCY, size, left=np.nan, right=np.nan)
            arrival = one.arrived[name][0] / ratio, one.arrivals[name]
            said = scaled_frequencies(FREQUENCY, moved, one.expected[name], arrival)
            found += said is not None
            if said is not None:
                assert said.certain
                assert f"{ratio:.3f} times too high" in said.what
            # Where the sound comes at the right time the rate is right.
            early = one.arrived[name][0], one.arrivals[name]
            assert scaled_frequencies(FREQUENCY, moved, one.expected[name], early) is None
    # A tweeter that is flat but for one slope can hide it; most do not.
    assert found >= 22


@pytest.mark.parametrize(("stated", "true"), [(48_000.0, 44_100.0), (44_100.0, 48_000.0)])
def test_a_sweep_recorded_at_another_rate(stated, true):
    played = make_sweep(20.0, 20_000.0, 1.0, stated)
    recorded = replace(played, sampling_rate=true)
    random = np.random.default_rng(4)

    def heard(samples):
        quiet = np.zeros(round(0.3 * stated))
        answer = np.convolve(np.concatenate([samples, quiet, quiet]), [0.0] * 40 + [1.0, 0.3])
        return 0.2 * answer + 1e-3 * random.standard_normal(answer.size)

    said = sweep_of_another_rate(heard(recorded.samples), played)
    assert said is not None
    assert f"as if {true:g} samples a second were taken for {stated:g}" in said.what
    assert sweep_of_another_rate(heard(played.samples), played) is None


@pytest.mark.parametrize("seed", SEEDS)
def test_what_was_read_off_a_data_sheet(seed):
    one = measured_set(seed)
    octaves = np.log2(FREQUENCY)
    for per_octave in (3, 10):
        places = np.arange(octaves[0], octaves[-1], 1 / per_octave)
        level = 20 * np.log10(np.abs(one.expected["woofer"]))
        smooth = np.array([level[abs(octaves - place) < 1 / 6].mean() for place in places])
        sheet = Curve(2**places, 10 ** (smooth / 20) + 0j, False, (), "sheet.txt")
        said = like_a_data_sheet(sheet)
        assert said is not None
        assert f"no phase and {per_octave} points per octave" in said.what
    rounded = 10 ** (np.round(2 * level) / 2 / 20) + 0j
    said = like_a_data_sheet(Curve(FREQUENCY, rounded, True, (), "sheet.txt"))
    assert said is not None
    assert "steps of 0.5 dB" in said.what


def test_smoothing_takes_ripple_away_and_leaves_slopes():
    frequency = np.geomspace(100.0, 12_800.0, 1200)
    octaves = np.log2(frequency / 100)
    slope = 10 ** (-12 * octaves / 20)
    assert fine_structure(frequency, slope) < 1e-6
    # Of twelve periods an octave, four places each, the mean over nine leaves a ninth; twice.
    ripple = 10 ** (0.5 * np.sin(2 * np.pi * 12 * octaves) / 20)
    assert fine_structure(frequency, slope * ripple) == pytest.approx(
        0.5 / np.sqrt(2) * (8 / 9) ** 2, rel=0.03
    )
    smooth = Curve(frequency, slope + 0j, False, (), "smooth.txt")
    said = like_a_data_sheet(smooth)
    assert said is not None
    assert "no ripple narrower" in said.what
    assert like_a_data_sheet(replace(smooth, values=slope * ripple + 0j)) is None


def test_sound_before_it_was_sent_means_exchanged_channels():
    # Causality; a recording and its loopback exchanged give the inverse response.
    found = {"tweeter": (-2.9e-3, 1e-5), "woofer": (3.0e-3, 1e-5)}
    (said,) = arrivals_off(found, {"tweeter": 2.9e-3, "woofer": 3.0e-3}, 343.2, loopback=True)
    assert said.where == "tweeter"
    assert "exchanged" in said.advice
