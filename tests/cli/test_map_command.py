"""`roundover map` writes what it promises, says where the driver should go, refuses in words."""

from __future__ import annotations

import numpy as np
import pytest
from click.testing import CliRunner
from matplotlib.figure import Figure

from acoustics.cli.main import main
from acoustics.figures import PLACEMENT_SHEETS
from acoustics.figures.driver_map import colour_steps
from acoustics.report import placement_text
from acoustics.storage import open_prediction
from support.cases import shipped_text
from support.unrendered import without_pictures

COARSE = '\n[frequencies]\nlowest = "290 Hz"\nhighest = "10.4 kHz"\nper_octave = 12\n'


def invoke(*arguments):
    return CliRunner().invoke(main, ["map", *map(str, arguments)])


@pytest.fixture(scope="module")
def case(tmp_path_factory):
    """The compact two-way, predicted at few frequencies and one seat."""
    text = shipped_text("compact-centred").replace("[seat.others.beside]\naside = ", "# ")
    file = tmp_path_factory.mktemp("map") / "case.toml"
    file.write_text(text + COARSE, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def written(case):
    folder = case.parent / "there"
    with pytest.MonkeyPatch.context() as patch:
        without_pictures(patch)
        result = invoke(case, "--driver", "tweeter", "--spacing", "25 mm", "--out", folder)
    assert result.exit_code == 0, result.output
    return folder, result.stdout


def test_it_writes_dataset_figures_and_summary(written):
    folder, said = written
    figures = {f"figures/{name}.{ending}" for name in PLACEMENT_SHEETS for ending in ("png", "svg")}
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    assert there == {"map.nc", "summary.txt", *figures}
    assert (folder / "summary.txt").read_text(encoding="utf-8") in said


def test_the_summary_says_where_what_it_gains_and_how_exactly(written):
    folder, _ = written
    found = open_prediction(folder / "map.nc")
    text = placement_text(found)
    assert "Where should the tweeter go?" in text
    present, best = found.spot_relative_ripple.values
    assert f"against {present:.2f} dB where it is now, 125 mm up" in " ".join(text.split())
    assert f"{best:.2f} dB there" in " ".join(text.split())
    assert "Its mirror image is as good" in " ".join(text.split())  # the layout is centred
    assert "The map has a place every 25 mm" in " ".join(text.split())
    assert "filter is computed anew for every place" in " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 88
    # Where nothing is better than the present place, that is said.
    flat = found.assign(spot_relative_ripple=0 * found.spot_relative_ripple + 2.0)
    assert "Where it is, 125 mm up" in " ".join(placement_text(flat).split())


def test_the_figures_show_forbidden_places_and_both_spots(written):
    folder, _ = written
    found = open_prediction(folder / "map.nc")
    for sheet in PLACEMENT_SHEETS.values():
        figure = sheet(found)
        assert isinstance(figure, Figure)
        names = [text.get_text() for text in figure.legends[0].get_texts()]
        assert names[:2] == ["present place", "best place"]
        assert "no room for the frame" in names
    panel = PLACEMENT_SHEETS["placement"](found).axes[0]
    marks = {(float(x), float(y)) for line in panel.lines for x, y in line.get_xydata()}
    assert (0.0, 125.0) in {(round(x, 6), round(y, 6)) for x, y in marks}
    assert panel.get_aspect() == 1.0  # to scale
    # A single column of places, as a driver nearly as wide as its face has, is drawn too.
    assert PLACEMENT_SHEETS["placement"](found.sel(right=[0.0])) is not None


def test_colours_tell_no_more_than_a_tenth_of_a_decibel():
    assert np.diff(colour_steps(np.array([1.00, 1.01]))).min() == pytest.approx(0.1)
    steps = colour_steps(np.array([0.3, 14.0]))
    assert steps[0] <= 0.3
    assert steps[-1] >= 14.0
    assert len(steps) <= 13


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--driver", "twiter"), "no driver is called 'twiter'; use tweeter or woofer; did you"),
        (("--driver", "tweeter", "--spacing", "5"), "5 has no unit"),
        (("--driver", "tweeter", "--spacing", "0.05 mm"), "places, and at most"),
        (("--driver", "tweeter", "--gap", "60 mm"), "there is no place for 'tweeter'"),
        (("--driver", "tweeter", "--band", "1 kHz", "500 Hz"), "give the lower frequency first"),
        (("--driver", "tweeter", "--window", "12 deg"), "is none; take 10, 20"),
        (("--driver", "tweeter", "--by", "looks"), "is not one of"),
        ((), "Missing option '--driver'"),
    ],
)
def test_bad_input_is_said_in_words(case, monkeypatch, tmp_path, arguments, message):
    def never(*_, **__):
        raise AssertionError("solved before the input was checked")

    monkeypatch.setattr("acoustics.studies.driver_map.study.scene_of", never)
    result = invoke(case, *arguments, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert message in result.stderr
    assert "Traceback" not in result.output
