"""The shipped recordings give back the design that they were computed from, near fields joined."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from acoustics.case import read_case
from acoustics.curves import curve_of, read_curve
from acoustics.measurement.demonstration import demonstration_setup
from acoustics.measurement.synthetic import by_parameters
from acoustics.prediction import predict
from acoustics.report.measured_tables import case_lines, response_table, table_name
from acoustics.studies.measure import measure_study
from acoustics.studies.measure.against import predicted_at

pytestmark = pytest.mark.slow

CASE = Path(__file__).parents[2] / "cases" / "compact-measured"


@pytest.fixture(scope="module")
def case():
    return read_case(CASE)


@pytest.fixture(scope="module")
def study(case):
    return measure_study(case)


def test_nothing_stands_against_it(study):
    assert study.finding_text.values.tolist() == []


@pytest.mark.parametrize("name", ["tweeter", "woofer"])
def test_the_response_is_the_designs(case, study, name):
    # The truth is the prediction the recordings were made from, with the microphone in free space;
    # their noise, room, microphone and converters are what measuring has to take away.
    one = study.sel(driver=name)
    low, high = float(one.valid_low), float(one.valid_high)
    frequency = study.frequency.values
    # High up the solver takes long, so few places there.
    inside = np.flatnonzero((frequency >= low) & (frequency <= high))
    places = np.concatenate([inside[frequency[inside] < 1000][::4], inside[::24]])
    places = np.unique(places)
    microphone = np.array([[*case.reference.point, 1.0]])
    number = [driver.name for driver in case.drivers].index(name)
    truth = predicted_at(case, microphone, frequency[places])[number, 0]
    ratio = one.response.values[places] / truth
    assert np.abs(20 * np.log10(np.abs(ratio))).max() < 0.2
    assert np.abs(np.degrees(np.angle(ratio))).max() < 3
    assert high > 19_000
    assert low < (27 if name == "woofer" else 760)


def test_the_low_end_meets_the_far_field(study):
    woofer = study.sel(driver="woofer")
    assert abs(float(woofer.splice_offset)) < 0.3
    assert float(woofer.splice_level_error) < 0.3
    assert float(woofer.splice_phase_error) < 2
    # One period fits the gate; a cone of 120 mm is small up to 1/(2π)·c/a.
    assert float(woofer.lowest_frequency) < float(woofer.splice_frequency) < 343.2 / (0.12 * np.pi)


def test_without_a_loopback_cone_and_port_rest_on_when_each_recording_began(case):
    """Pressures add by their phases, and two recordings share a clock only if something says so."""
    study = measure_study(replace(case, measurement=replace(case.measurement, loopback=None)))
    told = dict(zip(study.finding_text.values, study.finding_driver.values, strict=True))
    (said,) = (text for text in told if "Cone and port add up by when each recording began" in text)
    assert told[said] == "woofer"


def test_distances_are_those_of_the_tape(case, study):
    speed = case.air.speed_of_sound
    assert speed * study.arrival.values[0] == pytest.approx(1.0, abs=2e-3)
    off = study.arrival.values - study.expected_arrival.values
    assert np.all(np.abs(off) < study.arrival_uncertainty.values)


def test_harmonics_are_those_that_were_put_in(case, study):
    # Through the driver at their own frequency: what was put in, times its response there.
    woofer = study.sel(driver="woofer")
    frequency = study.frequency.values
    put_in = demonstration_setup(case).distortion
    level = 20 * np.log10(np.abs(woofer.response.values))
    for order, share in zip((2, 3), put_in, strict=True):
        # Below, the recording close to the cone tells them, which is not close an octave higher.
        told = np.isfinite(woofer.harmonic.sel(order=order).values) & (frequency > 860)
        told &= order * frequency < 15_000
        there = np.interp(order * frequency[told], frequency, level)
        wanted = 20 * np.log10(share) + there - level[told]
        found = woofer.harmonic.sel(order=order).values[told]
        assert np.abs(found - wanted).max() < 0.5


@pytest.mark.parametrize("name", ["tweeter", "woofer"])
def test_the_shipped_tables_are_what_measuring_writes(study, name):
    written = response_table(study, name)
    assert written is not None
    again = curve_of(written, name, "level")
    shipped = read_curve(CASE / "measured" / table_name(name), "level")
    assert shipped.frequency == pytest.approx(again.frequency, rel=1e-6)
    # Another machine's arithmetic may round the last digit the other way.
    ratio = shipped.values / again.values
    assert np.abs(20 * np.log10(np.abs(ratio))).max() < 0.01
    assert np.degrees(np.abs(np.angle(ratio))).max() < 0.1


def test_the_shipped_case_says_the_lines_that_measuring_writes(study):
    lines = tomllib.loads(case_lines(study, "measured"))["drivers"]
    says = tomllib.loads((CASE / "case.toml").read_text(encoding="utf-8"))["drivers"]
    assert {name: {"measured": says[name]["measured"]} for name in says} == lines


@pytest.mark.slow
def test_predictions_from_what_was_measured_are_those_of_the_design(case):
    few = replace(case.frequencies, per_octave=6)
    small = replace(case, crossover=(), frequencies=few, arc_step=10.0)
    measured, designed = predict(small), predict(by_parameters(small))
    on_axis = [each.arc_pressure.sel(plane="horizontal", angle=0) for each in (measured, designed)]
    for name, low in (("woofer", 25), ("tweeter", 700)):
        ratio = (on_axis[0] / on_axis[1]).sel(driver=name, frequency=slice(low, 18_000)).values
        # 0.3 dB of measuring and as much of two solves that are good to 0.1 dB each.
        assert np.abs(20 * np.log10(np.abs(ratio))).max() < 0.5
        assert np.abs(np.degrees(np.angle(ratio))).max() < 5


def test_without_a_loopback_the_low_end_is_joined_all_the_same(case):
    # Half a second of silence before the sweep is then delay that nobody states.
    measurement = replace(case.measurement, loopback=None)
    drivers = tuple(each for each in measurement.drivers if each.driver == "woofer")
    study = measure_study(replace(case, measurement=replace(measurement, drivers=drivers)))
    woofer = study.sel(driver="woofer")
    assert abs(float(woofer.splice_delay)) < 1e-4
    assert float(woofer.splice_phase_error) < 2
    told = " ".join(study.finding_text.values.tolist())
    assert "opposite polarity" not in told
    assert "Cone and port add up by" in told
