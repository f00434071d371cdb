"""A sweep's numbers are those of the designs it names, laid out over the keys it moves."""

from __future__ import annotations

import netCDF4
import numpy as np
import pytest
import xarray as xr

import acoustics as ac
from acoustics.case import read_case
from acoustics.case.design.sweep_model import Sample, SweptKey
from acoustics.listening import judge_aims, key_figures
from acoustics.storage import open_prediction
from acoustics.studies.sweeps import size as sweep_size
from acoustics.studies.sweeps.figures import FIGURES
from acoustics.studies.sweeps.run import run_sweep
from acoustics.studies.sweeps.space import draw, space_of
from support.free_field import solve_free_field
from support.sweeps import (
    CORNERS,
    DESIGN,
    FINE,
    OFFSETS,
    SAMPLE,
    Counted,
    inline,
    swept_case,
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("sweep")


@pytest.fixture(scope="module")
def solver():
    return Counted()


@pytest.fixture(scope="module")
def found(folder, solver):
    """Three offsets and one off the cabinet, by two corners."""
    corners = CORNERS.replace('stop = "2.6 kHz"', 'stop = "2.0 kHz"')
    case = swept_case(folder, OFFSETS + corners, FINE)
    return run_sweep(case, folder, inline, solve=solver)


def test_dimensions_are_the_swept_keys_in_base_units(found):
    assert dict(found.sizes) == {"offset": 4, "corner": 2, "aim": 1}
    np.testing.assert_array_equal(found.offset, [0.0, 0.02, 0.04, 0.127])
    np.testing.assert_array_equal(found.corner, [1800.0, 2000.0])
    assert found.offset.attrs == {"units": "m", "long_name": "drivers.tweeter.position.1"}
    assert found.corner.attrs["units"] == "Hz"
    assert found.axis_ripple.dims == ("offset", "corner")
    assert found.aim_value.dims == ("offset", "corner", "aim")


def test_a_point_has_the_numbers_of_the_design_written_by_hand(found, tmp_path):
    text = FINE.replace('position = ["0 mm", "125 mm"]', 'position = ["40 mm", "125 mm"]')
    file = tmp_path / "case.toml"
    file.write_text(text.replace("2.2 kHz", "2 kHz").replace("[sweep]", ""), encoding="utf-8")
    case = read_case(file)
    prediction = ac.predict(case, solve=solve_free_field)
    answers = key_figures(case, prediction)
    point = found.sel(offset=0.04, corner=2000.0)
    for name in FIGURES:
        if name in answers and not answers[name].ndim:
            assert float(point[name]) == float(answers[name]), name
    one_ear = answers.isel(listener=0, ear_height=0)
    for name in ("seat_ripple", "seat_tilt", "seat_level", "height_span"):
        assert float(point[name]) == float(one_ear[name]), name
    assert float(point.aside_span) == float(answers.aside_span[0])
    assert float(point.floor_dip) == float(one_ear.deepest_dip_depth.sel(surface="floor"))
    assert float(point.lobe_window) == pytest.approx(float(one_ear.window_height[0]))
    assert float(point.least_beamwidth) == float(answers.least_beamwidth.sel(plane="horizontal"))
    (verdict,) = judge_aims(case, prediction)
    assert float(point.aim_value[0]) == verdict.value
    assert float(point.aim_met[0]) == float(verdict.met)


def test_a_point_that_fails_is_missing_with_its_reason(found):
    off = found.sel(offset=0.127)
    assert off[list(FIGURES)].to_dataarray().isnull().all()
    assert off.aim_met.isnull().all()
    assert all("the tweeter" not in str(why) or why for why in off.reason.values)
    assert all("drivers.tweeter.position" in str(why) for why in off.reason.values)
    others = found.isel(offset=slice(3))
    assert (others.reason == "").all()
    told = [name for name in FIGURES if name != "error_estimate"]  # the stand-in has none
    assert others[told].to_dataarray().notnull().all()


def test_what_moves_no_field_is_solved_once(found, solver):
    assert solver.calls == 3  # one for each offset on the cabinet, whatever the corner


def test_points_of_one_field_in_several_blocks_are_solved_once(tmp_path, monkeypatch):
    monkeypatch.setattr("acoustics.studies.sweeps.run.block_size", lambda *_: 2)
    solver = Counted()
    found = run_sweep(swept_case(tmp_path, CORNERS), tmp_path, inline, solve=solver)
    assert len(list((tmp_path / "blocks").glob("*.npz"))) == 3
    assert solver.calls == 1
    assert (found.reason == "").all()


def test_the_file_is_what_was_returned_and_plain_readers_open_it(found, folder):
    xr.testing.assert_identical(open_prediction(folder / "sweep.nc"), found)
    with netCDF4.Dataset(folder / "sweep.nc") as file:
        assert file.Conventions == "CF-1.11"
        assert file.variables["window_ripple"].dimensions == ("offset", "corner")
    for name, variable in found.variables.items():
        assert variable.attrs.get("long_name"), name
        if variable.dtype.kind == "f" and name != "aim_value":
            assert variable.attrs.get("units"), name


def test_a_sample_has_one_dimension_and_its_keys_beside_it(tmp_path):
    case = swept_case(tmp_path, SAMPLE)
    found = run_sweep(case, tmp_path, inline, solve=solve_free_field)
    assert dict(found.sizes) == {"sample": 6, "aim": 1}
    assert found.cabinet_width.dims == found.crossover_woofer_gain.dims == ("sample",)
    assert found.crossover_woofer_gain.attrs["units"] == "1"
    assert (found.reason == "").all()


def test_fields_are_kept_if_asked(tmp_path):
    case = swept_case(tmp_path, 'keep = "fields"\n' + OFFSETS)
    found = run_sweep(case, tmp_path, inline, solve=solve_free_field)
    text = DESIGN.replace('position = ["0 mm", "125 mm"]', 'position = ["20 mm", "125 mm"]')
    (tmp_path / "by-hand.toml").write_text(text.replace("[sweep]", ""), encoding="utf-8")
    prediction = ac.predict(read_case(tmp_path / "by-hand.toml"), solve=solve_free_field)
    for name in ("arc_field", "seat_field", "arc_total", "seat_total", "filter", "source"):
        one = found[name].sel(offset=0.02)
        np.testing.assert_array_equal(one.values, prediction[name].values, err_msg=name)
        assert one.dims == prediction[name].dims
        assert found[name].attrs == prediction[name].attrs
        assert np.isnan(found[name].sel(offset=0.127).values).all()
    xr.testing.assert_identical(open_prediction(tmp_path / "sweep.nc"), found)


def test_a_sample_is_the_same_for_a_seed_and_evener_than_chance():
    def sample(seed, points=128):
        keys = [SweptKey(name, (name,), (0.0, 1.0), "", False) for name in "ab"]
        return draw(Sample(points, seed, tuple(keys)))

    np.testing.assert_array_equal(sample(1), sample(1))
    assert not np.array_equal(sample(1), sample(2))
    assert sample(1, points=100).shape == (2, 100)
    # Centred L2 discrepancy, Hickernell, Math. Comput. 67, 1998, 299, as scipy has it.
    from scipy.stats import qmc

    chance = min(
        qmc.discrepancy(np.random.default_rng(seed).random((128, 2))) for seed in range(20)
    )
    assert max(qmc.discrepancy(sample(seed).T) for seed in range(5)) < 0.1 * chance


def test_a_sample_keeps_to_its_range_in_ratios_and_whole_numbers():
    ratio = SweptKey("f", ("f",), (100.0, 10_000.0), "Hz", False, logarithmic=True)
    whole = SweptKey("n", ("n",), (2.0, 4.0), "", True)
    frequency, order = draw(Sample(256, 3, (ratio, whole)))
    assert 100 <= frequency.min() < 110
    assert 9000 < frequency.max() <= 10_000
    assert np.median(frequency) == pytest.approx(1000, rel=0.05)  # the middle of two decades
    assert set(order) == {2.0, 3.0, 4.0}


def test_a_grid_and_a_sample_together_are_every_combination(tmp_path):
    space = space_of(swept_case(tmp_path, OFFSETS + SAMPLE).sweep)
    assert (space.dims, space.shape) == (("offset", "sample"), (4, 6))
    seen = {tuple(space.changes(number).values()) for number in range(space.size)}
    assert len(seen) == 24


def test_a_case_without_a_sweep_is_refused(tmp_path):
    file = tmp_path / "case.toml"
    file.write_text(DESIGN.replace("[sweep]", ""), encoding="utf-8")
    with pytest.raises(ac.RoundoverError, match=r"no sweep; add a table \[sweep\]"):
        ac.sweep(read_case(file), tmp_path)


HUGE = "".join(
    f'[[sweep.over]]\nkey = "{key}"\nstart = "100 mm"\nstop = "500 mm"\nnumber = 100000\n'
    for key in ("cabinet.width", "cabinet.height", "cabinet.depth")
)


def test_a_sweep_too_large_says_how_large_before_it_starts(tmp_path):
    case = swept_case(tmp_path / "there", HUGE)
    with pytest.raises(ac.RoundoverError, match=r"1,000,000,000,000,000 points.*TiB.*fewer values"):
        ac.sweep(case, tmp_path / "out")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("what", ["memory", "disk"])
def test_fields_too_large_say_what_else_to_keep(tmp_path, monkeypatch, what):
    monkeypatch.setattr(sweep_size, f"free_{what}", lambda *_: 1e5)
    case = swept_case(tmp_path / "there", 'keep = "fields"\n' + CORNERS)
    with pytest.raises(ac.RoundoverError, match=rf"of {what}, of which 97.7 KiB.*keep = \"figures"):
        ac.sweep(case, tmp_path / "out")
