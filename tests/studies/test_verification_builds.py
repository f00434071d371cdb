"""A diagnosis of builds that the diagnosing model did not make: right, calibrated, modest.

The goals are those of the project; of few builds so many are granted as bad luck takes from a
diagnosis that just reaches them, once in a hundred.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import acoustics as ac
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.studies.verification.bench.bench import bench_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.faults.all_faults import faults_of
from acoustics.studies.verification.readings.readings import Readings, ResponseReading
from support.build_plans import Plan
from support.built_loudspeakers import Workshop
from support.diagnosed_builds import diagnosed
from support.diagnosis_scores import calibration_error, missed, scores_of
from support.faults_to_plant import faults_to_plant
from support.judged_builds import drawn_builds, is_it
from support.noisy_readings import is_gated

# How it is measured decides which faults of measuring there may be.
_ROWS = np.array([250.0, 20_000.0])
_READINGS = Readings(
    (
        ResponseReading(
            "axis", "", (0, 1), (), (0.0, 0.125, 1.0), _ROWS, np.ones(2, complex),
            True, True, "", (250.0, 20_000.0), 0.3,
        ),
    ),
    (),
    0.01,
    1.0,
)  # fmt: skip

CASE = Path(__file__).parents[2] / "cases" / "compact-passive"


@pytest.fixture(scope="module")
def workshop():
    return Workshop(ac.read_case(CASE))


@pytest.mark.slow
def test_goals_are_reached_on_forty_builds(workshop):
    builds = list(diagnosed(workshop, drawn_builds(workshop, 40, seed=1)))
    assert missed(scores_of(builds), few=True) == []


@pytest.mark.slow
def test_a_narrow_port_is_not_taken_for_a_longer_one(workshop):
    """Both tune the box alike; how the port was first fitted must not decide between them."""
    (build,) = diagnosed(workshop, drawn_builds(workshop, 85, seed=37)[84:])
    assert (build.truth.kind, build.right) == ("port width", True)
    kinds = {name.split(":")[0] for members, _ in build.causes for m in members for name in m.names}
    assert kinds == {"port width", "port length"}


@pytest.mark.slow
def test_a_build_is_heard_as_the_whole_prediction_hears_it(workshop):
    """Against `predict` itself: its arc at 0 degrees, a metre from the reference point."""
    design = workshop.design
    near = replace(design, reference=replace(design.reference, distance=1.0), arc_step=30.0)
    prediction = ac.predict(near)
    heard = workshop.nominal(None)
    on_axis = prediction.arc_total.sel(plane="horizontal", angle=0.0).values
    found = heard.pressure[:, 0].sum(axis=0) * DRIVE_VOLTAGE
    np.testing.assert_allclose(found, on_axis, rtol=1e-5)
    np.testing.assert_allclose(heard.impedances[None], prediction.input_impedance, rtol=1e-9)


@pytest.mark.slow
def test_planted_faults_and_listed_ones_sound_alike(workshop):
    """A fault in the text, read and predicted anew, against the one of the list on the bench.

    0.05 dB and 2 %: another width of a port moves the pistons, which the bench keeps. Fibre is left
    out: the list lets it absorb a little more than what is planted.
    """
    reading = next(workshop.builds([Plan(1)]))
    bench = bench_of(workshop.design, reading)
    listed = faults_of(bench.design, reading)
    heard_at, seen_at = bench.frequencies.responses[0], bench.frequencies.impedances[0]
    for planted in faults_to_plant(workshop):
        if planted.edit is None or planted.kind == "fill":
            continue
        size = 1.0 if planted.sizes is None else planted.sizes[1]
        amount = 1 / size if planted.way == "down" else size
        plan, truth = planted.planted(0, amount)
        (fault,) = (fault for fault in listed if is_it(fault, truth))
        told = bench.answers(fault.changed(bench.design, truth.size or 0.0))
        truly = workshop.nominal(plan.edit)
        level = _at(heard_at, workshop, truly.pressure[:, 0].sum(axis=0))
        ohms = _at(seen_at, workshop, truly.impedances[None])
        off = 20 * np.log10(np.abs(told.responses[0])) - 20 * np.log10(level)
        assert np.abs(off).max() < 0.05, truth
        assert np.abs(np.abs(told.impedances[0]) / ohms - 1).max() < 0.02, truth


def _at(frequency, workshop, values):
    """Sizes at other frequencies, straight lines between their logarithms."""
    told = np.interp(np.log(frequency), np.log(workshop.frequency), np.log(np.abs(values)))
    return np.exp(told)


@pytest.mark.slow
def test_noise_and_errors_are_as_stated(workshop):
    """Of sound builds of which no part differs: standard deviations over many readings."""
    keys = tuple(fault.fixed[0] for fault in faults_to_plant(workshop) if fault.fixed)
    plans = [Plan(seed, fixed=keys) for seed in range(60)]
    readings = list(workshop.builds(plans))
    design = workshop.nominal(None)
    impedance = np.array([one.impedances[0].impedance for one in readings])
    off = np.log(impedance / design.impedances[None])
    assert off.real.std() == pytest.approx(0.01, rel=0.05)
    assert off.imag.std() == pytest.approx(0.01, rel=0.05)
    low = (
        workshop.frequency[is_gated(workshop.frequency)] < 500
    )  # where a centimetre changes nothing but delay
    levels = 20 * np.log10(np.abs([one.responses[0].pressure[low] for one in readings]))
    assert (levels - levels.mean(axis=1, keepdims=True)).std(axis=0).mean() == pytest.approx(
        0.3, rel=0.1
    )
    # 1 dB within 95 %, and 10 mm of 1 m are 0.09 dB; of 60 builds the spread is known to a tenth.
    assert levels.mean(axis=1).std() == pytest.approx(0.51, rel=0.3)


@pytest.mark.slow
def test_equal_seeds_give_equal_builds(workshop):
    one, same = (drawn_builds(workshop, 7, seed=3)[:2] for _ in range(2))
    assert [truth for _, truth in one] == [truth for _, truth in same]
    assert [plan.drawn.off.tolist() for plan, _ in one] == [
        plan.drawn.off.tolist() for plan, _ in same
    ]


def test_every_planted_fault_is_one_of_the_list(workshop):
    """Exactly one, and with the same size in the design, so that sizes can be compared."""
    listed = faults_of(Built(workshop.design), _READINGS)
    for planted in faults_to_plant(workshop):
        _, truth = planted.planted(0, 1.0 if planted.by_factor else 0.0)
        found = [fault for fault in listed if is_it(fault, truth)]
        assert len(found) == 1, truth
        if truth.design is not None:
            assert found[0].sizes is not None
            assert found[0].sizes.design == pytest.approx(truth.design, rel=1e-6, abs=1e-9)


def test_calibration_error_by_hand():
    """Half of those at 0.75 right, all at 0.95: (2·0.25 + 2·0.05)/4."""
    confidence = np.array([0.75, 0.75, 0.95, 0.95])
    right = np.array([True, False, True, True])
    assert calibration_error(confidence, right) == pytest.approx(0.15)
