"""`roundover box` writes what it promises and refuses in words."""

from __future__ import annotations

import gc
from pathlib import Path

import pytest
from click.testing import CliRunner

from acoustics.cli.collecting import rare_collection
from acoustics.cli.main import main
from acoustics.report import box_text
from acoustics.storage import open_prediction

COMPACT = Path(__file__).parents[2] / "cases" / "compact-centred"

BASS = """
[drivers.woofer]
file = "{woofer}"
position = ["0 mm", "-20 mm"]

[enclosures.bass]
kind = "vented"
drivers = ["woofer"]
tuning = "42 Hz"

[enclosures.bass.ports.rear]
diameter = "50 mm"
face = "back"
position = ["0 mm", "100 mm"]

"""


def invoke(*arguments):
    return CliRunner().invoke(main, ["box", *map(str, arguments)])


@pytest.fixture
def case(tmp_path):
    """The compact two-way with its woofer in a vented box."""
    text = (COMPACT / "case.toml").read_text(encoding="utf-8")
    before, rest = text.split("[drivers.woofer]")
    _, after = rest.split("# Acoustic slopes", 1)
    walls = before.replace('depth = "300 mm"', 'depth = "300 mm"\nwall_thickness = "18 mm"')
    file = tmp_path / "case.toml"
    woofer = (COMPACT.parent / "drivers" / "woofer-165.toml").as_posix()
    file.write_text(f"{walls}{BASS.format(woofer=woofer)}# {after}", encoding="utf-8")
    return file


def test_it_writes_dataset_figures_and_summary(case, tmp_path):
    result = invoke(case, "--out", tmp_path / "out")
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


def test_the_collector_is_left_as_it_was(tmp_path):
    before = gc.get_threshold()
    assert invoke(COMPACT, "--out", tmp_path).exit_code == 2
    assert gc.get_threshold() == before
    with rare_collection():
        assert gc.get_threshold() > before
    assert gc.get_threshold() == before


def test_it_looks_for_a_box(case, tmp_path):
    result = invoke(case, "--find", "deep", "--within", "20 l", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    folder = tmp_path / "out"
    study = open_prediction(folder / "box.nc")
    assert study.attrs["find"] == "deep"
    assert float(study.net_volume[0]) <= 0.020 * (1 + 1e-9)
    assert "within 20 l net, the deepest is" in result.stdout
    # 184 mm × 344 mm × 264 mm are inside walls of 18 mm.
    assert "The cabinet has 16.7 l inside" in " ".join(result.stdout.split())


def test_options_that_go_with_find(case, tmp_path):
    result = invoke(case, "--within", "20 l", "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert "go with --find" in result.stderr
    unitless = invoke(case, "--find", "deep", "--within", "20", "--out", tmp_path / "out")
    assert unitless.exit_code == 2
    assert "20 has no unit" in unitless.stderr


def test_a_case_without_enclosures_is_told_what_to_add(tmp_path):
    result = invoke(COMPACT, "--out", tmp_path / "there")
    assert result.exit_code == 2
    assert "there is no box to study; add a table [enclosures.NAME]" in result.stderr
    assert not (tmp_path / "there").exists()
