"""A point source in the middle of one face of a thin disc: exact far field, all orders together.

Source: tests/reference/thin_disc.json (Bouwkamp, Rep. Prog. Phys. 17, 1954, 35; values from two
independent solutions that agree to 1e-8). Every point of the rim is equally far from the source,
so no edge path hides another: the hardest case there is. The disc is a polygon of equal area.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from acoustics import Air, Piston, solve_field
from acoustics.cabinet import thin_plate

REFERENCE = Path(__file__).parents[1] / "reference" / "thin_disc.json"
CHECKS = json.loads(REFERENCE.read_text(encoding="utf-8"))["checks"]
AIR = Air(speed_of_sound=343.0, density=1.2)
SIDES = 32
# In radii of the disc. At 300 a wave front is still bent by more than the tolerance; the direct
# sound of the source, a piston, loses (distance over its radius)² of the digits: 2e-4 of it here.
FAR = 4000.0
SMALL = 0.004
TOLERANCE = 0.01
ANGLES = sorted({float(c["inputs"]["theta_deg"]) for c in CHECKS} | {35.0, 145.0})
KA = sorted({float(c["inputs"]["ka"]) for c in CHECKS})


@pytest.fixture(scope="module")
def far_field():
    """T by (ka, degrees): pressure over the free point source's."""
    radius = np.sqrt(2 * np.pi / (SIDES * np.sin(2 * np.pi / SIDES)))
    turns = 2 * np.pi * np.arange(SIDES) / SIDES
    disc = thin_plate(radius * np.stack([np.cos(turns), np.sin(turns)], axis=1))
    theta = np.radians(ANGLES)
    points = FAR * np.stack([np.sin(theta), 0 * theta, np.cos(theta)], axis=1)
    points[np.abs(points) < 1e-9] = 0.0
    k = np.array(KA)
    frequency = k * AIR.speed_of_sound / (2 * np.pi)
    field = solve_field(
        disc, [Piston(SMALL, (0.0, 0.0, 0.0))], points, frequency, air=AIR, accuracy=0.03
    )
    free = 1j * k * AIR.speed_of_sound * AIR.density * np.exp(-1j * k * FAR) / (4 * np.pi * FAR)
    over_free = field.values[0] / free[:, None]
    return {(k[i], ANGLES[j]): over_free[i, j] for i in range(k.size) for j in range(len(ANGLES))}


@pytest.mark.parametrize("check", CHECKS, ids=[check["name"] for check in CHECKS])
def test_exact_value(far_field, check):
    exact = check["expected"]["p_over_pfree"]
    found = far_field[float(check["inputs"]["ka"]), float(check["inputs"]["theta_deg"])]
    assert abs(found - (exact["re"] + 1j * exact["im"])) <= TOLERANCE


@pytest.mark.parametrize("ka", [0.5, 3.0, 10.0])
def test_front_and_back_add_to_two(far_field, ka):
    assert abs(far_field[ka, 35.0] + far_field[ka, 145.0] - 2.0) <= 1e-3


@pytest.mark.parametrize("ka", [0.5, 3.0, 10.0])
def test_nothing_but_the_free_source_in_its_plane(far_field, ka):
    assert abs(far_field[ka, 90.0] - 1.0) <= 1e-3


@pytest.mark.parametrize("degrees", [0.0, 35.0, 180.0])
def test_the_low_frequency_limit(far_field, degrees):
    # The next term is of order (ka)²; at ka = 0.1 it is small.
    limit = 1 + 2j / np.pi * 0.1 * np.cos(np.radians(degrees))
    assert abs(far_field[0.1, degrees] - limit) <= 1e-3
