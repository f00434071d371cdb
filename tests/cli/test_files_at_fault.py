"""Whatever ends a command or stands in its way, every file is the old one or the new one, whole.

Commands are real processes. They are killed just before a step in their folder that is drawn from a
seed, at the very byte at which a file grows too large, or find a disk that is full or may only be
read. The field solver is a stand-in, and few figures are drawn.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
from contextlib import contextmanager

import pytest

from acoustics.cli.together import sign_of
from support.command_bench import KEPT, PLAIN, Bench
from support.commands import commands_in, files_of, parts_in

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="signals and disks of Linux"),
]


@pytest.fixture(scope="module")
def commands(tmp_path_factory):
    with commands_in(tmp_path_factory.mktemp("said")) as commands:
        yield commands


@pytest.fixture(scope="module")
def benches(commands, tmp_path_factory):
    names = ("predict", "report", "sweep", "tolerance")
    return {name: Bench(commands, tmp_path_factory.mktemp(name), name) for name in names}


@pytest.fixture
def bench(benches):
    def begun(command):
        benches[command].begin()
        return benches[command]

    return begun


@pytest.mark.parametrize(("command", "deaths"), [("predict", 8), ("report", 3)])
def test_killed_at_any_step_it_leaves_old_or_new_files(bench, command, deaths):
    bench = bench(command)
    _, old = bench.whole()
    bench.change()
    steps, new = bench.whole()
    assert old.keys() == new.keys()
    assert old != new
    mixed = 0
    for at in random.Random(21).sample(range(2, steps + 1), deaths):
        bench.put(old)
        assert bench.run(at=at).code == -signal.SIGKILL
        there = files_of(bench.out)
        left = {name: content for name, content in there.items() if name in old}
        assert left.keys() == old.keys()
        assert all(content in (old[name], new[name]) for name, content in left.items())
        # Of which run each file is, can be told as long as all are of one.
        assert left in (old, new) or sign_of(command) in there
        mixed += left not in (old, new)
    assert mixed
    assert bench.run().code == 0
    assert files_of(bench.out) == new


@pytest.mark.parametrize(("command", "deaths"), [("sweep", 6), ("tolerance", 4)])
def test_killed_again_and_again_it_goes_on_and_ends_alike(bench, command, deaths):
    bench = bench(command)
    _, whole = bench.whole()
    bench.put({})
    draw, before = random.Random(22), set()
    for _ in range(deaths):
        assert bench.run(at=draw.randrange(8, 24)).code == -signal.SIGKILL
        assert bench.kept() >= before  # what was done stays done
        before = bench.kept()
    assert before
    ended = bench.run()
    assert ended.code == 0
    assert ended.stderr == ""  # nothing was damaged
    assert files_of(bench.out) == whole


@pytest.mark.parametrize("command", ["predict", "sweep", "tolerance", "report"])
def test_killed_in_the_middle_of_a_file_it_leaves_none_that_is_half_there(bench, command):
    """The system ends the process at the first byte beyond a limit."""
    bench = bench(command)
    _, whole = bench.whole()
    if command in KEPT:
        shutil.rmtree(bench.out / KEPT[command])
    largest = max(map(len, whole.values()))
    for limit in (3_000, largest - 1):
        assert bench.run(limit=limit, dies=True).code == -signal.SIGXFSZ
        (part,) = parts_in(bench.out)
        assert part.stat().st_size == limit
        whole_now = written_by(bench)
        del whole_now[str(part.relative_to(bench.out))]
        assert whole_now.items() <= whole.items()
    assert bench.run().code == 0
    assert files_of(bench.out) == whole


def written_by(bench):
    """What a command has written, but for the note that it is not done."""
    there = files_of(bench.out)
    there.pop(sign_of(bench.command), None)
    return there


def without_a_word_too_many(ended):
    """One message, which says what to do, and no traceback."""
    assert ended.code == 2
    assert "Traceback" not in ended.stderr
    assert len(ended.stderr.splitlines()) == 1


@pytest.mark.parametrize("command", ["predict", "sweep", "tolerance", "report"])
def test_a_file_that_may_not_grow_is_told(bench, command):
    bench = bench(command)
    _, whole = bench.whole()
    ended = bench.run(limit=max(map(len, whole.values())) - 1)
    without_a_word_too_many(ended)
    assert "cannot be written (File too large); free some space, or lift the limit" in ended.stderr
    assert written_by(bench) == whole
    assert sign_of(command) in files_of(bench.out)


@contextmanager
def mounted(*arguments):
    """A disk, where whoever runs this may mount one."""
    if os.geteuid() or not shutil.which("mount"):
        pytest.skip("only root can mount a disk")
    place = arguments[-1]
    if subprocess.run(["mount", *map(str, arguments)], capture_output=True, check=False).returncode:
        pytest.skip("nothing can be mounted here")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


@pytest.mark.parametrize("command", ["predict", "sweep", "tolerance", "report"])
def test_a_full_disk_is_told_and_loses_the_file_in_hand_alone(bench, command):
    bench = bench(command)
    _, whole = bench.whole()
    shutil.rmtree(bench.out)
    bench.out.mkdir()
    size = sum(map(len, whole.values())) * 3 // 4
    with mounted("-t", "tmpfs", "-o", f"size={size}", "tmpfs", bench.out):
        ended = bench.run()
        without_a_word_too_many(ended)
        assert "cannot be written (No space left on device); the disk is full: " in ended.stderr
        assert str(bench.out) in ended.stderr
        left = written_by(bench)
        assert left or command == "predict"  # whose first file is nearly all there is
        assert left.items() <= whole.items()
        before = bench.kept() if command in KEPT else set()
        subprocess.run(["mount", "-o", "remount,size=64m", str(bench.out)], check=True)
        assert bench.run().code == 0
        assert files_of(bench.out) == whole
        assert before <= (bench.kept() if command in KEPT else set())


def test_a_disk_that_may_only_be_read_is_told_before_the_work(bench):
    bench = bench("predict")
    _, whole = bench.whole()
    bench.change()
    with mounted("--bind", bench.out, bench.out):
        subprocess.run(["mount", "-o", "remount,ro,bind", str(bench.out)], check=True)
        ended = bench.run()
    without_a_word_too_many(ended)
    assert f"{bench.out}: files cannot be written there (Read-only file system)" in ended.stderr
    assert files_of(bench.out) == whole


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_of_somebody_else_is_told_before_the_work(bench):
    bench = bench("predict")
    bench.out.mkdir()
    bench.out.chmod(0o555)
    ended = bench.run()
    bench.out.chmod(0o755)
    without_a_word_too_many(ended)
    assert "files cannot be written there (Permission denied)" in ended.stderr


@pytest.mark.parametrize(
    ("command", "sent"),
    [
        ("predict", signal.SIGTERM),
        ("predict", signal.SIGINT),
        ("predict", signal.SIGHUP),
        ("sweep", signal.SIGTERM),
        ("tolerance", signal.SIGTERM),
        ("report", signal.SIGTERM),
    ],
)
def test_asked_to_end_it_tidies_up(bench, command, sent):
    bench = bench(command)
    steps, whole = bench.whole()
    for at in random.Random(23).sample(range(2, steps + 1), 2):
        bench.put({})
        ended = bench.run(at=at, sent=sent)
        assert ended.code == 128 + sent
        assert ended.stderr == ""
        assert written_by(bench).items() <= whole.items()  # so no part is among them
    assert bench.run().code == 0
    assert files_of(bench.out) == whole


def test_a_save_of_the_page_that_is_killed_leaves_the_old_case_or_the_new_one(commands, tmp_path):
    file = tmp_path / "case.toml"
    file.write_text(PLAIN, encoding="utf-8")
    how = {"watched": tmp_path}
    ended = commands.run("page-save", file, 0.12, **how)
    assert ended.code == 0, ended.stderr
    new = file.read_text(encoding="utf-8")
    assert '"120 mm"' in new
    found = []
    for at in range(1, ended.steps + 1):
        file.write_text(PLAIN, encoding="utf-8")
        assert commands.run("page-save", file, 0.12, at=at, **how).code == -signal.SIGKILL
        found.append(file.read_text(encoding="utf-8"))
    file.write_text(PLAIN, encoding="utf-8")
    assert commands.run("page-save", file, 0.12, limit=300, dies=True, **how).code < 0
    found.append(file.read_text(encoding="utf-8"))
    assert set(found) <= {PLAIN, new}
    assert parts_in(tmp_path)
    assert commands.run("page-save", file, 0.12, **how).code == 0
    assert files_of(tmp_path) == {"case.toml": new.encode()}


def test_a_save_of_the_page_on_a_full_disk_is_told(commands, tmp_path):
    file = tmp_path / "case.toml"
    file.write_text(PLAIN, encoding="utf-8")
    ended = commands.run("page-save", file, 0.12, limit=300, watched=tmp_path)
    assert ended.code == 1
    assert "case.toml: cannot be written (File too large)" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert files_of(tmp_path) == {"case.toml": PLAIN.encode()}
