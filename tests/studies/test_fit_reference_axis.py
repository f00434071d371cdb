"""What a fit asks of the reference axis it asks of that axis, not of another direction."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import FrequencyGrid
from acoustics.listening import standard_curves
from acoustics.prediction import predict
from acoustics.studies.crossover_fit.aims import played, residuals
from acoustics.studies.crossover_fit.scene import CURVES, DIRECTIONS, fit_asked, scene_of
from support.cases import make_case, make_driver
from support.free_field import solve_free_field

ASIDE, UP = 0.06, 0.17
CASE = make_case(
    (
        make_driver(
            "woofer",
            position=(ASIDE, 0.11 - UP),
            piston_diameter=0.09,
            frame_diameter=0.10,
            rated_impedance=6.0,
        ),
        make_driver("tweeter", 0.11, frame_diameter=0.07, rated_impedance=6.0),
    ),
    frequencies=FrequencyGrid(100.0, 16_000.0, 12),
    arc_step=10.0,
    crossover=(),
)


@pytest.fixture(scope="module")
def scene():
    return scene_of(CASE, solve_free_field)


def test_the_scene_s_directions_are_the_prediction_s(scene):
    prediction = predict(CASE, solve=solve_free_field)
    for n in (0, 20, 50):
        plane, angle = DIRECTIONS[n]
        there = prediction.arc_pressure.sel(plane=plane, angle=angle)
        np.testing.assert_allclose(scene.pressure[n], there.values, rtol=1e-9)
    assert DIRECTIONS[0] == ("horizontal", 0.0)
    assert len(set(DIRECTIONS)) == scene.pressure.shape[0] == 70


def test_its_curves_are_the_standard_s(scene):
    """Shares of the directions in curves, against the curves of the prediction itself."""
    curves = standard_curves(predict(CASE, solve=solve_free_field))
    power = scene.shares @ np.abs(scene.pressure.sum(axis=1)) ** 2
    for row, name in enumerate(CURVES):
        level = 10 * np.log10(power[row] / 20e-6**2)
        np.testing.assert_allclose(level, curves[name].values, atol=1e-9)


def test_what_is_lost_by_phase_is_what_the_paths_differ(scene):
    """Equal sources at two distances, no parts: |Σ|²/(Σ||)² of two waves, smoothed.

    Where both are as loud all over, every frequency is overlap and weighs the same.
    """
    sound = played(scene, [(), ()], [False, False])
    found = residuals(scene, fit_asked(CASE), [(1000.0, 4000.0)], sound, 80.0).phase
    near, far = 2.0, np.sqrt(2.0**2 + ASIDE**2 + UP**2)
    turn = 2 * np.pi * scene.frequency * (far - near) / CASE.air.speed_of_sound
    share = np.abs(1 / near + np.exp(-1j * turn) / far) ** 2 / (1 / near + 1 / far) ** 2
    np.testing.assert_allclose(found, 10 * np.log10(scene.smooth @ share), rtol=1e-3, atol=1e-6)
