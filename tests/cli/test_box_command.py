"""`roundover box` writes what it promises and refuses in words."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

import acoustics.case
from acoustics.cli.main import main
from acoustics.report import box_text
from acoustics.storage import open_prediction
from support.boxes import FS, parameters, vented

COMPACT = Path(__file__).parents[2] / "cases" / "compact-centred"


def invoke(*arguments):
    return CliRunner().invoke(main, ["box", *map(str, arguments)])


@pytest.fixture
def made(monkeypatch):
    """A vented box made by hand in place of a file."""
    case = vented(parameters(FS, 1 / math.sqrt(4 + 2 * math.sqrt(2))), math.sqrt(2), 1.0)
    driver = replace(case.drivers[0], most_displacement=0.005, power=60.0)
    case = replace(case, drivers=(driver,))
    monkeypatch.setattr(acoustics.case, "read_case", lambda _: case)
    return case


def test_it_writes_dataset_figures_and_summary(made, tmp_path):
    result = invoke("case.toml", "--out", tmp_path)
    assert result.exit_code == 0, result.output
    names = ("box", "impedance-and-movement")
    sheets = {f"figures/{name}.{end}" for name in names for end in ("png", "svg")}
    there = {str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*") if path.is_file()}
    assert there == {"box.nc", "summary.txt", *sheets}
    text = (tmp_path / "summary.txt").read_text(encoding="utf-8")
    assert text in result.stdout
    assert text == box_text(open_prediction(tmp_path / "box.nc"))
    assert "2 figures (PNG and SVG)" in result.stdout


def test_it_looks_for_a_box(made, tmp_path):
    result = invoke("case.toml", "--find", "deep", "--within", "20 l", "--out", tmp_path)
    assert result.exit_code == 0, result.output
    study = open_prediction(tmp_path / "box.nc")
    assert study.attrs["find"] == "deep"
    assert float(study.net_volume[0]) <= 0.020 * (1 + 1e-9)
    assert "within 20 l net, the deepest is" in result.stdout


def test_options_that_go_with_find(made, tmp_path):
    result = invoke("case.toml", "--within", "20 l", "--out", tmp_path)
    assert result.exit_code == 2
    assert "go with --find" in result.stderr
    unitless = invoke("case.toml", "--find", "deep", "--within", "20", "--out", tmp_path)
    assert unitless.exit_code == 2
    assert "20 has no unit" in unitless.stderr


def test_a_case_without_enclosures_is_told_what_to_add(tmp_path):
    result = invoke(COMPACT, "--out", tmp_path / "there")
    assert result.exit_code == 2
    assert "there is no box to study; add a table [enclosures.NAME]" in result.stderr
    assert not (tmp_path / "there").exists()
