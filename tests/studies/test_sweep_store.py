"""Whatever ends a sweep, what was done is kept, and the end is the same to the last byte."""

from __future__ import annotations

import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.studies.sweeps import run as front
from acoustics.studies.sweeps.figures import count_of
from acoustics.studies.sweeps.run import run_sweep
from acoustics.studies.sweeps.store import open_store
from acoustics.studies.sweeps.work import Done
from support.sweeps import CORNERS, DESIGN, OFFSETS, Counted, alive, inline, swept_case, until

TESTS = Path(__file__).parents[1]


def quick_figures(case, prediction):
    """Numbers of their own for every design, in no time."""
    return abs(prediction.arc_total.values).reshape(-1)[: count_of(case)]


@pytest.fixture(autouse=True)
def in_small_blocks(monkeypatch):
    monkeypatch.setattr("acoustics.studies.sweeps.work.figures_of", quick_figures)
    monkeypatch.setattr("acoustics.studies.sweeps.run.block_size", lambda *_: 1)


@pytest.fixture(scope="module")
def finished(tmp_path_factory):
    """Folder of an uninterrupted run."""
    folder = tmp_path_factory.mktemp("finished")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("acoustics.studies.sweeps.work.figures_of", quick_figures)
        patch.setattr("acoustics.studies.sweeps.run.block_size", lambda *_: 1)
        run_sweep(swept_case(folder, OFFSETS + CORNERS), folder / "out", inline, solve=Counted())
    return folder / "out"


@pytest.fixture
def case(tmp_path):
    return swept_case(tmp_path / "case", OFFSETS + CORNERS)


@pytest.fixture
def whole(finished, tmp_path):
    """Bytes of the answer of an uninterrupted run, a copy of which is in the folder whole."""
    shutil.copytree(finished, tmp_path / "whole")
    return (finished / "sweep.nc").read_bytes()


def blocks_in(folder):
    return sorted((folder / "blocks").glob("*.npz"))


def block_of(folder, point):
    return next(path for path in blocks_in(folder) if point in np.load(path)["numbers"])


def test_an_interrupted_sweep_goes_on_and_ends_alike(case, whole, tmp_path):
    out = tmp_path / "out"
    with pytest.raises(KeyboardInterrupt):
        run_sweep(case, out, inline, solve=Counted(most=2))
    assert not (out / "sweep.nc").exists()
    before = blocks_in(out)
    assert 8 <= len(before) <= 10  # two offsets, with each corner; one block may be in hand
    told = []
    again = Counted()
    run_sweep(case, out, inline, solve=again, progress=lambda done, of: told.append((done, of)))
    assert again.calls <= 2  # the last offset, and one that was not quite done
    assert told[0] == (len(before), 20)
    assert told[-1] == (20, 20)
    assert set(before) < set(blocks_in(out))
    assert (out / "sweep.nc").read_bytes() == whole


def test_a_finished_sweep_is_read_again_without_workers(case, whole, tmp_path):
    def no_workers():
        raise AssertionError("workers were called for")

    run_sweep(case, tmp_path / "whole", no_workers)
    assert (tmp_path / "whole" / "sweep.nc").read_bytes() == whole


