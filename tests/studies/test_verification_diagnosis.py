"""Diagnoses of a loudspeaker of closed forms whose faults are known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.studies.verification.diagnosis.diagnosis import diagnose
from acoustics.studies.verification.fault.size_scale import faulty, size_at
from support.toy_loudspeaker import (
    DESIGN,
    FAULTS,
    HEARD,
    STRAYS,
    TURNED,
    fault,
    state,
    toy_bench,
)

WOOFER_LEVEL, TWEETER_LEVEL, CROSSOVER, RESONANCE, LOSSES, POLARITY = FAULTS


def strayed(random):
    built = DESIGN
    for stray in STRAYS:
        built = stray.changed(built, random.standard_normal())
    return built


def diagnosed(seed, *faults, known=FAULTS, off=None, **how):
    random = np.random.default_rng(seed)
    built = strayed(random)
    for each, size in faults:
        built = each.changed(built, size)
    return diagnose(toy_bench(built, random, off=off, **how), known, STRAYS)


def names(diagnosis):
    return [[blame.fault.name for blame in one.blames] for one in diagnosis.causes[0].members]


def test_a_build_that_only_strays_matches_the_design():
    diagnosis = diagnosed(1, delay=3e-3)
    assert diagnosis.verdict == "matches the design"
    assert diagnosis.healthy > 0.9
    assert diagnosis.sure
    assert diagnosis.as_found.delays[0] == pytest.approx(3e-3, abs=0.05e-3)
    assert diagnosis.as_found.chance > 0.01


@pytest.mark.parametrize(
    ("true", "size"), [(CROSSOVER, 1.5), (RESONANCE, 0.7), (LOSSES, 0.5), (WOOFER_LEVEL, -3.0)]
)
def test_a_fault_is_named_with_its_size(true, size):
    diagnosis = diagnosed(2, (true, size), delay=1e-4)
    assert diagnosis.verdict == "fault"
    assert names(diagnosis)[0] == [true.name]
    (blame,) = diagnosis.causes[0].members[0].blames
    spread = (blame.high - blame.low) / 3.92
    assert abs(blame.size - size) < 3.5 * spread  # one in two thousand builds would fail


def test_a_reversed_tweeter_is_found():
    diagnosis = diagnosed(3, (POLARITY, 0.0), calibrated=False)
    assert diagnosis.verdict == "fault"
    assert names(diagnosis) == [[POLARITY.name]]


def test_two_faults_are_found_together():
    diagnosis = diagnosed(4, (RESONANCE, 1.4), (POLARITY, 0.0))
    assert diagnosis.verdict == "fault"
    assert names(diagnosis)[0] == [RESONANCE.name, POLARITY.name]


def test_what_nothing_known_explains_is_said_to_be_unknown():
    off = 1 + 0.4 * np.exp(-0.5 * (np.log2(HEARD / 3000) / 0.15) ** 2)
    diagnosis = diagnosed(5, off=off)
    assert diagnosis.verdict == "none of the known faults explains this"
    assert diagnosis.unknown > 0.9


def test_faults_that_read_alike_are_named_together():
    """Two that do the very same share a cause, each with half of its probability."""
    twin = fault("twin", "tweeter", state(TURNED))
    twin = replace(twin, changed=lambda built, _: state(TURNED)(built, 1.0))
    diagnosis = diagnosed(6, (POLARITY, 0.0), known=(*FAULTS, twin))
    assert sorted(names(diagnosis)) == [[POLARITY.name], [twin.name]]
    one, other = diagnosis.causes[0].members
    assert one.weight == pytest.approx(other.weight, abs=1e-6)


def test_equal_readings_give_equal_answers():
    one, other = (diagnosed(7, (CROSSOVER, 0.7)) for _ in range(2))
    assert one.healthy == other.healthy
    assert one.causes[0].probability == other.causes[0].probability


def test_no_fault_known_leaves_design_and_unknown():
    diagnosis = diagnosed(8, known=())
    assert diagnosis.healthy + diagnosis.unknown == pytest.approx(1.0)
    assert diagnosis.causes == ()


@pytest.mark.slow
def test_probabilities_come_true():
    """Of what is said with a probability, that share is so: 300 builds drawn as is assumed.

    Expected calibration error over ten bins (Naeini et al., AAAI 2015; from memory).
    """
    chances, true = [], []
    for seed in range(300):
        random = np.random.default_rng([9, seed])
        pick = random.random()
        built, name = strayed(random), ""
        if pick > 0.5 / 0.9:
            each = FAULTS[random.integers(len(FAULTS))]
            size = 0.0
            if each.sizes is not None:
                stretches = np.array(faulty(each.sizes))
                lengths = np.diff(stretches, axis=1)[:, 0]
                low, high = stretches[random.choice(len(stretches), p=lengths / lengths.sum())]
                size = size_at(each.sizes, random.uniform(low, high))
            built, name = each.changed(built, size), each.name
        diagnosis = diagnose(toy_bench(built, random), FAULTS, STRAYS)
        chances.append(diagnosis.healthy)
        true.append(name == "")
        for cause in diagnosis.causes:
            own = [{blame.fault.name for blame in one.blames} for one in cause.members]
            chances.append(cause.probability)
            true.append({name} in own)
    bins = np.minimum((np.array(chances) * 10).astype(int), 9)
    error = 0.0
    for number in range(10):
        own = bins == number
        if own.any():
            gap = abs(np.mean(np.array(chances)[own]) - np.mean(np.array(true)[own]))
            error += own.mean() * gap
    assert error <= 0.1
    assert np.mean(np.array(true)[np.array(chances) > 0.95]) > 0.9
