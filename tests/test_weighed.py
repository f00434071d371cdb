"""netCDF files are weighed before they are loaded."""

from __future__ import annotations

import os
from pathlib import Path

import h5py
import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.measurement import RecordingError, read_sofa_responses
from acoustics.storage import open_prediction


def written(file: Path, **made) -> Path:
    """A file with one variable `x`, made as asked."""
    with h5py.File(file, "w") as hdf5:
        hdf5.create_dataset("x", **made)
    return file


def test_numbers_that_are_promised_and_not_there(tmp_path: Path) -> None:
    file = written(tmp_path / "huge.nc", shape=(10**10,), dtype="f8", chunks=(64,))
    with pytest.raises(RoundoverError, match=r"promises 8e\+10 bytes of numbers and has \d+"):
        open_prediction(file)
    with pytest.raises(RecordingError, match="promises"):
        read_sofa_responses(file)


def test_numbers_of_another_file_are_not_read(tmp_path: Path) -> None:
    (tmp_path / "other").write_bytes(bytes(80))
    outside = [(str(tmp_path / "other"), 0, 80)]
    file = written(tmp_path / "outside.nc", shape=(10,), dtype="f8", external=outside)
    with pytest.raises(RoundoverError, match="lies in another file"):
        open_prediction(file)
    with h5py.File(file, "w") as hdf5:
        hdf5["x"] = h5py.ExternalLink(str(tmp_path / "other"), "/x")
    with pytest.raises(RoundoverError, match="lies elsewhere"):
        open_prediction(file)


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.nc")
    with pytest.raises(RoundoverError, match="no regular file"):
        open_prediction(tmp_path / "pipe.nc")


def test_a_file_of_another_kind_is_told(tmp_path: Path) -> None:
    file = written(tmp_path / "some.nc", data=np.arange(3.0))
    with pytest.raises(RoundoverError, match=r"some\.nc: (this is no prediction|cannot be read)"):
        open_prediction(file)
