"""One infinite edge: exact values of the rigid wedge and half-plane, on zone boundaries too.

Source: tests/reference/infinite_wedge.json (Macdonald 1915; Bowman, Senior & Uslenghi 1969,
ch. 6 and 8; computed there by two independent methods). The edge is cut off 12 m to either side,
which changes the field by less than 1e-4.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from acoustics.field.first_order import radiate_once
from acoustics.field.grid import build_grid
from acoustics.field.piston import Light
from acoustics.field.resolution import resolution_for
from acoustics.field.views import View
from support.edges import single_edge

REFERENCE = Path(__file__).parents[1] / "reference" / "infinite_wedge.json"
CHECKS = [
    check
    for check in json.loads(REFERENCE.read_text(encoding="utf-8"))["checks"]
    if check["inputs"]["ths_deg"] == 0
]
HALF_LENGTH = 12.0
SPEED_OF_SOUND = 343.0
TOLERANCE = 1e-3


def total_over_free(wedge, rs, r, theta, dz, frequency):
    """Total field over the free field at the straight distance; the source on face θ = 0."""
    edges = single_edge(wedge, 2 * HALF_LENGTH, start=-HALF_LENGTH)
    wavenumber = np.array([2 * np.pi * frequency / SPEED_OF_SOUND])
    near = [(np.array([HALF_LENGTH, HALF_LENGTH + dz]), np.array([rs, r]))]
    grid = build_grid(edges, 2, near, SPEED_OF_SOUND / frequency, resolution_for(0.03))
    light = Light(np.array([[rs, 0.0, 0.0]]), np.ones(1), np.zeros(1))
    view = View(
        index=np.array([0]),
        z=np.array([HALF_LENGTH + dz]),
        rho=np.array([r]),
        theta=np.array([theta]),
        share=np.ones(1),
    )
    pressure = np.zeros((1, 2, 1))
    for panel, side in grid.panels_of_face(0):
        assert side == 0
        radiate_once(grid, panel, view, light, wavenumber, np.float64, pressure)
    distance = np.sqrt(rs**2 + r**2 - 2 * rs * r * np.cos(theta) + dz**2)
    free = np.exp(-1j * wavenumber[0] * distance) / distance
    lit = 1.0 + np.sign(np.pi - theta)
    return lit + (pressure[0, 0, 0] + 1j * pressure[0, 1, 0]) / free


@pytest.mark.parametrize("check", CHECKS, ids=[check["name"] for check in CHECKS])
def test_exact_value(check):
    given, exact = check["inputs"], check["expected"]["p_over_pfree"]
    found = total_over_free(
        np.radians(given["W_deg"]),
        given["rs_m"],
        given["r_m"],
        np.radians(given["th_deg"]),
        given["dz_m"],
        given["f_hz"],
    )
    expected = exact["re"] + 1j * exact["im"]
    assert abs(found - expected) <= TOLERANCE * abs(expected)


@pytest.mark.parametrize("degrees", [1e-4, 1e-6, 1e-8])
def test_continuous_across_the_zone_boundary(degrees):
    before, on, after = (
        total_over_free(1.5 * np.pi, 0.1, 2.0, np.pi + np.radians(step), 0.0, 4000.0)
        for step in (-degrees, 0.0, degrees)
    )
    assert abs(before - on) < 1e-4
    assert abs(after - on) < 1e-4


@pytest.mark.slow
def test_a_flat_edge_diffracts_nothing():
    found = total_over_free(np.pi, 0.1, 2.0, np.radians(70), 0.3, 2000.0)
    assert abs(found - 2.0) < 1e-12
