"""`roundover sweep` writes what it promises, goes on where it was, and says what is wrong."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.storage import open_prediction
from support.sweeps import CORNERS, DESIGN, FINE, OFFSETS, Counted, inline, swept_case


@pytest.fixture
def solver(monkeypatch):
    """The free-field stand-in, with workers in this process."""
    counted = Counted()
    monkeypatch.setattr("acoustics.field.solve_field", counted)
    monkeypatch.setattr("acoustics.studies.sweeps.run.local_workers", lambda *_: inline())
    return counted


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return lambda *arguments: CliRunner().invoke(main, ["sweep", *map(str, arguments)])


def test_it_writes_dataset_summary_and_figure_and_goes_on(run, tmp_path, solver):
    swept_case(tmp_path / "bench", OFFSETS, FINE)
    solver.most = 2
    assert run("bench", "--out", "there").exit_code == 130
    assert not (tmp_path / "there" / "sweep.nc").exists()
    solver.most = 10
    result = run("bench", "--out", "there")
    assert result.exit_code == 0, result.output
    assert result.stderr == ""  # no progress where nobody watches
    assert solver.calls < 6  # what was done before the interruption is not done again
    found = open_prediction(tmp_path / "there" / "sweep.nc")
    assert dict(found.sizes) == {"offset": 4, "aim": 1}
    summary = (tmp_path / "there" / "summary.txt").read_text(encoding="utf-8")
    assert summary in result.stdout
    assert "4 points; 1 could not be predicted." in " ".join(summary.split())
    assert "- 1: drivers.tweeter.position: the driver is off the front face" in summary
    assert "best at" in summary
    assert list((tmp_path / "there" / "figures").glob("*.png"))


def test_the_default_folder_has_the_cases_name(run, tmp_path, solver):
    swept_case(tmp_path / "bench", CORNERS.replace('stop = "2.6', 'stop = "1.8'))
    result = run("bench")
    assert result.exit_code == 0, result.output
    assert solver.calls == 1
    assert (tmp_path / "roundover-out" / "bench-sweep" / "sweep.nc").is_file()
    assert "0 figures" in result.stdout  # one point moves nothing


def test_a_case_without_a_sweep_is_refused(run, tmp_path):
    (tmp_path / "case.toml").write_text(DESIGN.replace("[sweep]", ""))
    result = run("case.toml")
    assert result.exit_code == 2
    assert "the case has no sweep; add a table [sweep]" in result.stderr


def test_an_unknown_key_is_told_with_file_line_and_key(run, tmp_path):
    text = DESIGN + OFFSETS.replace("tweeter.position", "twetter.position")
    (tmp_path / "case.toml").write_text(text)
    line = text[: text.index("key = ")].count("\n") + 1
    result = run("case.toml")
    assert result.exit_code == 2
    assert result.stderr.startswith(f"case.toml:{line}: sweep.over.1.key: there is no 'twetter'")
    assert not (tmp_path / "roundover-out").exists()


@pytest.mark.usefixtures("solver")
def test_a_store_of_another_case_is_refused(run, tmp_path):
    swept_case(tmp_path / "bench", CORNERS)
    assert run("bench", "--out", "there").exit_code == 0
    swept_case(tmp_path / "bench", CORNERS, DESIGN.replace("300 mm", "310 mm"))
    result = run("bench", "--out", "there")
    assert result.exit_code == 2
    assert "belong to another sweep (digest " in result.stderr
    assert "Traceback" not in result.output
