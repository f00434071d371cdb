"""`roundover report` writes what it promises, in its folder, and refuses in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.cli.report import _verification
from acoustics.conventions import RoundoverError

CASES = Path(__file__).parents[2] / "cases"


def invoke(*arguments):
    return CliRunner().invoke(main, ["report", *map(str, arguments)])


def files_in(folder):
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


@pytest.mark.slow
def test_it_writes_all_papers_and_nothing_beside_them(tmp_path):
    result = invoke(CASES / "compact-passive", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert {path.name for path in tmp_path.iterdir()} == {"out"}
    files = files_in(tmp_path / "out")
    assert {
        "report.html", "report.pdf", "summary.txt", "data/prediction.nc",
        "drawings/drawings.txt", "drawings/parts.csv", "data/README.txt",
    } <= files  # fmt: skip
    assert sum(name.endswith(".nc") for name in files) == 1  # large, so it is there once
    summary = (tmp_path / "out" / "summary.txt").read_text(encoding="utf-8")
    assert summary in result.stdout
    assert "report.html" in result.stdout


def test_a_folder_in_the_way_is_named_before_any_work(tmp_path):
    (tmp_path / "out" / "report.html").mkdir(parents=True)
    result = invoke(CASES / "compact-passive", "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "report.html: a folder stands where a file is to be written" in result.stderr


def test_a_missing_case_is_told(tmp_path):
    result = invoke(tmp_path / "none.toml")
    assert result.exit_code == 2
    assert "none.toml" in result.stderr
    assert "Traceback" not in result.output


def test_a_damaged_verification_is_told_and_left_out(make_case, tmp_path, capsys):
    """Unless it was named: then it is refused."""
    usual = tmp_path / "verification.nc"
    usual.write_bytes(b"half a file")
    assert _verification(make_case(), None, usual) is None
    told = capsys.readouterr().err
    assert told.startswith(f"{usual}: ")
    assert "The report is written without it." in told
    with pytest.raises(RoundoverError, match=r"verification\.nc: "):
        _verification(make_case(), usual, usual)
