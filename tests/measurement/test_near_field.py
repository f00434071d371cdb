"""Near fields against closed forms, Keele's sum and a cabinet so large that it is a baffle."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad

import acoustics as ac
from acoustics.conventions import Air, RoundoverError
from acoustics.measurement.near_field import (
    Near,
    far_from_a_baffle,
    highest_frequency,
    near_a_baffle,
    near_to_far,
    unmeasured,
    volume_velocities,
    ways_of,
)

CASES = Path(__file__).parents[2] / "cases"
AIR = Air()
FREQUENCY = np.geomspace(20.0, 800.0, 12)


@pytest.fixture(scope="module")
def compact():
    return ac.read_case(CASES / "compact-centred")


@pytest.mark.parametrize("distance", [0.0, 0.005, 0.1])
def test_on_the_axis_of_a_piston_by_rayleighs_integral(distance):
    # p = jωρ·u/(2π)·∬ exp(−jkr)/r dS (Rayleigh), over the ring's radius s.
    radius, frequency = 0.06, 700.0
    k, omega = 2 * np.pi * frequency / AIR.speed_of_sound, 2 * np.pi * frequency

    def ring(s, part):
        r = np.hypot(s, distance)
        return part(np.exp(-1j * k * r)) * (s / r if r else 1.0)

    whole = quad(ring, 0, radius, (np.real,))[0] + 1j * quad(ring, 0, radius, (np.imag,))[0]
    expected = 1j * omega * AIR.density * whole / (np.pi * radius**2)
    found = near_a_baffle(np.array([frequency]), radius, AIR, distance)
    assert found[0] == pytest.approx(expected, rel=1e-6)


def test_pressures_count_by_their_radii():
    # Keele, J. Audio Eng. Soc. 22, 1974 (from memory): Σ p·a/(2R) at low frequencies, all in phase.
    frequency, distance = np.array([20.0, 40.0]), 3.0
    radii = np.array([0.08, 0.03, 0.025])
    near = np.array([[1.0, 1.0], [2.0, 2.0], [-0.5, 0.7]])
    ways = np.array([near_a_baffle(frequency, radius, AIR) for radius in radii])
    far = np.tile(far_from_a_baffle(frequency, distance, AIR), (3, 1))
    found = near_to_far(near, ways, far)
    assert np.abs(found) == pytest.approx(np.abs(radii @ near) / (2 * distance), rel=2e-3)


def test_where_the_near_field_ends():
    # Keele: ka = 1 is about 10 900 Hz over the diameter in cm.
    assert highest_frequency(0.05, 343.0) == pytest.approx(10_918 / 10, rel=1e-3)


def test_what_each_hears_of_the_other_is_taken_out():
    random = np.random.default_rng(5)
    shape = (3, 3, FREQUENCY.size)
    ways = np.eye(3)[..., None] + 0.2 * (random.normal(size=shape) + 1j * random.normal(size=shape))
    velocity = random.normal(size=(3, FREQUENCY.size)) * np.exp(1j)
    near = np.einsum("mrf,rf->mf", ways, velocity)
    assert volume_velocities(near, ways) == pytest.approx(velocity, abs=1e-12)


def test_a_wall_of_a_cabinet_is_a_baffle(compact):
    # 12 m wide, its edges send back less than 0.1 dB to where the cone is, and 1 dB to 0.5 m.
    wide = replace(compact.cabinet, width=12.0, height=12.0, depth=6.0)
    case = replace(compact, cabinet=wide, enclosures=(), accuracy=0.3)
    frequency = np.array([200.0, 400.0])
    distance, radius = 0.01, compact.drivers[1].piston_diameter / 2
    above = (*case.drivers[1].position, 0.5)
    ways = ways_of(case, [Near("woofer", np.ones(2), distance)], above, frequency)
    near = near_a_baffle(frequency, radius, case.air, distance)
    assert 20 * np.log10(np.abs(ways.near[0, 0] / near)) == pytest.approx(0, abs=0.1)
    depth = np.exp(-2j * np.pi * frequency * 0.018 / case.air.speed_of_sound)
    far = depth * near_a_baffle(frequency, radius, case.air, 0.5)
    assert ways.far[0] / far == pytest.approx(1, abs=0.1)


def test_a_second_port_that_was_not_measured_moves_alike(compact):
    bass = compact.enclosures[0]
    (rear,) = bass.ports
    other = replace(rear, name="other", position=(0.0, -0.09))
    case = replace(compact, enclosures=(replace(bass, ports=(rear, other)),))
    one = np.ones(3)
    frequency = np.array([30.0, 60.0, 120.0])
    microphone = (0.0, 0.0, 1.0)
    measured = [Near("woofer", one), Near("bass rear", one), Near("bass other", one)]
    apart = ways_of(case, measured, microphone, frequency)
    pair = [Near("woofer", one), Near("bass rear", one, alike=("bass other",))]
    both = ways_of(case, pair, microphone, frequency)
    # What goes out of both at the rate of one, by symmetry of the sum, is the mean of both ways.
    # Fields at the tier of 0.1 dB are sums in single precision.
    assert both.far[1] == pytest.approx(apart.far[1:].mean(axis=0), rel=1e-6)
    assert both.near[1, 1] == pytest.approx(apart.near[1, 1:].mean(axis=0), rel=1e-6)
    assert unmeasured(case, measured[:2]) == ("bass other",)
    assert unmeasured(case, pair) == ()


def test_a_second_driver_of_the_enclosure_counts_as_what_moves_with_it(compact):
    woofer = compact.drivers[1]
    second = replace(woofer, name="second", position=(0.0, -0.13))
    home = replace(compact.enclosures[0], drivers=("woofer", "second"))
    case = replace(compact, drivers=(*compact.drivers, second), enclosures=(home,))
    one = np.ones(2)
    assert unmeasured(case, [Near("woofer", one), Near("bass rear", one)]) == ("second",)
    assert unmeasured(case, [Near("tweeter", one)]) == ()


def test_names_that_are_wrong_are_told(compact):
    with pytest.raises(RoundoverError, match="did you mean 'bass rear'"):
        ways_of(compact, [Near("bass reer", np.ones(1))], (0, 0, 1), np.array([50.0]))
    twice = [Near("woofer", np.ones(1))] * 2
    with pytest.raises(RoundoverError, match="two near fields are of 'woofer'"):
        ways_of(compact, twice, (0, 0, 1), np.array([50.0]))
    with pytest.raises(RoundoverError, match="no near field"):
        ways_of(compact, [], (0, 0, 1), np.array([50.0]))
