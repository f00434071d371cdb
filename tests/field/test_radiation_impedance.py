"""The air load of drivers on a cabinet, and of one driver on another.

Sources: tests/reference/boundary_elements (tables A and C), tests/reference/piston_impedance.json
(Rayleigh; Kinsler, Frey, Coppens & Sanders, Fundamentals of Acoustics, 4th ed. 2000, sec. 7.5).
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from acoustics import Air, Body, Piston, solve_field
from acoustics.cabinet import cone, dome, plate, rounded
from acoustics.field.impedance import POINTS, radiation_impedance
from acoustics.field.piston import Source, direct_sound, source_points

FOLDER = Path(__file__).parents[1] / "reference"
CHECKS = json.loads((FOLDER / "piston_impedance.json").read_text(encoding="utf-8"))["checks"]
AIR = Air(speed_of_sound=343.0, density=1.2)
BOX = Body.box(width=0.22, height=0.38, depth=0.30)
TWEETER, WOOFER = Piston(0.0127, (0.0, 0.1, 0.0)), Piston(0.065, (0.0, -0.06, 0.0))


@pytest.mark.parametrize("check", CHECKS, ids=[check["name"] for check in CHECKS])
def test_the_mean_over_a_piston_in_an_endless_baffle(check):
    """The direct sound alone, under the rule that averages over a piston."""
    radius = 0.1
    k = check["inputs"]["ka"] / radius
    source = Source(np.zeros(3), radius, 0, np.eye(3)[2], np.eye(3)[:2], 1e3)
    light = source_points(source, k, POINTS)
    there = np.ones(light.weights.size, bool)
    sound = direct_sound(source, light.points, there, np.array([k]))[:, 0]
    # The solver's unit times jωρ/4π, times the area, over ρc.
    found = (light.weights * sound).sum() * 1j * k * radius**2 / 4
    exact = check["expected"]["R1"] + 1j * check["expected"]["X1"]
    assert abs(found - exact) <= 2e-3 * abs(exact)


@pytest.mark.parametrize(("table", "piston"), [("A", TWEETER), ("C", WOOFER)])
def test_against_boundary_elements(table, piston):
    given = np.load(FOLDER / "boundary_elements" / f"case_{table}.npz")
    found = radiation_impedance(BOX, [piston], given["f_Hz"], air=AIR, accuracy=0.03)
    normal = found.values[0, 0] * np.pi * piston.radius**2 / (AIR.density * AIR.speed_of_sound)
    exact = given["Z_piston_mean"]
    assert np.abs(normal / exact - 1).max() <= 0.01
    # The power too: the resistance is a small part of the whole at low frequencies.
    low = given["f_Hz"] <= 4000
    assert np.abs(normal.real / exact.real - 1)[low].max() <= 0.01


@pytest.mark.parametrize(
    ("body", "pistons"),
    [
        (BOX, [TWEETER, WOOFER]),
        (BOX, [TWEETER, Piston(0.05, (0.11, -0.05, -0.15))]),
        (plate(width=0.3, height=0.4), [TWEETER, Piston(0.065, (0.0, -0.06, 0.0), face=1)]),
    ],
    ids=["one face", "two faces", "both sides of a plate"],
)
def test_it_is_symmetric(body, pistons):
    """Reciprocity (Rayleigh 1873)."""
    mutual = radiation_impedance(body, pistons, np.array([60.0, 900.0, 4000.0]), accuracy=0.03)
    assert mutual.dims == ("receiving", "radiating", "frequency")
    assert mutual.attrs["units"] == "Pa s m-3"
    one, other = mutual.values[0, 1], mutual.values[1, 0]
    assert (np.abs(one - other) <= 1e-3 * np.abs(other)).all()


def test_two_drivers_as_one_radiate_no_negative_power():
    frequency = np.array([60.0, 900.0, 4000.0])
    mutual = radiation_impedance(BOX, [TWEETER, WOOFER], frequency).values.real
    assert (np.linalg.eigvalsh(mutual.transpose(2, 0, 1)) > 0).all()


def test_a_driver_on_a_rounded_cabinet_has_one_too():
    found = radiation_impedance(rounded(BOX, 0.015), [WOOFER], np.array([100.0, 2000.0])).values
    plain = radiation_impedance(BOX, [WOOFER], np.array([100.0, 2000.0])).values
    assert np.isfinite(found).all()
    assert np.abs(found / plain - 1).max() < 0.1


def sphere(centre, radius, rings, around):
    """Points on a sphere, and their areas: Gauss in the cosine, even round the axis."""
    cosines, weights = np.polynomial.legendre.leggauss(rings)
    turns = 2 * np.pi * (np.arange(around) + 0.5) / around
    sines = np.sqrt(1 - cosines**2)
    across = np.stack([np.outer(sines, np.cos(turns)), np.outer(sines, np.sin(turns))], axis=-1)
    up = np.broadcast_to(cosines[:, None, None], (rings, around, 1))
    points = centre + radius * np.concatenate([across, up], axis=-1).reshape(-1, 3)
    return points, np.repeat(weights, around) * 2 * np.pi / around * radius**2


def far_power(pistons, flows, frequency, rings, accuracy):
    """What crosses a sphere round the box: for peak volume velocities, in watts.

    So far that pressure alone tells the power: the next part is (kr)⁻² of it, 2e-5 at 50 Hz.
    """
    points, area = sphere(np.array([0.0, 0.0, -0.15]), 250.0, rings, 2 * rings)
    field = solve_field(BOX, pistons, points, frequency, air=AIR, accuracy=accuracy)
    pressure = np.tensordot(flows, field.values[:, 0], 1)
    return 0.5 * (np.abs(pressure) ** 2 @ area) / (AIR.density * AIR.speed_of_sound)


def power_at_pistons(pistons, flows, frequency, accuracy):
    """½ Re Σ U_i* Z_ij U_j."""
    mutual = radiation_impedance(BOX, pistons, frequency, air=AIR, accuracy=accuracy)
    return 0.5 * (flows.conj() @ mutual.values[..., 0] @ flows).real


@pytest.mark.slow
@pytest.mark.parametrize(
    ("frequency", "rings"), [(50.0, 10), (500.0, 16), (5000.0, 36)], ids=["50", "500", "5000"]
)
def test_power_at_the_pistons_is_power_far_away(frequency, rings):
    """No losses: 0.5 % from 50 Hz to 5 kHz."""
    pistons, flows = [TWEETER, WOOFER], np.array([1.0, 0.6 - 0.3j])
    crossing = far_power(pistons, flows, np.array([frequency]), rings, 0.01)
    at_pistons = power_at_pistons(pistons, flows, np.array([frequency]), 0.01)
    assert crossing == pytest.approx(at_pistons, rel=5e-3)


@pytest.mark.parametrize(
    "piston",
    [
        Piston(0.0127, (0.0, 0.1, 0.0), dome(0.006, 0.0127)),
        Piston(0.05, (0.0, -0.06, 0.0), cone(0.02, 0.05)),
    ],
    ids=["dome", "cone"],
)
def test_so_it_is_of_a_dome_and_a_cone(piston):
    """The mean over a piston takes the conjugate of the velocity that the depth turns."""
    frequency = np.array([500.0])
    crossing = far_power([piston], np.ones(1), frequency, 16, 0.03)
    at_piston = power_at_pistons([piston], np.ones(1), frequency, 0.03)
    assert crossing == pytest.approx(at_piston, rel=5e-3)


def test_the_two_sides_of_a_plate_are_alike():
    front = Piston(0.065, (0.0, -0.06, 0.0))
    both = [front, Piston(front.radius, front.centre, face=1)]
    frequency = np.array([60.0, 900.0, 4000.0])
    found = radiation_impedance(plate(width=0.3, height=0.4), both, frequency, accuracy=0.03).values
    np.testing.assert_allclose(found[1, 1], found[0, 0], rtol=1e-3)
    # In opposite phase the two sides load each other less than each by itself.
    np.testing.assert_allclose(found[0, 1], found[1, 0], rtol=1e-3)
    assert (np.abs(found[0, 1]) < 0.5 * np.abs(found[0, 0])).all()
