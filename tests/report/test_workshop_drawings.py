"""The folder of papers for the workshop."""

from __future__ import annotations

import pytest

from acoustics.report import drawing_dxf
from acoustics.report.drawings import drawings_of, write_drawings
from support.drawn import NASTY, box
from support.structure_found import small_case


def test_every_drawing_is_there_in_every_format(tmp_path):
    files = write_drawings(box(title=NASTY), tmp_path / "one", "A3")
    assert [file.name for file in files] == [
        "face-front.svg", "face-front.dxf", "face-front.pdf",
        "face-back.svg", "face-back.dxf", "face-back.pdf", "drawings.txt",
    ]  # fmt: skip
    assert sorted(files) == sorted((tmp_path / "one").iterdir())
    index = (tmp_path / "one" / "drawings.txt").read_text("utf-8")
    assert "printed at 100 %" in index
    assert "no table [structure]" in index


def test_without_the_library_the_index_says_how_to_get_dxf(tmp_path, monkeypatch):
    monkeypatch.setattr(drawing_dxf, "find_spec", lambda name: None)
    files = write_drawings(box(enclosures=()), tmp_path, "A3")
    assert not any(file.suffix == ".dxf" for file in files)
    index = (tmp_path / "drawings.txt").read_text("utf-8")
    assert "pip install '.[cad]'" in " ".join(index.split())


@pytest.fixture
def built(tmp_path):
    return small_case(tmp_path, title="../../x <b>")


def test_a_case_with_a_structure_has_boards_and_braces(built):
    names = [each.name for each in drawings_of(built)]
    assert names[0] == "face front"
    assert {"board front", "board ring", "braces left"} <= set(names)


@pytest.mark.slow
def test_its_cut_list_is_there_and_all_stays_in_the_folder(built, tmp_path):
    written = write_drawings(built, tmp_path / "out")
    assert tmp_path / "out" / "boards.csv" in written
    assert sorted(written) == sorted((tmp_path / "out").iterdir())
    assert sorted(file.name for file in tmp_path.iterdir()) == ["case.toml", "out"]