@pytest.mark.parametrize("harm", ["flip", "cut", "empty", "rename"])
def test_a_damaged_block_is_told_and_computed_again(case, whole, tmp_path, harm, caplog):
    out = tmp_path / "whole"
    victim = block_of(out, 0)
    other = block_of(out, 1)
    data = bytearray(victim.read_bytes())
    if harm == "flip":
        data[len(data) // 2] ^= 1
    victim.write_bytes({"flip": data, "cut": data[:-100], "empty": b"", "rename": data}[harm])
    if harm == "rename":  # sound by itself, but not the answer to that question
        asked, content = other.stem.split("-")[1], victim.stem.split("-")[2]
        victim.rename(victim.with_name(f"block-{asked}-{content}.npz"))
    again = Counted()
    run_sweep(case, out, inline, solve=again)
    assert again.calls == 1
    assert len(blocks_in(out)) == 20
    assert (out / "sweep.nc").read_bytes() == whole
    (told,) = caplog.messages
    assert "this file is damaged, so what it held is computed anew" in told


def test_a_changed_case_is_refused_with_both_digests(case, whole, tmp_path):
    digest = front.sweep_digest(case, front.space_of(case.sweep))
    for design, sweep in (
        (DESIGN.replace("88.0", "87.0"), OFFSETS + CORNERS),
        (DESIGN.replace("at_most = 8.0", "at_most = 7.0"), OFFSETS + CORNERS),
        (DESIGN, OFFSETS.replace("40 mm", "41 mm") + CORNERS),
    ):
        changed = swept_case(tmp_path / "case", sweep, design)
        other = front.sweep_digest(changed, front.space_of(changed.sweep))
        with pytest.raises(RoundoverError, match=rf"{digest}.*{other}.*--out.*start anew"):
            run_sweep(changed, tmp_path / "whole", inline, solve=Counted())
    assert (tmp_path / "whole" / "sweep.nc").read_bytes() == whole


def test_another_title_is_the_same_sweep(whole, tmp_path):
    renamed = swept_case(
        tmp_path / "case", OFFSETS + CORNERS, DESIGN.replace("on a test bench", "in a test")
    )
    assert run_sweep(renamed, tmp_path / "whole", None).attrs["title"] == "Two-way in a test"


@pytest.mark.usefixtures("whole")
def test_blocks_of_another_solver_are_refused(case, tmp_path, monkeypatch):
    monkeypatch.setattr(front, "SOLVER", front.SOLVER + 1)
    with pytest.raises(RoundoverError, match="belong to another sweep"):
        run_sweep(case, tmp_path / "whole", inline, solve=Counted())


def test_blocks_alone_say_whose_they_are(case, whole, tmp_path):
    """Nothing else in the folder counts: there is no list of blocks that could be lost or wrong."""
    blocks = tmp_path / "whole" / "blocks"
    assert {path.suffix for path in blocks.iterdir()} == {".npz"}
    (blocks / "store.json").write_text('{"digest": "of something else"}')
    (blocks / "mine.npz").write_bytes(b"somebody's own")
    again = Counted()
    run_sweep(case, tmp_path / "whole", inline, solve=again)
    assert again.calls == 0
    assert (tmp_path / "whole" / "sweep.nc").read_bytes() == whole
    assert (blocks / "mine.npz").read_bytes() == b"somebody's own"


def test_blocks_of_another_sweep_beside_ones_own_stay(case, whole, tmp_path):
    out = tmp_path / "whole"
    changed = swept_case(tmp_path / "case", OFFSETS + CORNERS, DESIGN.replace("88.0", "87.0"))
    run_sweep(changed, tmp_path / "other", inline, solve=Counted())
    for block in blocks_in(tmp_path / "other")[:3]:
        shutil.copy(block, out / "blocks")
    again = Counted()
    run_sweep(case, out, inline, solve=again)
    assert again.calls == 0
    assert (out / "sweep.nc").read_bytes() == whole
    assert len(blocks_in(out)) == 23


def test_a_second_process_is_refused(case, tmp_path):
    out = tmp_path / "out"
    with (
        open_store(out / "blocks", "1" * 64, "somebody else"),
        pytest.raises(RoundoverError, match=r"out/blocks: this folder is in use.*wait until"),
    ):
        run_sweep(case, out, inline, solve=Counted())


def test_the_lock_ends_with_the_process_that_held_it(tmp_path):
    hold = (
        "import sys, time; from pathlib import Path; "
        "from acoustics.studies.sweeps.store import open_store\n"
        f"with open_store(Path({str(tmp_path)!r}), '1' * 64, 'x'):\n"
        "    print(flush=True); time.sleep(60)"
    )
    with subprocess.Popen([sys.executable, "-c", hold], stdout=subprocess.PIPE) as process:
        process.stdout.readline()
        with (
            pytest.raises(RoundoverError, match="in use"),
            open_store(tmp_path, "1" * 64, "x"),
        ):
            pass
        process.kill()
        process.wait()
    with open_store(tmp_path, "1" * 64, "x"):
        pass


def test_a_full_disk_loses_the_block_in_hand_only(case, whole, tmp_path):
    out = tmp_path / "out"
    with pytest.raises(KeyboardInterrupt):
        run_sweep(case, out, inline, solve=Counted(most=2))
    before = blocks_in(out)
    assert before
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (200, limits[1]))
    try:
        with pytest.raises(RoundoverError, match="File too large"):
            run_sweep(case, out, inline, solve=Counted())
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert blocks_in(out) == before
    run_sweep(case, out, inline, solve=Counted())
    assert (out / "sweep.nc").read_bytes() == whole


