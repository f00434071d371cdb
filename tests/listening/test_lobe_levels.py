"""Level up and down around a crossover, against two point sources added up by hand."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import FrequencyGrid, ReferenceAxis
from acoustics.listening import level, lobe_levels, lobing
from acoustics.listening.listeners import heard
from acoustics.prediction import predict
from support.cases import seat_at

CORNER = 2000.0


@pytest.fixture(scope="module")
def prediction(make_case, make_driver, pass_branch, solve_free_field):
    case = make_case(
        [make_driver("woofer", -0.1), make_driver("tweeter", 0.1)],
        crossover=(
            pass_branch("woofer", "low-pass", CORNER),
            pass_branch("tweeter", "high-pass", CORNER),
        ),
        reference=ReferenceAxis((0.0, 0.0), 2.0),
        seat=seat_at(2.5, (0.9, 1.1)),
        frequencies=FrequencyGrid(500.0, 8000.0, 24),
    )
    return predict(case, solve=solve_free_field)


def test_two_waves_at_the_crossover(prediction):
    """Both are in phase and equal at the corner (Linkwitz 1976): e^(−jkR)/R of either added up."""
    found = lobe_levels(prediction).isel(crossover=0)
    assert found.offset.values.tolist() == [-0.5, 0.0, 0.5]
    here = found.arc_level.sel(offset=0.0)
    angle = np.radians(here.lobe_angle.values)
    y, z = 2.0 * np.sin(angle), 2.0 * np.cos(angle)
    way = np.array([np.hypot(y + 0.1, z), np.hypot(y - 0.1, z)])
    total = np.abs((np.exp(-2j * np.pi * CORNER / 343.0 * way) / way).sum(axis=0))
    down = 20 * np.log10(total / total[np.argmin(np.abs(angle))])
    strong = down > -20
    middle = float(here.sel(lobe_angle=0.0))
    # The crossover is found between the frequencies, a few hertz off.
    np.testing.assert_allclose((here.values - middle)[strong], down[strong], atol=0.05)
    axis = prediction.arc_total.sel(plane="vertical", angle=0.0)
    near = float(level(axis).sel(frequency=CORNER, method="nearest"))
    assert middle == pytest.approx(near, abs=0.1)


def test_relative_to_the_axis_it_is_the_lobe(prediction):
    levels = lobe_levels(prediction).arc_level.sel(offset=0.0)
    relative = levels - levels.sel(lobe_angle=0.0)
    known = lobing(heard(prediction)).lobe_level
    np.testing.assert_allclose(relative, known, atol=1e-9)


def test_where_the_ears_are(prediction):
    """The front's middle, and the reference point, is 0.6 + 0.19 m above the floor."""
    angles = lobe_levels(prediction).seat_angle.sel(ear_height=[0.9, 1.1])
    expected = np.degrees(np.arctan([0.11 / 2.5, 0.31 / 2.5]))
    assert angles.values == pytest.approx(expected, abs=1e-9)


def test_without_a_crossover(make_case, make_driver, solve_free_field):
    found = lobe_levels(predict(make_case([make_driver("one")]), solve=solve_free_field))
    assert found.arc_level.sizes["crossover"] == 0


def test_beyond_the_frequencies_nothing_is_known(make_case, solve_free_field):
    """The crossover at 2.5 kHz is within 2 to 3 kHz, half an octave off is not."""
    case = make_case(frequencies=FrequencyGrid(2000.0, 3000.0, 24))
    found = lobe_levels(predict(case, solve=solve_free_field)).arc_level.isel(crossover=0)
    assert np.isnan(found.sel(offset=[-0.5, 0.5])).all()
    assert np.isfinite(found.sel(offset=0.0)).all()
