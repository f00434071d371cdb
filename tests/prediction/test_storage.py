"""What is saved is what comes back, and other readers can open it."""

from __future__ import annotations

import dataclasses
import resource

import netCDF4
import numpy as np
import pytest
import xarray as xr

from acoustics.conventions import SCHEMA, RoundoverError
from acoustics.prediction import predict
from acoustics.storage import open_prediction, save


@pytest.fixture(scope="module")
def prediction(make_case, solve_free_field):
    return predict(make_case(arc_step=30.0), solve=solve_free_field)


@pytest.fixture
def path(prediction, tmp_path):
    return save(prediction, tmp_path / "out" / "prediction.nc")


def test_saved_and_opened_is_identical_attributes_included(prediction, path):
    opened = open_prediction(path)
    xr.testing.assert_identical(opened, prediction)
    assert opened.arc_total.dtype == complex
    assert list(opened.attrs) == list(prediction.attrs)


@pytest.mark.parametrize("engine", ["h5netcdf", "netcdf4"])
def test_plain_xarray_opens_it(prediction, path, engine):
    with xr.open_dataset(path, engine=engine) as plain:
        total = plain.arc_total
        assert total.dims == ("plane", "angle", "frequency", "complex")
        assert plain.complex.attrs["flag_meanings"] == "real imaginary"
        assert plain.complex.dtype == np.int32
        joined = total.isel(complex=0) + 1j * total.isel(complex=1)
        np.testing.assert_array_equal(joined.values, prediction.arc_total.values)
        assert total.attrs["units"] == "Pa"
        assert list(plain.driver.values) == ["woofer", "tweeter"]


def test_a_plain_netcdf_reader_opens_it(path):
    with netCDF4.Dataset(path) as file:
        assert file.data_model == "NETCDF4"
        assert file.variables["seat_total"].dimensions[-1] == "complex"
        assert "_FillValue" not in file.variables["frequency"].ncattrs()


def test_equal_predictions_give_identical_bytes(make_case, solve_free_field, prediction, path):
    again = predict(make_case(arc_step=30.0), solve=solve_free_field)
    other = save(again, path.with_name("again.nc"))
    assert other.read_bytes() == path.read_bytes()


def test_a_design_without_crossover_keeps_its_empty_list(make_case, solve_free_field, tmp_path):
    case = make_case(crossover=(), drivers=make_case().drivers, arc_step=90.0)
    prediction = predict(case, solve=solve_free_field)
    xr.testing.assert_identical(open_prediction(save(prediction, tmp_path / "p.nc")), prediction)


def test_text_beyond_ascii_survives(make_case, solve_free_field, tmp_path):
    case = dataclasses.replace(make_case(arc_step=90.0), title="Zweiwege „Höhe“ − 1 µm")
    prediction = predict(case, solve=solve_free_field)
    opened = open_prediction(save(prediction, tmp_path / "p.nc"))
    assert opened.attrs["title"] == case.title


def test_a_folder_that_cannot_be_made_is_refused(prediction, tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(RoundoverError, match=r"cannot be written.*choose a folder"):
        save(prediction, tmp_path / "file" / "prediction.nc")


def test_a_write_that_breaks_off_leaves_the_old_file(prediction, path):
    before = path.read_bytes()
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) // 2, limits[1]))
    try:
        with pytest.raises(RoundoverError, match="File too large"):
            save(prediction, path)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert path.read_bytes() == before
    assert [entry.name for entry in path.parent.iterdir()] == [path.name]


def test_another_layout_is_refused_with_a_way_out(prediction, tmp_path):
    old = save(prediction.assign_attrs(schema=SCHEMA + 1), tmp_path / "old.nc")
    with pytest.raises(RoundoverError, match=rf"schema {SCHEMA + 1}.*run `roundover predict`"):
        open_prediction(old)


def test_what_is_no_prediction_is_refused(tmp_path):
    other = tmp_path / "other.nc"
    xr.Dataset({"a": ("x", [1.0, 2.0])}).to_netcdf(other, engine="h5netcdf")
    with pytest.raises(RoundoverError, match="no prediction"):
        open_prediction(other)
    text = tmp_path / "notes.nc"
    text.write_text("not netCDF")
    with pytest.raises(RoundoverError, match="cannot be read as netCDF-4"):
        open_prediction(text)
    with pytest.raises(RoundoverError, match="no such file"):
        open_prediction(tmp_path / "missing.nc")
