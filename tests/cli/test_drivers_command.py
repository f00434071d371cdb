"""`roundover drivers` prints whether drivers go together, writes on request, refuses in words."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from click.testing import CliRunner

from acoustics.cli.main import main

CASES = Path(__file__).parents[2] / "cases"


@pytest.fixture(autouse=True)
def quick_solver(monkeypatch, solve_free_field):
    monkeypatch.setattr("acoustics.field.solve_field", solve_free_field)


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run the command in an empty folder."""
    monkeypatch.chdir(tmp_path)
    return lambda *arguments: CliRunner().invoke(main, ["drivers", *map(str, arguments)])


@pytest.mark.parametrize("name", ["compact-centred", "floorstander", "open-baffle"])
def test_it_prints_the_report_and_writes_nothing(run, tmp_path, name):
    result = run(CASES / name)
    assert result.exit_code == 0, result.output
    assert result.stderr == ""
    assert "Do these drivers go together in this cabinet?" in result.stdout
    assert "What this rests on" in result.stdout
    assert not list(tmp_path.iterdir())


def test_it_writes_text_and_table(run, tmp_path):
    result = run(CASES / "floorstander", "--out", "there")
    assert result.exit_code == 0, result.output
    folder = tmp_path / "there"
    assert sorted(path.name for path in folder.iterdir()) == ["drivers.csv", "drivers.txt"]
    assert (folder / "drivers.txt").read_text(encoding="utf-8") in result.stdout
    with (folder / "drivers.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    spacing = {row["subject"]: row for row in rows if row["check"] == "spacing"}
    assert set(spacing) == {"midrange and tweeter", "woofer and midrange"}
    # 115 mm at 2.8 kHz and 343.2 m/s (20 °C).
    assert float(spacing["midrange and tweeter"]["figure"]) == pytest.approx(0.9382, abs=1e-4)
    assert "Written to there: drivers.txt, drivers.csv." in result.stdout


def test_a_folder_that_cannot_be_written_is_found_first(run, tmp_path, monkeypatch):
    def never(*_, **__):
        raise AssertionError("solved before the folder was tried")

    monkeypatch.setattr("acoustics.studies.compatibility", never)
    (tmp_path / "there").write_text("a file")
    result = run(CASES / "floorstander", "--out", "there")
    assert result.exit_code == 2
    assert "choose another folder with --out" in result.stderr


def test_a_case_that_is_not_there_is_said_in_words(run):
    result = run("nowhere")
    assert result.exit_code == 2
    assert "nowhere" in result.stderr
    assert "Traceback" not in result.output
