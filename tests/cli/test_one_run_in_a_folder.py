"""One command at a time works in a folder; whoever comes second is told so, and what to do."""

from __future__ import annotations

import errno
import fcntl
import os
import signal
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.conventions import RoundoverError
from acoustics.folders import only_one
from support.cases import CASES
from support.command_bench import Bench
from support.commands import commands_in, files_of
from support.sweeps import DESIGN, until

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="locks as Linux has")


def test_a_folder_is_held_by_one_and_free_afterwards(tmp_path):
    folder = tmp_path / "new" / "out"
    with (
        only_one(folder),
        pytest.raises(RoundoverError, match="out: this folder is in use"),
        only_one(folder),
    ):
        pass
    with only_one(folder):
        assert list(folder.iterdir()) == []  # no lock is left lying


def test_an_error_within_sets_it_free(tmp_path):
    with pytest.raises(ZeroDivisionError), only_one(tmp_path):
        raise ZeroDivisionError
    with only_one(tmp_path):
        pass


def test_where_nothing_can_be_locked_the_work_goes_on_and_it_is_said(tmp_path, monkeypatch, caplog):
    """As on some network disks, which answer with EBADF or ENOLCK (flock(2), NFS)."""

    def refuse(*_):
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    monkeypatch.setattr(fcntl, "flock", refuse)
    with only_one(tmp_path):
        (tmp_path / "file").write_text("written")
    (told,) = caplog.messages
    assert told.startswith(f"{tmp_path}: folders cannot be locked there")


def test_parts_of_processes_that_are_gone_are_swept_up(tmp_path):
    ended = os.fork()
    if not ended:
        os._exit(0)
    os.waitpid(ended, 0)
    left, others = tmp_path / f".a.nc.{ended}.part", tmp_path / f".b.nc.{os.getppid()}.part"
    mine = tmp_path / "download.part"
    for file in (left, others, mine):
        file.write_text("half")
    with only_one(tmp_path):
        assert set(tmp_path.iterdir()) == {others, mine}


@pytest.mark.parametrize(
    "command",
    [["predict"], ["drivers"], ["map", "--driver", "tweeter"], ["report"]],
    ids=lambda command: command[0],
)
def test_every_command_that_writes_is_refused_before_the_work(tmp_path, monkeypatch, command):
    def never(*_, **__):
        raise AssertionError("solved although the folder is in use")

    monkeypatch.setattr("acoustics.field.solve_field", never)
    case, out = tmp_path / "case.toml", tmp_path / "out"
    case.write_text(DESIGN.replace("[sweep]\n", ""), encoding="utf-8")
    with only_one(out):
        result = CliRunner().invoke(main, [*command, str(case), "--out", str(out)])
    assert result.exit_code == 2, result.output
    assert result.stderr.startswith(f"{out}: this folder is in use")
    assert "write to another folder with --out" in result.stderr


@pytest.mark.parametrize(
    ("command", "shipped", "work"),
    [
        ("box", "compact-centred", "acoustics.studies.box.study.box_study"),
        ("measure", "compact-measured", "acoustics.studies.measure.measure_study"),
    ],
    ids=("box", "measure"),
)
def test_studies_of_a_part_are_refused_before_the_work(
    tmp_path, monkeypatch, command, shipped, work
):
    def never(*_, **__):
        raise AssertionError("studied although the folder is in use")

    monkeypatch.setattr(work, never)
    out = tmp_path / "out"
    with only_one(out):
        result = CliRunner().invoke(main, [command, str(CASES / shipped), "--out", str(out)])
    assert result.exit_code == 2, result.output
    assert result.stderr.startswith(f"{out}: this folder is in use")


@pytest.fixture(scope="module")
def commands(tmp_path_factory):
    with commands_in(tmp_path_factory.mktemp("said")) as commands:
        yield commands


def stopped(process):
    status = Path(f"/proc/{process}/status").read_text(encoding="ascii")
    return "State:\tT" in status


@pytest.mark.slow
@pytest.mark.parametrize("command", ["predict", "sweep"])
def test_the_second_leaves_the_first_alone(commands, tmp_path, command):
    bench = Bench(commands, tmp_path, command)
    bench.begin()
    steps, whole = bench.whole()
    bench.put({})
    first = bench.start(at=steps // 2, sent=signal.SIGSTOP)
    assert until(lambda: stopped(first))
    before = files_of(bench.out)
    second = bench.run()
    assert second.code == 2
    assert second.stderr.startswith(f"{bench.out}: this folder is in use")
    assert files_of(bench.out) == before
    os.kill(first, signal.SIGCONT)
    assert commands.wait(first).code == 0
    assert files_of(bench.out) == whole
    assert bench.run().code == 0


@pytest.mark.slow
def test_a_folder_is_free_as_soon_as_its_command_is_killed(commands, tmp_path):
    bench = Bench(commands, tmp_path, "predict")
    bench.begin()
    steps, whole = bench.whole()
    assert bench.run(at=steps // 2).code == -signal.SIGKILL
    assert bench.run().code == 0
    assert files_of(bench.out) == whole
