"""The splice against a design whose true response is known, and against arithmetic."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import scipy.signal as ss
from scipy.interpolate import CubicSpline

import acoustics as ac
from acoustics.conventions import RoundoverError
from acoustics.curves import Curve, at_frequencies
from acoustics.measurement.gate import gated, suggested_gate
from acoustics.measurement.impulse import transfer
from acoustics.measurement.near_field import Near, near_to_far, ways_of
from acoustics.measurement.reflections import first_reflection
from acoustics.measurement.spliced import permitted_overlap, splice_findings, spliced
from acoustics.measurement.sweep import deconvolved, linear_part, make_sweep
from acoustics.measurement.synthetic import Setup, Take, record

CASES = Path(__file__).parents[2] / "cases"
FREQUENCY = np.geomspace(20.0, 6000.0, 300)
BELOW = FREQUENCY < 1000
BOX = ss.butter(4, 2 * np.pi * 40.0, "high", analog=True)


def known(frequency):
    return ss.freqs(*BOX, 2 * np.pi * frequency)[1] * np.exp(-2j * np.pi * frequency * 3e-3)


@pytest.mark.parametrize("polarity", [1, -1])
def test_level_delay_and_polarity_are_found(polarity):
    truth = known(FREQUENCY)
    low = polarity * truth * 10 ** (7.3 / 20) * np.exp(-2j * np.pi * FREQUENCY * 0.4e-3)
    far = np.where(FREQUENCY > 300, truth, np.nan)
    found = spliced(FREQUENCY, low, far, (350.0, 900.0))
    assert found.offset == pytest.approx(-7.3, abs=1e-9)
    assert found.delay == pytest.approx(-0.4e-3, abs=1e-9)
    assert found.polarity == polarity
    assert found.response == pytest.approx(truth, abs=1e-9)
    assert found.error == pytest.approx((0, 0), abs=1e-6)
    said = [str(finding) for finding in splice_findings(found)]
    assert "lowered by 7.3 dB" in said[0]
    assert len(said) == (1 if polarity > 0 else 2)
    assert len(splice_findings(found, expected=-7.0)) == len(said) - 1


def test_it_is_joined_where_both_agree():
    truth = known(FREQUENCY)
    # Wrong by 2 dB below 500 Hz as gates are, and above 1000 Hz as near fields are.
    far = truth * 10 ** (2 * (FREQUENCY < 500) * np.sin(20 * np.log(FREQUENCY)) / 20)
    low = truth * 10 ** (2 * (FREQUENCY > 1000) * np.sin(20 * np.log(FREQUENCY)) / 20)
    found = spliced(FREQUENCY, low, far, (250.0, 2000.0))
    assert found.faded[0] >= 500 / 1.001
    assert found.faded[1] <= 1000 * 1.001
    assert found.error[0] > 0.5
    inside, _ = found.error_in_fade
    assert inside < 0.1
    assert splice_findings(found) == ()
    # Where it is put is where it is.
    assert spliced(FREQUENCY, low, far, (250.0, 2000.0), at=400.0).at == 400.0


def test_no_overlap_is_told():
    with pytest.raises(RoundoverError, match="share less than half an octave"):
        permitted_overlap(800.0, 900.0)
    with pytest.raises(RoundoverError, match="share 0 frequencies"):
        spliced(FREQUENCY, known(FREQUENCY), np.full(300, np.nan), (300.0, 900.0))


@pytest.fixture(scope="module")
def measured():
    """The compact two-way's woofer, 1 m in front, over a floor: near, far, and the truth."""
    case = ac.read_case(CASES / "compact-centred")
    floor = case.cabinet.floor_level
    table = Curve(
        np.array([10.0, 30.0, 200.0, 1000.0, 4000.0, 8000.0]),
        10 ** (np.array([-2.0, -0.8, 0.0, 0.0, 1.0, 2.5]) / 20) + 0j,
        False,
        (),
        "microphone",
    )
    setup = Setup(
        sweep=make_sweep(10.0, 7500.0, 1.5, 16_000.0),
        microphone=(0.0, 0.05, 1.0),
        surfaces={"floor": floor, "ceiling": floor + 2.4},
        calibration=table,
    )
    takes = [Take("woofer"), Take("woofer", "woofer"), Take("woofer", "bass rear")]
    return case, setup, record(case, takes, setup)


