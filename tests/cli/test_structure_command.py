"""`roundover structure` writes what it promises and refuses in words."""

from __future__ import annotations

from pathlib import Path

import pytest
import xarray as xr
from click.testing import CliRunner

import acoustics.figures.structure_sheets as sheets
import acoustics.studies.structure as studies
from acoustics.cli.main import main
from acoustics.figures.structure_sheets import structure_sheets
from acoustics.report import boards_csv, structure_text
from support.structure_found import hand_made, small_case

CASES = Path(__file__).parents[2] / "cases"
SHEETS = ("walls", "boards")
"""that are drawn here: tests of the figures draw all of them"""


def invoke(*arguments):
    return CliRunner().invoke(main, ["structure", *map(str, arguments)])


def files_in(folder):
    return {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}


def test_it_writes_dataset_summary_boards_and_figures(tmp_path, monkeypatch):
    case = small_case(tmp_path)
    found = hand_made(case)
    monkeypatch.setattr(studies, "structure_study", lambda case, progress: found)
    monkeypatch.setattr(studies, "structure_dataset", lambda *_: xr.Dataset())
    every = structure_sheets(case)
    monkeypatch.setattr(
        sheets, "structure_sheets", lambda _: {name: every[name] for name in SHEETS}
    )
    result = invoke(tmp_path, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    folder = tmp_path / "out"
    figures = {f"figures/{name}.{end}" for name in SHEETS for end in ("png", "svg")}
    assert files_in(folder) == {"structure.nc", "summary.txt", "boards.csv", *figures}
    text = (folder / "summary.txt").read_text(encoding="utf-8")
    assert text == structure_text(case, found)
    assert text in result.stdout
    assert (folder / "boards.csv").read_bytes().decode() == boards_csv(found.cut_list)
    assert "2 figures (PNG and SVG)" in result.stdout


@pytest.mark.slow
def test_a_worked_design_is_answered(tmp_path):
    result = invoke(CASES / "floorstander", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    text = " ".join(result.stdout.split())
    # Its inside is parted into chambers, so nothing is told of the air, and it says why.
    assert "Not told: the inside is parted into the enclosures middle and bass" in text
    assert "figures/standing-waves.png" not in files_in(tmp_path / "out")
    assert "A cabinet weighs" in text


def test_an_open_baffle_has_no_walls_to_tell_of(tmp_path):
    result = invoke(CASES / "open-baffle", "--out", tmp_path / "there")
    assert result.exit_code == 2
    assert "a plate is an open baffle" in result.stderr
    assert not (tmp_path / "there").exists()


def test_walls_of_unknown_thickness_are_told_what_to_add(tmp_path):
    text = (
        'title = "Thin"\n[cabinet]\nwidth = "160 mm"\nheight = "260 mm"\ndepth = "200 mm"\n'
        'base_height = "600 mm"\n[drivers.wide]\npiston_diameter = "60 mm"\n'
        'frame_diameter = "90 mm"\nposition = ["0 mm", "40 mm"]\nsensitivity = 86.0\n'
        '[seat]\ndistance = "2.5 m"\near_heights = ["0.9 m"]\n'
    )
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    result = invoke(tmp_path, "--out", tmp_path / "there")
    assert result.exit_code == 2
    assert "cabinet.wall_thickness: how thick the walls are is not stated" in result.stderr
    assert not (tmp_path / "there").exists()
