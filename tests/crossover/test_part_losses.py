"""Losses of coils and capacitors against another formula, scaling and common practice."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.crossover.part_losses import (
    FILM_LOSS_FACTOR,
    PITCH,
    RESISTIVITY,
    capacitor_resistance,
    coil_resistance,
)


def test_a_coil_as_they_are_sold():
    """1 mH of 1.0 mm wire has about 0.45 ohm (common practice, no source)."""
    assert coil_resistance(1e-3, 1e-3) == pytest.approx(0.45, rel=0.1)


@pytest.mark.parametrize("inductance", [0.1e-3, 1e-3, 10e-3])
@pytest.mark.parametrize("diameter", [0.5e-3, 1.4e-3])
def test_its_wire_wound_up_again_has_the_inductance(inductance, diameter):
    """By Wheeler's formula for coils of many layers, 0.8 a²N²/(6a + 9b + 10c) µH, inches.

    Good to about 1 % at this shape (Wheeler, Proc. IRE 16, 1928, 1398; from memory).
    """
    section = np.pi / 4 * diameter**2
    length = coil_resistance(inductance, diameter) * section / RESISTIVITY["copper"]
    pitch = PITCH * diameter
    radius = (length / (2 * np.pi) * (3 / 2 * pitch) ** 2) ** (1 / 3)  # 2πaN and c²/pitch²
    turns = length / (2 * np.pi * radius)
    a, side = radius / 0.0254, 2 / 3 * radius / 0.0254
    wheeler = 0.8e-6 * (a * turns) ** 2 / (6 * a + 9 * side + 10 * side)
    assert wheeler == pytest.approx(inductance, rel=0.01)


def test_how_a_coil_grows():
    """Length grows as L^(3/5) d^(2/5) at one shape, so R as L^(3/5) d^(−8/5); arrays alike."""
    one = coil_resistance(1e-3, 1e-3)
    many = coil_resistance(np.array([[1e-3], [2e-3]]), np.array([1e-3, 1.5e-3, 2e-3]))
    assert many.shape == (2, 3)
    grown = 2 ** (3 / 5) * 1.5 ** (-8 / 5)
    assert many[1, 1] == pytest.approx(one * grown, rel=1e-12)
    aluminium = coil_resistance(1e-3, 1e-3, "aluminium")
    assert aluminium / one == pytest.approx(1.64, abs=0.01)  # 61 % of copper's conductivity


def test_a_capacitor_loses_its_loss_factor():
    """tan δ = ωCR where it was measured."""
    capacitance = np.array([1e-6, 10e-6])
    resistance = capacitor_resistance(capacitance)
    np.testing.assert_allclose(2e3 * np.pi * capacitance * resistance, FILM_LOSS_FACTOR)
    assert resistance[1] < 0.02
    other = capacitor_resistance(10e-6, loss_factor=0.05, at=100.0)
    assert other == pytest.approx(0.05 / (2 * np.pi * 100.0 * 10e-6))