def joined(case, setup, taken, near, extra):
    """The recordings through gate, table and splice; also the near fields, and what is true."""
    impulses = []
    for each in taken:
        microphone, loopback = each.recording.samples
        full = deconvolved(microphone, setup.sweep, loopback)
        impulses.append(linear_part(full, setup.sweep).part(-0.1, 0.35))
    level = setup.sensitivity / setup.loopback * np.ones(FREQUENCY.size)
    if setup.calibration is not None:
        level = level * np.abs(at_frequencies(setup.calibration, FREQUENCY)[0])
    truth = taken[0].truth
    gate = suggested_gate(truth.arrival, extra.values(), case.air.speed_of_sound)
    far = gated(impulses[0], gate, FREQUENCY, reference=0.0) / level
    low = np.full(FREQUENCY.size, np.nan + 0j)
    pressures = [
        Near(name, (transfer(each, FREQUENCY) / level)[BELOW])
        for name, each in zip(near, impulses[1:], strict=True)
    ]
    ways = ways_of(case, pressures, setup.microphone, FREQUENCY[BELOW])
    low[BELOW] = near_to_far([each.pressure for each in pressures], ways.near, ways.far)
    found = spliced(FREQUENCY, low, far, permitted_overlap(gate.lowest_frequency, ways.highest))
    still = truth.response * np.exp(2j * np.pi * truth.frequency * truth.arrival)
    expected = CubicSpline(truth.frequency, still)(FREQUENCY)
    return found, pressures, expected * np.exp(-2j * np.pi * FREQUENCY * truth.arrival)


def in_order(found, expected):
    """Within 0.3 dB; with one microphone, one gain, one clock nothing had to be turned."""
    off = 20 * np.log10(np.abs(found.response / expected))
    assert np.abs(off).max() < 0.3
    assert abs(found.offset) < 0.15
    assert abs(found.delay) < 20e-6
    assert found.polarity == 1
    assert splice_findings(found) == ()


def test_the_truth_within_three_tenths(measured):
    case, setup, taken = measured
    height, above = -0.02 - case.cabinet.floor_level, 0.05 - case.cabinet.floor_level
    distance = float(np.hypot(1.0, 0.07))
    extra = first_reflection(distance, height, above, {"floor": 0.0, "ceiling": 2.4})
    found, pressures, expected = joined(case, setup, taken, ("woofer", "bass rear"), extra)
    in_order(found, expected)
    # Without the port, what is left below the tuning is nowhere near.
    cone = ways_of(case, pressures[:1], setup.microphone, FREQUENCY[BELOW])
    alone = near_to_far([pressures[0].pressure], cone.near, cone.far)
    assert np.abs(20 * np.log10(np.abs(alone / expected[BELOW]))).max() > 6


@pytest.mark.slow
def test_a_passive_radiator_likewise():
    # Lifted by 1.5 m into a high room, so that the gate reaches down to the woofer's near field.
    case = ac.read_case(CASES / "floorstander")
    height = -0.33 - case.cabinet.floor_level + 1.5
    setup = Setup(
        sweep=make_sweep(10.0, 7500.0, 1.5, 16_000.0),
        microphone=(0.0, -0.33, 1.0),
        surfaces={"floor": case.cabinet.floor_level - 1.5},
    )
    near = ("woofer", "bass rear")
    taken = record(case, [Take("woofer"), *(Take("woofer", name) for name in near)], setup)
    extra = first_reflection(1.0, height, height, {"floor": 0.0})
    found, _, expected = joined(case, setup, taken, near, extra)
    in_order(found, expected)


def test_recordings_are_what_they_say(measured):
    case, setup, taken = measured
    for each in taken:
        assert each.recording.sampling_rate == 16_000
        assert np.abs(each.recording.samples).max() < 0.9
        steps = each.recording.samples * 2**23
        assert np.array_equal(steps, np.round(steps))
    # Flight over 1 m and 70 mm up, cone 18 mm deep.
    flight = (np.hypot(1.0, 0.07) + 0.018) / case.air.speed_of_sound
    assert taken[0].truth.arrival == pytest.approx(flight)
    # Before anything can have come through converters and air there is noise alone.
    microphone, loopback = taken[0].recording.samples
    sent = round((setup.lead + setup.latency) * 16_000)
    assert np.abs(loopback[: sent - 20]).max() < 6 * setup.noise
    assert np.abs(microphone[: sent + int(flight * 16_000) - 20]).max() < 6 * setup.noise
    assert np.std(microphone[: sent - 20]) == pytest.approx(setup.noise, rel=0.05)
    assert np.abs(loopback[sent : sent + 1600]).max() > 0.2
    # Alone or among other takes it is the same, but for how fields at more receivers are rounded.
    again = record(case, [Take("woofer")], setup)[0].recording.samples
    assert np.abs(again - taken[0].recording.samples).max() <= 1.01 / 2**23
    assert np.mean(again != taken[0].recording.samples) < 0.01
