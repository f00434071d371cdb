"""Measured drivers in designs that differ from the one in which they were measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.measured_model import MeasuredResponse
from acoustics.case.design.model import FrequencyGrid, ReferenceAxis
from acoustics.case.varied import with_home
from acoustics.prediction import predict
from acoustics.report.sweep import how_sure
from acoustics.studies.driver_map.scene import scene_of
from acoustics.studies.remembered import Remembered
from support.boxes import boxed, parameters
from support.cases import make_case, make_driver
from support.free_field import solve_baffled_piston

QUICK = {"frequencies": FrequencyGrid(200.0, 4000.0, 3), "arc_step": 10.0, "accuracy": 1.0}
ROWS = np.geomspace(150.0, 5000.0, 60)


def heard(modelled=False):
    """What is heard at half a metre, invented: it rises by 2 dB an octave."""
    size = 0.3 * (ROWS / 1000.0) ** (1 / 3)
    late = np.exp(-2j * np.pi * ROWS * 0.5 / 343.0)
    values = size * late
    return MeasuredResponse(
        source="made-up.txt",
        frequency=tuple(ROWS.tolist()),
        real=tuple(values.real.tolist()),
        imaginary=tuple(values.imag.tolist()),
        distance=0.5,
        at="driver",
        point=None,
        removed_delay=0.0,
        unknown_delay=False,
        band=(150.0, 5000.0),
        uncertainty=0.0,
        noise=0.0,
        modelled=modelled,
    )


def two_way():
    drivers = [
        make_driver("woofer", -0.05, piston_diameter=0.12, measured=heard()),
        make_driver("tweeter", 0.1),
    ]
    return make_case(drivers, reference=ReferenceAxis((0.0, 0.1), 2.0), **QUICK)


def moved(case, position):
    woofer, *others = case.drivers
    return replace(case, drivers=(replace(woofer, position=position), *others))


@pytest.fixture(scope="module")
def case():
    return two_way()


@pytest.mark.slow
def test_a_driver_that_moves_takes_its_source_along(case):
    """On another place of a cabinet it sends out what it sent out where it was measured."""
    there = with_home(moved(case, (0.0, -0.12)), case)
    assert there.measured_in is not None
    first, second = (predict(each) for each in (case, there))
    np.testing.assert_allclose(second.source, first.source, rtol=1e-3)
    apart = second.arc_pressure.sel(driver="woofer") / first.arc_pressure.sel(driver="woofer")
    assert np.abs(np.abs(apart) - 1).max() > 0.02
    # Measured anew at its other place, the same table means another source.
    anew = predict(moved(case, (0.0, -0.12)))
    assert np.abs(np.abs(anew.source / first.source) - 1).max() > 0.01


def test_what_does_not_move_anything_is_the_design_itself(case):
    turned = replace(case, drivers=(replace(case.drivers[0], inverted=True), case.drivers[1]))
    assert with_home(turned, case) is turned
    plain = make_case(**QUICK)
    assert with_home(plain, make_case()) is plain


def test_the_digest_tells_where_it_was_measured(case):
    one = with_home(moved(case, (0.0, -0.12)), case)
    other = with_home(moved(case, (0.0, -0.12)), moved(case, (0.0, -0.06)))
    assert one.digest != other.digest
    assert one.digest == with_home(moved(case, (0.0, -0.12)), case).digest


def test_in_another_box_it_changes_as_the_model_does():
    low = {**QUICK, "frequencies": FrequencyGrid(160.0, 320.0, 6)}
    box = replace(boxed(parameters(60.0, 0.4), 1.0), **low)
    (driver,) = box.drivers
    measured = replace(box, drivers=(replace(driver, measured=heard(modelled=True)),))
    smaller = (replace(box.enclosures[0], gross=box.enclosures[0].gross / 3),)
    varied = with_home(replace(measured, enclosures=smaller), measured)
    solve = solve_baffled_piston
    home, found = (predict(each, solve=solve) for each in (measured, varied))
    before = predict(box, solve=solve)
    after = predict(replace(box, enclosures=smaller), solve=solve)
    assert np.abs(after.source / before.source - 1).max() > 0.1
    np.testing.assert_allclose(found.source / home.source, after.source / before.source, rtol=1e-6)


def test_the_design_it_was_measured_in_is_solved_once(case):
    solve = Remembered(solve_baffled_piston, {})
    for up in (-0.12, -0.10, -0.08):
        predict(with_home(moved(case, (0.0, up)), case), solve=solve)
    assert solve.count == 4


def test_a_map_moves_the_source_that_was_measured(case):
    directions = (("horizontal", 0.0), ("horizontal", 30.0))
    scene = scene_of(case, (0,), directions)
    expected = predict(case).source.sel(driver="woofer")
    np.testing.assert_allclose(scene.taken[0].source, expected, rtol=2e-2)


def test_a_sweep_says_that_the_source_goes_along(case):
    found = xr.Dataset(
        {"targets_missed": ("drivers", np.zeros(2)), "error_estimate": ("drivers", np.ones(2))}
    )
    said = " ".join(how_sure(case, found))
    assert "What was measured of woofer belongs to the case as it stands" in said
    assert "measured" not in " ".join(how_sure(make_case(), found))
