"""Files in which the HDF5 library ends the process: another process finds out, this one lives."""

from __future__ import annotations

import faulthandler
import io
import os
import signal
import sys
from random import Random

import h5py
import numpy as np
import pytest

from acoustics.conventions import SCHEMA, FileError, RoundoverError
from acoustics.foreign import require_readable, tried
from acoustics.foreign.trial import read_whole
from acoustics.measurement import RecordingError, read_sofa_curves
from acoustics.storage import open_prediction
from support import mutant_originals as originals
from support.mutant_hdf5 import rewritten

KILLING = (48, 113, 117, *range(300))
"""seeds to try; which of them kill depends on the library, the first three did in 2026"""

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="looked for in forks")


def killed_by(data):
    """The signal that a fork of this process dies of when it reads, 0 for none."""
    process = os.fork()
    if not process:
        faulthandler.disable()
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # where the system tells of its end
        signal.alarm(20)
        try:
            read_whole(data)
        finally:
            os._exit(0)
    status = os.waitpid(process, 0)[1]
    return os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0


@pytest.fixture(scope="module")
def killing():
    """A mutant in which the library dies."""
    for number in KILLING:
        rng = Random(f"killing {number}")
        data = rewritten(rng.choice(originals.sofa_files()), rng)
        if killed_by(data):
            return data
    pytest.skip("this HDF5 library survives all")


def test_a_file_that_kills_its_reader_is_refused_by_name(tmp_path, killing):
    file = tmp_path / "other.sofa"
    file.write_bytes(killing)
    words = r"other\.sofa: is damaged: the library that reads HDF5 broke off in it \(SIG[A-Z]+\)"
    with pytest.raises(RecordingError, match=words + "; have the program that wrote it"):
        read_sofa_curves(file)
    with pytest.raises(RoundoverError, match=words):
        open_prediction(file.rename(tmp_path / "other.sofa"))


def test_what_the_library_itself_refuses_passes():
    for data in (b"", b"hello" * 100, originals.sofa_files()[0][:3000]):
        require_readable(data, "some.nc")


def test_one_that_is_not_done_in_time_is_refused(monkeypatch):
    monkeypatch.setattr(tried, "seconds", lambda _: 0.001)
    with pytest.raises(FileError, match=r"some\.nc: .*was not done with it after 0 s"):
        require_readable(originals.sofa_files()[0], "some.nc")


def test_where_no_process_can_be_started_it_is_said(monkeypatch):
    for program in (os.devnull, "/bin/true"):
        monkeypatch.setattr(sys, "executable", program)
        with pytest.raises(RoundoverError, match=r"some\.nc: .*could not be started"):
            require_readable(b"", "some.nc")


def test_a_sealed_file_is_opened_without(monkeypatch, tmp_path):
    file = tmp_path / "prediction.nc"
    file.write_bytes(originals.predictions()[0])

    def never(*_):
        raise AssertionError("a process was started for a file with a seal")

    monkeypatch.setattr("acoustics.storage.require_readable", never)
    assert open_prediction(file).attrs["schema"] == SCHEMA


def test_numbers_of_many_sizes_are_read_whole():
    """Nothing sound is refused for want of memory: half a million numbers, packed."""
    content = io.BytesIO()
    with h5py.File(content, "w") as file:
        file.create_dataset("x", data=np.zeros(500_000), compression="gzip")
    require_readable(content.getvalue(), "zeros.nc")
