"""The baffle step, against the exact field of a source on a rigid sphere."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr
from scipy.optimize import brentq
from scipy.special import spherical_jn, spherical_yn

from acoustics.listening.baffle_step import baffle_step
from support.by_hand import ATTRIBUTES, DENSITY, DISTANCE, SPEED

GRID = 1000.0 * 2.0 ** (np.arange(-135, 104) / 24)  # 20 Hz to 20 kHz


def prediction(ratio, frequency=GRID, diameters=(0.025,), places=((0.0, 0.0),)):
    """Drivers whose field on the axis is `ratio` (driver, frequency) times a free source's."""
    x, y = np.array(places).T
    distance = np.hypot(np.hypot(x, y), DISTANCE)[:, None]
    free = 2j * np.pi * frequency * DENSITY / (4 * np.pi * distance)
    late = np.exp(-2j * np.pi * frequency / SPEED * distance)
    axis = np.broadcast_to(ratio, (len(diameters), frequency.size))
    return xr.Dataset(
        {"cone_field": (("driver", "frequency"), axis * free * late)},
        coords={
            "driver": [f"driver {i}" for i in range(len(diameters))],
            "frequency": frequency,
            "driver_x": ("driver", x),
            "driver_y": ("driver", y),
            "driver_z": ("driver", np.zeros_like(x)),
            "piston_diameter": ("driver", np.array(diameters)),
        },
        attrs=ATTRIBUTES,
    )


def sphere(frequency, diameter):
    """T of a point source on a rigid sphere, on its axis in the far field.

    p/p_free = Σ jⁿ(2n+1)/hₙ′(ka)/(ka)², h the outgoing Hankel function (Morse & Ingard,
    Theoretical Acoustics, 1968, ch. 7; Skudrzyk, The Foundations of Acoustics, 1971).
    """
    ka = np.atleast_1d(np.pi * diameter / SPEED * frequency)
    total = np.zeros(ka.size, dtype=complex)
    for n in range(int(ka.max()) + 30):
        with np.errstate(all="ignore"):
            slope = spherical_jn(n, ka, True) - 1j * spherical_yn(n, ka, True)
            term = 1j**n * (2 * n + 1) / slope
        total += np.where(np.isfinite(term), term, 0)
    return np.abs(total) / ka**2


def test_the_exact_sphere_agrees_with_the_handbook_value(reference):
    (check,) = reference("baffle_step")
    at = brentq(lambda f: 20 * np.log10(sphere(f, 1.0)[0]) - 3.0, 50, 200)
    assert at == pytest.approx(check["expected"]["f_times_diameter_hz_m"], abs=0.005)


@pytest.mark.parametrize("diameter", [0.15, 0.25, 0.5])
def test_a_small_source_on_a_sphere(diameter, reference):
    (check,) = reference("baffle_step")
    step = baffle_step(prediction(sphere(GRID, diameter)))
    half = brentq(lambda f: 20 * np.log10(sphere(f, diameter)[0] / np.sqrt(2)), 20, 2000)
    # Smoothing by 1/3 octave and the level left at the lowest frequency move it by less than 1 %.
    assert float(step.half_step_frequency[0]) == pytest.approx(half, rel=0.01)
    rule = check["expected"]["f_times_diameter_hz_m"]
    assert float(step.half_step_frequency[0]) * diameter == pytest.approx(rule, rel=0.01)
    # T of a sphere approaches 2 from below.
    assert 5.8 < float(step.step_rise[0]) < 20 * np.log10(2)
    assert str(step.step_note.values[0]) == ""
    assert step.half_step_frequency.attrs["units"] == "Hz"


def test_each_driver_counts_from_its_own_distance():
    # Far from the axis R is 2.24 m, not 2: taken from there, T begins at 1 and ends at 2.
    ratio = np.array([sphere(GRID, 0.25), sphere(GRID, 0.15)])
    both = prediction(ratio, diameters=(0.025, 0.05), places=((0.0, 0.0), (0.6, -0.8)))
    apart = [
        baffle_step(prediction(one, diameters=(diameter,)))
        for one, diameter in zip(ratio, (0.025, 0.05), strict=True)
    ]
    answer = baffle_step(both)
    for name in ("half_step_frequency", "step_rise"):
        wanted = [float(one[name][0]) for one in apart]
        assert answer[name].values == pytest.approx(wanted, rel=1e-9)


def test_the_rise_is_read_up_to_ka_2():
    # A peak of the piston's own at 8 kHz counts only for a driver small enough.
    peak = 10 ** (np.exp(-((np.log2(GRID / 8000) / 0.5) ** 2)) * 6 / 20)
    ratio = sphere(GRID, 0.25) * peak
    large, small = (
        float(baffle_step(prediction(ratio, diameters=(d,))).step_rise[0]) for d in (0.1, 0.025)
    )
    assert large < 6.1  # up to 2.2 kHz
    assert small > 11  # up to 8.7 kHz


def test_an_infinite_baffle_has_no_step():
    step = baffle_step(prediction(np.full(GRID.size, 2.0)))
    assert np.isnan(step.half_step_frequency.values[0])
    assert np.isnan(step.step_rise.values[0])
    assert "already 6.0 dB above" in str(step.step_note.values[0])


def test_a_free_source_has_no_step_either():
    step = baffle_step(prediction(np.ones(GRID.size)))
    assert np.isnan(step.half_step_frequency.values[0])
    assert "rises by only 0.0 dB" in str(step.step_note.values[0])


@pytest.mark.parametrize(
    ("lowest", "word"), [(150.0, "begun to rise"), (700.0, "already"), (105.0, "")]
)
def test_a_grid_that_does_not_reach_low_enough(lowest, word):
    # Half step at 108.3/0.25 = 433 Hz: a quarter of it is 108 Hz.
    frequency = GRID[lowest <= GRID]
    step = baffle_step(prediction(sphere(frequency, 0.25), frequency))
    note = str(step.step_note.values[0])
    assert word in note
    assert bool(note) == bool(word)
    assert np.isnan(step.half_step_frequency.values[0]) == bool(word)
    assert np.isnan(step.step_rise.values[0]) == bool(word)


def test_a_grid_that_does_not_reach_high_enough():
    frequency = GRID[GRID <= 5000]
    step = baffle_step(prediction(sphere(frequency, 0.25), frequency))
    assert float(step.half_step_frequency[0]) == pytest.approx(433, rel=0.01)
    assert np.isnan(step.step_rise.values[0])
    assert "up to 8.73 kHz" in str(step.step_note.values[0])
