"""The curves that a comparison's figures show."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.model import FrequencyGrid, Surface
from acoustics.studies.comparison import curves as of
from acoustics.studies.comparison.compare import compare
from support.cases import make_case, make_driver, seat_at
from support.kept_numbers import found_once


@pytest.fixture(scope="module", autouse=True)
def each_design_once():
    with found_once():
        yield


def design(name, **changes):
    changes = {"frequencies": FrequencyGrid(per_octave=12), "arc_step": 10.0, **changes}
    return make_case(path=f"{name}/case.toml", digest=name, **changes)


@pytest.fixture(scope="module")
def comparison(solve_free_field):
    """A two-way, and one point source on a floor that reflects half."""
    one = design("one", seat=seat_at(2.5, (0.9, 1.1)))
    other = design(
        "other",
        drivers=[make_driver("only")],
        seat=seat_at(2.5, (1.1, 1.3)),
        surfaces=(Surface("floor", 0.0, 0.5),),
    )
    return compare([one, other], solve=solve_free_field)


def test_every_curve_has_the_designs_and_dims_of_its_figure(comparison):
    for draw, dims in (
        (of.axis_curves, {"frequency"}),
        (of.window_curves, {"frequency"}),
        (of.power_index_curves, {"frequency"}),
        (of.side_curves, {"side_angle", "frequency"}),
        (of.seat_curves, {"ear_height", "frequency"}),
    ):
        curves = draw(comparison)
        assert list(curves) == ["one", "other"]
        assert all(set(curve.dims) == dims for curve in curves.values())


def test_a_point_source_has_no_directivity(comparison):
    """Its index is 0 dB but for the distances to the arcs, which are about the same point."""
    index = of.power_index_curves(comparison)["other"]
    np.testing.assert_allclose(index, 0.0, atol=1e-9)


def test_what_reflections_do_at_the_seat(comparison):
    """1 + 0.5·(r/r')·e^(−jk(r'−r)) for a source h and an ear e above the floor."""
    curve = of.seat_curves(comparison)["other"]
    assert list(curve.ear_height.values) == [1.1]
    h, e, x = 0.6 + 0.19, 1.1, 2.5
    r, over = np.hypot(x, h - e), np.hypot(x, h + e)
    k = 2 * np.pi * curve.frequency.values / 343.0
    expected = 20 * np.log10(abs(1 + 0.5 * r / over * np.exp(-1j * k * (over - r))))
    np.testing.assert_allclose(curve.isel(ear_height=0), expected, atol=1e-9)


def test_nothing_is_shown_where_a_design_lacks_it(solve_free_field, comparison):
    bare = compare([design("one"), design("bare", surfaces=())], solve=solve_free_field)
    assert of.seat_curves(bare) == {}
    silent = design("silent", surfaces=(Surface("floor", 0.0, 0.0),))
    assert of.seat_curves(compare([design("one"), silent], solve=solve_free_field)) == {}
    assert of.height_curves(comparison) == []  # one crossover against none
    assert len(of.height_curves(bare)) == 1


def test_differences_are_taken_at_common_frequencies(solve_free_field):
    coarse, fine, odd = (
        design(name, frequencies=FrequencyGrid(per_octave=n))
        for name, n in (("coarse", 6), ("fine", 12), ("odd", 7))
    )
    curves = of.axis_curves(compare([coarse, fine, odd], solve=solve_free_field))
    apart = of.difference_to_first(curves)
    np.testing.assert_allclose(apart["fine"], 0.0, atol=1e-9)
    assert apart["fine"].frequency.size == curves["coarse"].frequency.size


def test_bands_of_all_designs_are_joined(comparison, monkeypatch):
    bands = iter([((100.0, 200.0), (1000.0, 3000.0)), ((150.0, 400.0), (5000.0, 9000.0))])
    monkeypatch.setattr(of, "doubtful_bands", lambda prediction: next(bands))
    assert of.all_doubtful_bands(comparison) == ((100, 400), (1000, 3000), (5000, 9000))


def test_levels_are_those_of_the_prediction(comparison):
    pressure = comparison.predictions[1].arc_total.sel(plane="horizontal", angle=0.0)
    expected = 20 * np.log10(np.abs(pressure) / 20e-6)
    xr.testing.assert_allclose(
        of.axis_curves(comparison)["other"].reset_coords(drop=True),
        expected.reset_coords(drop=True),
    )
