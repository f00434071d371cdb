"""`roundover place` writes what it promises, says where the drivers sit, refuses in words."""

from __future__ import annotations

from dataclasses import replace

import pytest
from click.testing import CliRunner

from acoustics.case import read_case
from acoustics.cli.main import main
from acoustics.figures import COMPARISON_SHEETS, LAYOUT_SHEETS
from acoustics.storage import open_prediction
from acoustics.studies import layout_search
from support.cases import CASES, shipped_text
from support.unrendered import without_pictures

COARSE = """
[frequencies]
lowest = "250 Hz"
highest = "2.6 kHz"
per_octave = 6

[arcs]
step = "10 deg"

[solver]
accuracy = 0.3
"""

ASKED = """
[[aims]]
name = "even"
measure = "ripple"
band = ["300 Hz", "2 kHz"]
smoothing = 3
at_most = 3.0

[place]
band = ["300 Hz", "2 kHz"]
smoothing = 3
window = "10 deg"
"""

PLACE = """
gap = "8 mm"

[place.drivers.tweeter]
right = ["0 mm", "50 mm"]
up = ["125 mm", "125 mm"]
"""


def invoke(*arguments):
    return CliRunner().invoke(main, ["place", *map(str, arguments)])


def text_with(place):
    """The compact two-way with one seat, at few frequencies, and what else [place] says."""
    text = shipped_text("compact-offset").partition("\n[brief]")[0]
    return text.replace("[seat.others.beside]\naside = ", "# ") + COARSE + ASKED + place


@pytest.fixture(scope="module")
def case(tmp_path_factory):
    file = tmp_path_factory.mktemp("place") / "case.toml"
    file.write_text(text_with(PLACE), encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def searched(case):
    """One search by the command, and what it found."""
    kept = []
    search = layout_search.search_layout

    def listened(*given, **how):
        kept.append(search(*given, **how))
        return kept[0]

    with pytest.MonkeyPatch.context() as patch:
        without_pictures(patch)
        for name, few in (("GENERATIONS", 10), ("SHORT", 3), ("WEIGHTS", (0.5,))):
            patch.setattr(f"acoustics.studies.layout_search.run.{name}", few)
        patch.setattr("acoustics.studies.layout_search.search_layout", listened)
        result = invoke(case, "--out", case.parent / "there")
    assert result.exit_code == 0, result.output
    return case.parent / "there", result.stdout, kept[0]


def test_it_writes_case_datasets_summary_and_figures(searched):
    folder, said, _ = searched
    there = {path.name for path in folder.iterdir() if path.is_file()}
    assert there == {"layout.nc", "case.toml", "prediction.nc", "summary.txt"}
    drawn = {path.stem for path in (folder / "figures").iterdir()}
    assert set(LAYOUT_SHEETS) <= drawn <= {*LAYOUT_SHEETS, *COMPARISON_SHEETS}
    assert (folder / "summary.txt").read_text(encoding="utf-8") in said
    assert len(list((folder / "found").glob("*.npz"))) == 1


@pytest.mark.slow
def test_the_shipped_case_gets_better(tmp_path):
    result = invoke(CASES / "compact-offset", "--out", tmp_path)
    assert result.exit_code == 0, result.output
    found = open_prediction(tmp_path / "layout.nc")
    assert float(found.gain) > 0.5
    right = 1e3 * float(found.right.sel(layout="best", driver="tweeter"))
    words = f"The tweeter {abs(right):.3g} mm {'left' if right < 0 else 'right'} and"
    assert words in " ".join(result.stdout.split())
    assert max(map(len, (tmp_path / "summary.txt").read_text().splitlines())) <= 88
    for name in (*LAYOUT_SHEETS, "reference-axis", "listening-window"):
        assert (tmp_path / "figures" / f"{name}.png").stat().st_size > 10_000


def test_the_new_case_has_the_layout_and_keeps_its_comments(searched, case):
    folder, _, found = searched
    new, old = read_case(folder), read_case(case)
    assert new.driver("tweeter").position == found.best.positions["tweeter"]
    assert new.driver("woofer") == old.driver("woofer")
    assert new.title == f"{old.title}, layout found"
    assert open_prediction(folder / "prediction.nc").attrs["case_digest"] == new.digest
    comments = [line for line in case.read_text().splitlines() if line.startswith("# ")]
    assert all(comment in (folder / "case.toml").read_text() for comment in comments)


def test_what_was_found_is_not_searched_again(searched, case, monkeypatch):
    folder, _, found = searched

    def never(*_, **__):
        raise AssertionError("searched again")

    monkeypatch.setattr("acoustics.studies.layout_search.run._searched", never)
    again = layout_search.search_layout(read_case(case), None, folder)
    assert (again.best, again.front) == (found.best, found.front)


def test_where_nothing_is_better_no_case_is_written(searched, case, monkeypatch, tmp_path):
    without_pictures(monkeypatch)
    found = replace(searched[2], best=searched[2].start, gain=0.0)
    monkeypatch.setattr("acoustics.studies.layout_search.search_layout", lambda *_, **__: found)
    result = invoke(case, "--out", tmp_path)
    assert result.exit_code == 0, result.output
    assert "Where they are" in result.stdout
    assert {path.name for path in tmp_path.iterdir() if path.is_file()} == {
        "layout.nc",
        "summary.txt",
    }


def test_what_was_found_is_saved_before_anything_goes_wrong(searched, case, monkeypatch, tmp_path):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(
        "acoustics.studies.layout_search.search_layout", lambda *_, **__: searched[2]
    )
    monkeypatch.setattr("acoustics.prediction.predict", full)
    result = invoke(case, "--out", tmp_path)
    assert result.exit_code == 2
    assert "No space left" in result.stderr
    assert (tmp_path / "layout.nc").is_file()


def test_interrupted_it_ends_as_others_do(case, monkeypatch, tmp_path):
    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("acoustics.studies.layout_search.search_layout", stopped)
    assert invoke(case, "--out", tmp_path).exit_code == 130


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (
            'ear_height = ["0.95 m", "0.97 m"]\n[place.drivers.tweeter]\n'
            'up = ["100 mm", "120 mm"]\n',
            (
                "there is no place for 'tweeter'",
                "[place.drivers.tweeter] up allows 100 mm to 120 mm",
                "the ear height asks that 'tweeter' is 950 mm to 970 mm above the floor",
                "Ways out: ",
            ),
        ),
        (
            'apart = "120 mm"\ngap = "10 mm"\n',
            ("'tweeter' and 'woofer'", "apart allows at most 120 mm", "a smaller gap in [place]"),
        ),
        ('aim = "ripple on axis"\n', ("computed filters",)),
        ("[place.drivers.twiter]\n", ("names no driver", "did you")),
        ('gap = "60 mm"\n', ("there is no place for", "60 mm of wood", "smaller gap")),
        ('[place.delays]\ntweeter = ["200 us", "100 us"]\n', ("the lower delay comes first",)),
    ],
)
def test_bad_input_is_said_in_words(tmp_path, place, words):
    file = tmp_path / "case.toml"
    file.write_text(text_with(place), encoding="utf-8")
    result = invoke(file, "--out", tmp_path / "out")
    assert result.exit_code == 2, result.output
    assert all(each in result.stderr for each in words), result.stderr
    assert "Traceback" not in result.output


def test_the_given_case_is_not_written_over(case):
    result = invoke(case, "--out", case.parent)
    assert result.exit_code == 2
    assert "the new case would take the place of the one that was given" in result.stderr
