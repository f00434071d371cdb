"""While the files of a command are being written a note lies beside them, and if it is ended."""

from __future__ import annotations

import click
import pytest
from click.testing import CliRunner

from acoustics.cli.together import together
from acoustics.conventions import RoundoverError
from acoustics.files import write_text


def run(folder, between, name="plan"):
    """A command that writes two files, with something between them."""

    @click.command(name)
    def command():
        with together(folder):
            write_text("new", folder / "a.txt")
            between()
            write_text("new", folder / "b.txt")

    return CliRunner().invoke(command, [], catch_exceptions=True)


def names(folder):
    return {path.name for path in folder.iterdir()}


def end():
    raise KeyboardInterrupt


def test_whole_or_marked(tmp_path):
    (tmp_path / "b.txt").write_text("old")
    run(tmp_path, end)
    assert names(tmp_path) == {"a.txt", "b.txt", "UNFINISHED-plan.txt"}
    assert (tmp_path / "b.txt").read_text() == "old"
    said = (tmp_path / "UNFINISHED-plan.txt").read_text()
    assert "some may be of this run and some of an earlier one" in " ".join(said.split())
    assert "Run the same command again" in said
    run(tmp_path, lambda: None)
    assert names(tmp_path) == {"a.txt", "b.txt"}


def test_the_note_is_there_before_any_file(tmp_path):
    (tmp_path / "a.txt").mkdir()  # so that it cannot be written
    result = run(tmp_path, end)
    assert isinstance(result.exception, RoundoverError)
    assert names(tmp_path) == {"a.txt", "UNFINISHED-plan.txt"}


def test_another_command_does_not_take_the_note_away(tmp_path):
    run(tmp_path, end, "plan")
    run(tmp_path, lambda: None, "check")
    assert "UNFINISHED-plan.txt" in names(tmp_path)


@pytest.mark.parametrize("there", ["file", "nothing"])
def test_where_the_note_cannot_be_written_nothing_is(tmp_path, there):
    (tmp_path / "UNFINISHED-plan.txt").mkdir()
    if there == "file":
        (tmp_path / "a.txt").write_text("old")
    result = run(tmp_path, lambda: None)
    assert isinstance(result.exception, RoundoverError)
    assert "UNFINISHED-plan.txt: cannot be written" in str(result.exception)
    assert not (tmp_path / "a.txt").exists() or (tmp_path / "a.txt").read_text() == "old"
