"""A prediction that was damaged on its way is never taken for a sound one."""

from __future__ import annotations

import random

import h5py
import numpy as np
import pytest
import xarray as xr

from acoustics.conventions import RoundoverError
from acoustics.prediction import predict
from acoustics.seal import LENGTH
from acoustics.storage import open_prediction, save

FLIPS = 300


@pytest.fixture(scope="module")
def prediction(make_case, solve_free_field):
    return predict(make_case(arc_step=30.0), solve=solve_free_field)


@pytest.fixture
def path(prediction, tmp_path):
    return save(prediction, tmp_path / "prediction.nc")


def flipped(data: bytes, place: int, bit: int) -> bytes:
    harmed = bytearray(data)
    harmed[place] ^= 1 << bit
    return bytes(harmed)


def test_any_flipped_bit_of_the_content_is_noticed(path):
    whole, draw = path.read_bytes(), random.Random(11)
    for _ in range(FLIPS):
        path.write_bytes(flipped(whole, draw.randrange(len(whole) - LENGTH), draw.randrange(8)))
        with pytest.raises(RoundoverError, match=r"prediction\.nc: this file is damaged.*again"):
            open_prediction(path)


def test_a_flipped_bit_of_the_seal_does_no_harm(prediction, path):
    """Noticed or not, no number differs."""
    whole, draw = path.read_bytes(), random.Random(12)
    noticed = 0
    for _ in range(10):
        place = len(whole) - 1 - draw.randrange(LENGTH)
        path.write_bytes(flipped(whole, place, draw.randrange(8)))
        try:
            xr.testing.assert_identical(open_prediction(path), prediction)
        except RoundoverError:
            noticed += 1
    assert 0 < noticed < 10


def test_a_file_that_ends_early_is_refused(path):
    whole, draw = path.read_bytes(), random.Random(13)
    for length in [0, 1, *(draw.randrange(len(whole) - LENGTH) for _ in range(6))]:
        path.write_bytes(whole[:length])
        with pytest.raises(RoundoverError, match=r"prediction\.nc"):
            open_prediction(path)


@pytest.mark.parametrize("engine", ["h5netcdf", "netcdf4"])
def test_plain_readers_notice_a_number_that_has_changed(prediction, path, engine):
    """The libraries' own checksum: HDF5's Fletcher-32, looked at whenever a piece is read."""
    whole, draw = path.read_bytes(), random.Random(14)
    for name in ("arc_total", "seat_total", "frequency", "angle"):
        values = prediction[name].values
        begins = whole.index(np.ascontiguousarray(values).tobytes())
        place = begins + draw.randrange(values.nbytes)
        path.write_bytes(flipped(whole, place, draw.randrange(8)))
        with pytest.raises((OSError, RuntimeError), match=r"filter|HDF error"):
            xr.load_dataset(path, engine=engine)


def test_all_numbers_but_single_ones_have_checksums(path):
    with h5py.File(path) as file:
        held = {
            name: each.fletcher32
            for name, each in file.items()
            if each.dtype.kind in "iuf" and each.ndim and each.size
        }
    assert len(held) > 20
    # Dimensions without a coordinate are place holders in netCDF-4, without values of their own.
    unheld = {name for name, has in held.items() if not has}
    with xr.open_dataset(path) as plain:
        assert not unheld & set(plain.variables)


def test_files_without_a_seal_are_still_read(prediction, path):
    path.write_bytes(path.read_bytes()[:-LENGTH])
    xr.testing.assert_identical(open_prediction(path), prediction)


def test_what_another_program_wrote_anew_is_read(prediction, path):
    """It has no seal, whatever the file it read had."""
    with xr.open_dataset(path) as plain:
        plain.load().assign_attrs(title="changed by hand").to_netcdf(path.with_name("other.nc"))
    assert open_prediction(path.with_name("other.nc")).attrs["title"] == "changed by hand"
