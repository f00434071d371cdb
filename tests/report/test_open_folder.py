"""A folder of data: complete, the same every time, and told in words that hold."""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest

from acoustics.case.design.model import FrequencyGrid
from acoustics.report.open_data import write_open_data
from acoustics.report.open_data.readme import EXAMPLE
from acoustics.storage import open_prediction
from support.written_data import HARMFUL, predicted_two_way


@pytest.fixture(scope="module")
def made():
    few = {"arc_step": 30.0, "frequencies": FrequencyGrid(30.0, 16_000.0, 12)}
    return predicted_two_way(HARMFUL, "Größe\n=1+1", **few)


@pytest.fixture(scope="module")
def folder(made, tmp_path_factory):
    target = tmp_path_factory.mktemp("open") / "data"
    files = write_open_data(*made, target)
    assert sorted(files) == sorted(target.iterdir())
    return target


def test_every_file_is_told(folder):
    text = (folder / "README.txt").read_text(encoding="utf-8")
    assert text.startswith("Größe =1+1: data of the prediction\n")
    for file in folder.iterdir():
        assert file.name == "README.txt" or file.name in text
    assert "0 Hz" in text
    assert max(map(len, text.splitlines())) <= 88


def test_what_it_says_to_type_works_without_this_package(folder, made):
    # A module that is None cannot be imported: as if it were not installed.
    code = f"import sys\nsys.modules['acoustics'] = None\n{EXAMPLE}"
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.splitlines()[0] == "frequency"
    expected = made[1].arc_total.sel(plane="horizontal", angle=0).values[0]
    printed = complex(done.stdout.splitlines()[1].split()[1])
    assert printed == pytest.approx(expected, abs=2e-6)


def test_the_dataset_is_the_prediction(folder, made):
    np.testing.assert_array_equal(
        open_prediction(folder / "prediction.nc").arc_total, made[1].arc_total
    )


def test_equal_predictions_give_equal_files(folder, made, tmp_path):
    for file in write_open_data(*made, tmp_path):
        assert file.read_bytes() == (folder / file.name).read_bytes()


def test_few_frequencies_leave_out_what_needs_many(tmp_path):
    case, coarse = predicted_two_way(arc_step=30.0, frequencies=FrequencyGrid(20.0, 20_000.0, 6))
    files = write_open_data(case, coarse, tmp_path)
    assert not [file for file in files if file.suffix == ".wav"]
    assert "None: they need 12 frequencies per octave" in files[-1].read_text(encoding="utf-8")