def test_left_overs_of_a_killed_write_are_swept_up(tmp_path):
    with subprocess.Popen([sys.executable, "-c", ""]) as gone:
        gone.wait()
    (tmp_path / f".something.npz.{gone.pid}.part").write_bytes(b"half a block")
    with open_store(tmp_path, "1" * 64, "x") as store:
        store.write(Done((0,), np.ones((1, 3)), ("",), {}))
    assert [path.suffix for path in tmp_path.iterdir()] == [".npz"]


def test_a_folder_that_cannot_be_made_is_refused(case, tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(RoundoverError, match="cannot be written"):
        run_sweep(case, tmp_path / "file", inline, solve=Counted())


KILLED = f"""
import os, signal, sys
sys.path.insert(0, {str(TESTS)!r})
from pathlib import Path
from acoustics.studies.sweeps import run as sweep_run
from acoustics.studies.sweeps import work as sweep_work
from studies.test_sweep_store import quick_figures
from support.sweeps import Counted, inline
from acoustics.case import read_case

sweep_work.figures_of = quick_figures
sweep_run.block_size = lambda *_: 1
case, out = read_case(sys.argv[1]), Path(sys.argv[2])
sweep_run.run_sweep(case, out / "first", inline, solve=Counted())  # all that is imported late
print(flush=True)
for _ in sys.stdin:
    process = os.fork()
    if not process:
        sweep_run.run_sweep(case, out / "killed", inline, solve=Counted())
        os._exit(0)
    print(process, flush=True)
    os.waitpid(process, 0)
"""
"""Forks a sweep for every line it reads: many are killed for the price of one start."""


def killed_at_random(case, folder, count, seed):
    """Kill a sweep with SIGKILL at this many instants after its first block; bytes of the end."""
    draw = random.Random(seed)
    script = folder / "killed.py"
    script.write_text(KILLED)
    killed = folder / "killed"
    given = [sys.executable, str(script), case.path, str(folder)]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "text": True}
    hit = 0
    with subprocess.Popen(given, **pipes) as forks:
        forks.stdout.readline()
        start = time.monotonic()
        while hit < count:
            before = len(blocks_in(killed)) if killed.exists() else 0
            if before > 15:  # soon done: begin anew
                shutil.rmtree(killed)
                before = 0
            print(file=forks.stdin, flush=True)
            process = int(forks.stdout.readline())
            assert until(lambda least=before: len(blocks_in(killed)) > least)
            time.sleep(draw.uniform(0.0, 0.1))
            os.kill(process, signal.SIGKILL)
            hit += not (killed / "sweep.nc").exists()
            assert until(lambda p=process: not alive(p))
            assert time.monotonic() - start < 120
        forks.stdin.close()
    run_sweep(case, killed, inline, solve=Counted())
    return (killed / "sweep.nc").read_bytes()


@pytest.mark.slow
def test_killed_at_random_it_goes_on_and_ends_alike(case, whole, tmp_path):
    assert killed_at_random(case, tmp_path, 4, seed=1) == whole


@pytest.mark.slow
def test_killed_at_twenty_random_instants_it_goes_on_and_ends_alike(case, whole, tmp_path):
    assert killed_at_random(case, tmp_path, 20, seed=2) == whole
