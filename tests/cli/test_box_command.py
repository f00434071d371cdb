"""`roundover box` writes what it promises and refuses in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.report import box_text
from acoustics.storage import open_prediction
from support.unrendered import without_pictures

CASES = Path(__file__).parents[2] / "cases"
COMPACT = CASES / "compact-centred"  # its woofer is in a vented box


def invoke(*arguments):
    return CliRunner().invoke(main, ["box", *map(str, arguments)])


def test_it_writes_dataset_figures_and_summary(tmp_path, monkeypatch):
    without_pictures(monkeypatch)
    result = invoke(COMPACT, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    folder = tmp_path / "out"
    names = ("box", "impedance-and-movement")
    sheets = {f"figures/{name}.{end}" for name in names for end in ("png", "svg")}
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    assert there == {"box.nc", "summary.txt", *sheets}
    text = (folder / "summary.txt").read_text(encoding="utf-8")
    assert text in result.stdout
    assert text == box_text(open_prediction(folder / "box.nc"))
    assert "2 figures (PNG and SVG)" in result.stdout


@pytest.mark.slow
def test_it_looks_for_a_box(tmp_path):
    result = invoke(COMPACT, "--find", "deep", "--within", "20 l", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    folder = tmp_path / "out"
    study = open_prediction(folder / "box.nc")
    assert study.attrs["find"] == "deep"
    assert float(study.net_volume[0]) <= 0.020 * (1 + 1e-9)
    assert "within 20 l net, the deepest is" in result.stdout
    # 184 mm × 344 mm × 264 mm are inside walls of 18 mm.
    assert "The cabinet has 16.7 l inside" in " ".join(result.stdout.split())


def test_options_that_go_with_find(tmp_path):
    result = invoke(COMPACT, "--within", "20 l", "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "go with --find" in result.stderr
    unitless = invoke(COMPACT, "--find", "deep", "--within", "20", "--out", tmp_path / "out")
    assert unitless.exit_code == 2
    assert "20 has no unit" in unitless.stderr


def test_a_case_without_enclosures_is_told_what_to_add(tmp_path):
    result = invoke(CASES / "open-baffle", "--out", tmp_path / "there")
    assert result.exit_code == 2
    assert "there is no box to study; add a table [enclosures.NAME]" in result.stderr
    assert not (tmp_path / "there").exists()
