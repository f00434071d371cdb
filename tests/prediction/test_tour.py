"""The tour of a Dataset beside the shipped case: every block runs and prints what stands there."""

from __future__ import annotations

import sys
from dataclasses import replace

import pytest

from acoustics.case import read_case
from acoustics.case.design.model import FrequencyGrid
from acoustics.prediction import predict
from acoustics.storage import save
from support.cases import CASES
from support.free_field import solve_free_field
from support.told import blocks_of, printed

TOUR = CASES / "compact-centred" / "TOUR.md"


@pytest.fixture
def blocks(tmp_path, monkeypatch):
    """Blocks of the tour: that which predicts, those with xarray alone, and that of the package."""
    (tmp_path / "cases").symlink_to(CASES)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("MPLBACKEND", "agg")
    first, *plain, last = blocks_of(TOUR.read_text(encoding="utf-8"))
    assert "ac.predict" in first[0]
    assert "ac.open_prediction" in last[0]
    assert len(plain) == TOUR.read_text(encoding="utf-8").count("```python") - 2
    return first, plain, last


def without_the_package(blocks, monkeypatch):
    """What blocks print where this package cannot be imported."""
    with monkeypatch.context() as patched:
        patched.setitem(sys.modules, "acoustics", None)
        return list(printed(blocks, TOUR))


def test_every_block_runs(blocks, tmp_path, monkeypatch):
    # With point sources in place of the solver, and few of them: quick, but other numbers.
    _, plain, last = blocks
    case = replace(read_case(TOUR.parent), frequencies=FrequencyGrid(per_octave=6), arc_step=10.0)
    quick = predict(case, solve=solve_free_field)
    quick = quick.assign_coords(error_estimate=0 * quick.frequency + 0.1)
    save(quick, tmp_path / "prediction.nc")
    out = without_the_package(plain, monkeypatch)
    assert out[0].splitlines()[:-1] == plain[0][1].splitlines()[:-1]
    assert [bool(text) for text in out] == [bool(said) for _, said in plain]
    assert (tmp_path / "seat.png").stat().st_size > 0
    assert next(printed([last], TOUR)).endswith("True\n")


@pytest.mark.slow
def test_every_number_is_what_is_printed(blocks, monkeypatch):
    first, plain, last = blocks
    assert list(printed([first], TOUR)) == [""]
    assert without_the_package(plain, monkeypatch) == [said for _, said in plain]
    assert list(printed([last], TOUR)) == [last[1]]
