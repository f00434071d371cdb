"""A file appears under its name when it is whole and on the disk; else it is told why not."""

from __future__ import annotations

import errno
import os

import pytest

from acoustics.conventions import RoundoverError
from acoustics.files import WAYS_OUT, complete_file, remove_left_parts, write_text

POSIX = pytest.mark.skipif(os.name != "posix", reason="processes are asked after as POSIX has it")


@pytest.fixture
def gone():
    """Number of a process that has ended."""
    process = os.fork()
    if not process:
        os._exit(0)
    os.waitpid(process, 0)
    return process


def test_it_is_on_the_disk_before_it_gets_its_name(tmp_path, monkeypatch):
    """A name may reach the disk before the content does (rename and fsync, POSIX.1)."""
    order, fsync, replace = [], os.fsync, os.replace
    monkeypatch.setattr(os, "fsync", lambda file: order.append("content") or fsync(file))
    monkeypatch.setattr(os, "replace", lambda *both: order.append("name") or replace(*both))
    write_text("whole", tmp_path / "text.txt")
    assert order == ["content", "name"]
    assert (tmp_path / "text.txt").read_text() == "whole"


@pytest.mark.parametrize("number", [errno.EDQUOT, errno.ENOSPC, errno.EIO])
def test_what_a_disk_says_in_the_end_alone_is_heard(tmp_path, monkeypatch, number):
    """Network disks, and those that put off finding room, say no when all is to be written."""
    target = write_text("old", tmp_path / "text.txt")

    def refuse(_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(RoundoverError) as told:
        write_text("new", target)
    assert str(told.value) == (
        f"{target}: cannot be written ({os.strerror(number)}); {WAYS_OUT[number]}"
    )
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("number", [errno.EINVAL, errno.ENOTSUP])
def test_disks_that_know_no_such_thing_are_written_all_the_same(tmp_path, monkeypatch, number):
    def refuse(_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "fsync", refuse)
    assert write_text("new", tmp_path / "text.txt").read_text() == "new"


def test_a_folder_of_that_name_is_told(tmp_path):
    (tmp_path / "text.txt").mkdir()
    with pytest.raises(RoundoverError, match=r"text\.txt: cannot be written .*; a folder bears"):
        write_text("new", tmp_path / "text.txt")
    assert [path.name for path in tmp_path.iterdir()] == ["text.txt"]


def test_a_name_that_is_too_long_is_told(tmp_path):
    with pytest.raises(RoundoverError, match=r"cannot be written .*a name that is shorter"):
        write_text("new", tmp_path / ("x" * 300))


@POSIX
def test_parts_of_the_same_file_go_when_their_process_is_gone(tmp_path, gone):
    left = tmp_path / f".text.txt.{gone}.part"
    others = [tmp_path / f".text.txt.{os.getppid()}.part", tmp_path / f".other.txt.{gone}.part"]
    for part in (left, *others):
        part.write_text("half")
    write_text("whole", tmp_path / "text.txt")
    assert set(tmp_path.iterdir()) == {*others, tmp_path / "text.txt"}


@POSIX
@pytest.mark.parametrize(
    "name", ["text.txt.{}.part", ".text.txt.part", ".text.txt.x{}.part", ".text.txt.{}.part.gz"]
)
def test_files_that_are_no_parts_stay(tmp_path, gone, name):
    file = tmp_path / name.format(gone)
    file.write_text("somebody's own")
    remove_left_parts(tmp_path)
    assert file.exists()


@POSIX
def test_a_process_of_a_number_that_cannot_be_is_no_error(tmp_path):
    (tmp_path / ".text.txt.9999999999.part").write_text("half")
    remove_left_parts(tmp_path)


def test_what_goes_wrong_within_leaves_nothing(tmp_path):
    def fail(part):
        part.write_text("half")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt), complete_file(tmp_path / "new" / "text.txt") as part:
        fail(part)
    assert list((tmp_path / "new").iterdir()) == []
