"""What surfaces send back, against handbook formulas evaluated independently."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Absorber, Surface
from acoustics.conventions import Air
from acoustics.room.porous import characteristic, surface_impedance
from acoustics.room.reflection import plane_wave_reflection, reflection_factor

AIR = Air(343.0, 1.2)


def test_porous_layers(reference):
    for row in reference("reflection")["porous"]:
        frequency = np.array([float(row["f"])])
        impedance, wavenumber = characteristic(row["sigma"], frequency)
        assert impedance[0] == pytest.approx(complex(*row["Zc"]), rel=1e-5)
        assert wavenumber[0] == pytest.approx(complex(*row["kc"]), rel=1e-5)
        deep = plane_wave_reflection(impedance, np.array(1.0))
        assert deep[0] == pytest.approx(complex(*row["R_semi_infinite"]), rel=1e-5)
        layer = Absorber(row["d"], row["sigma"])
        assert surface_impedance(layer, frequency, AIR)[0] == pytest.approx(
            complex(*row["Zs"]), rel=1e-5
        )
        factor = reflection_factor(
            Surface("floor", 0.0, absorber=layer), np.array([1.0]), frequency, AIR
        )
        assert factor.shape == (1, 1)
        assert factor[0, 0] == pytest.approx(complex(*row["R"]), rel=1e-5)
        assert 1 - abs(factor[0, 0]) ** 2 == pytest.approx(row["alpha"], rel=1e-5)


def test_locally_reacting_surfaces_at_an_angle(reference):
    for row in reference("reflection")["plane_wave"]:
        cosine = np.cos(np.deg2rad(row["degrees"]))
        factor = plane_wave_reflection(np.array(complex(*row["Z"])), cosine)
        assert factor == pytest.approx(complex(*row["R"]), abs=1e-6)
        assert 1 - abs(factor) ** 2 == pytest.approx(row["alpha"], rel=1e-6)


def test_a_hard_surface_is_alike_at_all_frequencies_and_angles():
    factor = reflection_factor(
        Surface("ceiling", 2.5, 0.8), np.array([[0.2, 0.9]]), np.array([20.0, 2e4, 1e5]), AIR
    )
    assert factor.shape == (1, 2, 3)
    assert (factor == 0.8).all()


@pytest.mark.parametrize("thickness", [0.001, 0.05, 1.0])
@pytest.mark.parametrize("flow_resistivity", [500.0, 10e3, 1e6])
def test_no_layer_amplifies_and_every_value_is_finite(thickness, flow_resistivity):
    surface = Surface("floor", 0.0, absorber=Absorber(thickness, flow_resistivity))
    frequency = np.geomspace(1.0, 100e3, 60)
    factor = reflection_factor(surface, np.array([1e-3, 0.3, 1.0]), frequency, AIR)
    assert np.isfinite(factor).all()
    assert np.abs(factor).max() <= 1 + 1e-9


def test_a_layer_thin_against_the_wavelength_is_hard():
    surface = Surface("floor", 0.0, absorber=Absorber(0.005, 10e3))
    (factor,) = reflection_factor(surface, np.array(1.0), np.array([30.0]), AIR)
    assert factor == pytest.approx(1.0, abs=0.02)
