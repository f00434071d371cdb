"""The flat piston in an infinite baffle: near field on axis, far-field directivity, its centre.

Source: tests/reference/baffled_piston.json (Kinsler, Frey, Coppens & Sanders, Fundamentals of
Acoustics, 4th ed. 2000, ch. 7; Abramowitz & Stegun, table 9.5).
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from scipy.special import j1

from acoustics.field.piston import Source, direct_sound, source_points

REFERENCE = Path(__file__).parents[1] / "reference" / "baffled_piston.json"
CHECKS = json.loads(REFERENCE.read_text(encoding="utf-8"))["checks"]
SPEED_OF_SOUND = 343.0
TOLERANCE = 1e-4


def checks(prefix):
    found = [check for check in CHECKS if check["name"].startswith(prefix)]
    return pytest.mark.parametrize("check", found, ids=[check["name"] for check in found])


def piston(radius):
    return Source(
        centre=np.zeros(3),
        radius=radius,
        face=0,
        normal=np.array([0.0, 0.0, 1.0]),
        across=np.eye(3)[:2],
        margin=1e3,
    )


def direct(radius, receivers, frequency, on_face=True):
    receivers = np.atleast_2d(receivers).astype(float)
    wavenumber = np.atleast_1d(2 * np.pi * np.asarray(frequency, dtype=float) / SPEED_OF_SOUND)
    on = np.full(len(receivers), on_face)
    return direct_sound(piston(radius), receivers, on, wavenumber)


@checks("near field on axis")
def test_on_axis_near_field(check):
    a, f, z = (check["inputs"][key] for key in ("a_m", "f_hz", "z_m"))
    k = 2 * np.pi * f / SPEED_OF_SOUND
    # A piston of velocity u has Q = πa²u, and jωρQ/4π in front of the solver's unit.
    found = direct(a, [0, 0, z], f)[0, 0] * 1j * k * a**2 / 4
    exact = check["expected"]["complex_p_over_rho_c_u"]
    assert abs(found - (exact["re"] + 1j * exact["im"])) < TOLERANCE * abs(found)


@checks("near-field extrema")
def test_near_field_nulls(check):
    a, f = check["inputs"]["a_m"], check["inputs"]["f_hz"]
    for z in check["expected"]["null_z_m"]:
        beside = np.abs(direct(a, [[0, 0, z - 1e-3], [0, 0, z], [0, 0, z + 1e-3]], f)[:, 0])
        assert beside[1] < 1e-3 * min(beside[0], beside[2])


@checks("far-field directivity")
def test_far_field_directivity(check):
    x, a, far, sine = check["inputs"]["x"], 0.05, 1e4, 0.6
    f = x / (a * sine) * SPEED_OF_SOUND / (2 * np.pi)
    points = far * np.array([[0, 0, 1], [sine, 0, np.sqrt(1 - sine**2)]])
    axis, beside = direct(a, points, f)[:, 0]
    assert (beside / axis).real == pytest.approx(check["expected"]["D"], abs=TOLERANCE)


@checks("directivity index")
def test_directivity_index(check):
    a = 0.1
    k = check["inputs"]["ka"] / a
    cosines, weights = np.polynomial.legendre.leggauss(60)
    cosines, weights = 0.5 * (1 + cosines), 0.5 * weights
    far = 1e3
    points = far * np.stack([np.sqrt(1 - cosines**2), 0 * cosines, cosines], axis=1)
    power = np.abs(direct(a, points, k * SPEED_OF_SOUND / (2 * np.pi))[:, 0]) ** 2
    axis = np.abs(direct(a, [0, 0, far], k * SPEED_OF_SOUND / (2 * np.pi))[0, 0]) ** 2
    index = 10 * np.log10(axis / (0.5 * (weights * power).sum()))
    assert index == pytest.approx(check["expected"]["DI_dB"], abs=0.01)


def test_on_the_rim_and_beside_it():
    # Low-frequency limit: the mean of 2/R over a disc is 4/a at its centre and 8/(πa) on its
    # rim (the potential of a uniform disc; Rayleigh, Theory of Sound, §302).
    a, f = 0.05, 1e-3
    centre, rim = direct(a, [[0, 0, 0], [a, 0, 0]], f)[:, 0]
    assert centre.real == pytest.approx(4 / a, rel=1e-6)
    assert rim.real == pytest.approx(8 / (np.pi * a), rel=1e-6)


@pytest.mark.parametrize("lateral", [0.0, 0.02, 0.0499, 0.05, 0.0501, 0.3])
@pytest.mark.parametrize("height", [1e-4, 0.01, 0.5])
def test_rim_integral_equals_the_surface_integral(lateral, height):
    a, k = 0.05, 60.0
    # Polar quadrature about the foot of the receiver, fine enough to be its own proof.
    phi = (np.arange(4000) + 0.5) * np.pi / 4000
    # Distance from the foot to the rim, both ways, along each direction.
    root = np.sqrt(np.maximum(a**2 - (lateral * np.sin(phi)) ** 2, 0.0))
    near = np.maximum(-lateral * np.cos(phi) - root, 0.0)
    far = np.maximum(-lateral * np.cos(phi) + root, 0.0)
    hit = np.abs(lateral * np.sin(phi)) < a
    wave = np.exp(-1j * k * np.hypot(height, near)) - np.exp(-1j * k * np.hypot(height, far))
    exact = 2 / (np.pi * a**2) * 2 * np.mean(wave * hit) * np.pi / (1j * k)
    found = direct(a, [lateral, 0, height], k * SPEED_OF_SOUND / (2 * np.pi))[0, 0]
    assert abs(found - exact) < 2e-4 * abs(exact)


def test_points_of_a_piston_average_as_its_area():
    source = piston(0.06)
    k = 2 * np.pi * 20_000 / SPEED_OF_SOUND
    light = source_points(source, k, 1e-5)
    assert light.weights.sum() == pytest.approx(1.0, abs=1e-12)
    for sine in (0.0, 0.3, 0.7, 1.0):
        x = k * source.radius * sine
        mean = (light.weights * np.exp(1j * k * sine * light.points[:, 0])).sum()
        assert abs(mean - (2 * j1(x) / x if x else 1.0)) < 1e-4
