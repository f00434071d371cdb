"""Worker processes do as one process does, and none outlives the sweep."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
import xarray as xr

import acoustics as ac
from acoustics.conventions import RoundoverError
from acoustics.storage import open_prediction
from acoustics.studies.sweeps import run as sweep_run
from acoustics.studies.sweeps.run import run_sweep
from acoustics.studies.sweeps.work import work_on
from acoustics.studies.workers import cluster
from acoustics.studies.workers.local_workers import local_workers
from support.free_field import solve_free_field
from support.sweeps import (
    CORNERS,
    OFFSETS,
    alive,
    deadly_free_field,
    inline,
    slow_free_field,
    swept_case,
    until,
)

TESTS = Path(__file__).parents[1]


@pytest.fixture
def workers_find_tests(monkeypatch, tmp_path):
    """Stand-ins of tests/support are found by name in worker processes."""
    old = os.environ.get("PYTHONPATH", "")
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(filter(None, [str(TESTS), old])))
    monkeypatch.setenv("PIDS", str(tmp_path / "pids"))
    monkeypatch.setenv("PAUSE", "60")
    (tmp_path / "pids").mkdir()
    return tmp_path / "pids"


@pytest.fixture
def case(tmp_path):
    return swept_case(tmp_path / "case", OFFSETS + CORNERS)


@pytest.fixture
def in_one_process(case, tmp_path):
    run_sweep(case, tmp_path / "one", inline, solve=solve_free_field)
    return tmp_path / "one" / "sweep.nc"


# A shell starts what runs in its background with interruptions ignored, which children inherit.
SWEPT = """
import signal
import sys
from acoustics import read_case, sweep
from support.sweeps import slow_free_field

if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)
    sweep(read_case(sys.argv[1]), sys.argv[2], workers=2, solve=slow_free_field)
"""


@pytest.fixture
def at_work(case, tmp_path, workers_find_tests):
    """A process in the middle of a sweep, and the numbers of its two workers."""
    script = tmp_path / "swept.py"
    script.write_text(SWEPT)
    given = [sys.executable, str(script), case.path, str(tmp_path / "out")]
    with subprocess.Popen(given, stderr=subprocess.PIPE, text=True) as process:
        assert until(lambda: len(list(workers_find_tests.iterdir())) == 2)
        yield process, [int(path.name) for path in workers_find_tests.iterdir()]
        process.kill()


@pytest.mark.slow
def test_workers_end_when_their_parent_is_killed(at_work):
    process, workers = at_work
    assert all(alive(worker) for worker in workers)
    process.kill()
    process.wait()
    assert until(lambda: not any(alive(worker) for worker in workers), seconds=5)


@pytest.mark.slow
def test_an_interruption_ends_workers_in_the_middle_of_a_block(at_work):
    process, workers = at_work
    for each in (process.pid, *workers):  # as a terminal does it
        os.kill(each, signal.SIGINT)
    _, told = process.communicate(timeout=10)
    assert process.returncode == -signal.SIGINT
    assert told.count("Traceback") == 1  # the script's own; workers keep still
    assert until(lambda: not any(alive(worker) for worker in workers), seconds=5)


@pytest.mark.slow
@pytest.mark.usefixtures("workers_find_tests")
def test_a_killed_worker_is_replaced_and_nothing_is_lost(case, tmp_path, in_one_process):
    out = tmp_path / "out"
    run_sweep(case, out, lambda: local_workers(2, work_on), solve=deadly_free_field)
    assert (tmp_path / "pids" / "victim").exists()
    assert (out / "sweep.nc").read_bytes() == in_one_process.read_bytes()


@pytest.mark.slow
@pytest.mark.usefixtures("workers_find_tests")
def test_workers_that_always_die_end_the_sweep(case, tmp_path, monkeypatch):
    monkeypatch.setenv("PIDS", str(tmp_path / "nowhere"))  # makes the stand-in fail
    with pytest.raises(FileNotFoundError):
        run_sweep(case, tmp_path / "out", lambda: local_workers(1, work_on), solve=slow_free_field)
    monkeypatch.setattr(sweep_run, "LOSSES", 0)
    monkeypatch.setenv("PIDS", str(tmp_path))
    with pytest.raises(RoundoverError, match="worker processes end as soon as they start"):
        run_sweep(
            case, tmp_path / "out", lambda: local_workers(1, work_on), solve=deadly_free_field
        )


@pytest.mark.slow
@pytest.mark.usefixtures("workers_find_tests")
def test_a_real_solver_gives_the_same_bytes_in_workers(tmp_path):
    case = swept_case(tmp_path / "case", OFFSETS.replace('"40 mm", ', ""))
    run_sweep(case, tmp_path / "one", inline)
    ac.sweep(case, tmp_path / "out", workers=2)
    files = [tmp_path / name / "sweep.nc" for name in ("one", "out")]
    assert files[0].read_bytes() == files[1].read_bytes()


# Dask says of itself what is to come; that is no concern of these tests.
DASK = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")


@pytest.mark.slow
@DASK
@pytest.mark.usefixtures("workers_find_tests")
def test_two_workers_of_a_cluster_give_the_same_and_one_may_be_killed(
    case, tmp_path, in_one_process
):
    pytest.importorskip("distributed")
    run_sweep(
        case,
        tmp_path / "out",
        lambda: cluster.cluster_workers("local", 2, work_on),
        solve=deadly_free_field,
    )
    assert (tmp_path / "pids" / "victim").exists()
    one, other = (open_prediction(path) for path in (in_one_process, tmp_path / "out" / "sweep.nc"))
    xr.testing.assert_allclose(one, other, rtol=1e-12)
    assert (one.reason == other.reason).all()


@pytest.mark.slow
@DASK
def test_a_cluster_that_cannot_be_reached_is_told(case, tmp_path, monkeypatch):
    pytest.importorskip("distributed")
    monkeypatch.setattr(cluster, "PATIENCE", 1)
    for address in ("tcp://127.0.0.1:9", "nonsense://x"):
        with pytest.raises(RoundoverError, match=r"cannot be reached.*running scheduler"):
            ac.sweep(case, tmp_path / "out", cluster=address)


def test_without_dask_the_way_out_is_told(case, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(RoundoverError, match=r"pip install 'roundover\[cluster\]'"):
        ac.sweep(case, tmp_path / "out", cluster="local")
