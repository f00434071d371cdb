"""`roundover crossover` writes what it promises, goes on where it was, and refuses in words."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import numpy as np
import pytest
from click.testing import CliRunner

from acoustics.case import read_case
from acoustics.case.design.fit_model import Fit
from acoustics.cli.main import main
from acoustics.storage import open_prediction
from acoustics.studies.crossover_fit.dataset import window_deviation
from support.cases import CASES, shipped_text

FEW = """
[fit]
seed = 3

[fit.topologies]
woofer = ["low-pass 2"]
tweeter = ["high-pass 2 + resistor"]

[frequencies]
per_octave = 12

[arcs]
step = "10 deg"
"""

ALWAYS = {
    "case.toml",
    "crossover.nc",
    "prediction.nc",
    "summary.txt",
    "parts.csv",
    "wiring.csv",
    "schematic.png",
    "schematic.svg",
}


def invoke(*arguments):
    return CliRunner().invoke(main, ["crossover", *map(str, arguments)])


@pytest.fixture
def few(tmp_path):
    path = tmp_path / "design" / "case.toml"
    path.parent.mkdir()
    path.write_text(shipped_text("compact-centred") + FEW, encoding="utf-8")
    return path


@pytest.mark.slow
def test_it_writes_a_case_that_does_what_the_summary_says(few, tmp_path):
    out = tmp_path / "out"
    result = invoke(few, "--out", out)
    assert result.exit_code == 0, result.output
    there = {path.name for path in out.iterdir() if path.is_file()}
    assert there == ALWAYS
    assert (out / "figures" / "crossover-change.png").is_file()
    case = read_case(out / "case.toml")
    assert {branch.slopes for branch in case.crossover} == {"passive"}
    prediction = open_prediction(out / "prediction.nc")
    assert prediction.attrs["case_digest"] == case.digest
    text = (out / "summary.txt").read_text(encoding="utf-8")
    assert text in result.stdout
    off = float(window_deviation(prediction, case.fit).max())
    assert f"±{off:.2f} dB" in text
    assert max(map(len, text.splitlines())) <= 88
    # Once more: everything is there already, and nothing comes out otherwise.
    before = {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()}
    assert invoke(few, "--out", out).exit_code == 0
    after = {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()}
    assert after == before


def test_as_it_is_writes_the_papers_and_fits_nothing(tmp_path):
    path = tmp_path / "case.toml"
    coarse = '\n[frequencies]\nper_octave = 6\n[arcs]\nstep = "10 deg"\n'
    path.write_text(shipped_text("compact-passive") + coarse, encoding="utf-8")
    result = invoke(path, "--as-is", "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    there = {path.name for path in (tmp_path / "out").iterdir()}
    assert there == ALWAYS - {"case.toml", "crossover.nc"}


def test_refusals(few, tmp_path):
    over = invoke(few, "--out", few.parent)
    assert over.exit_code == 2
    assert "the new case would take the place of the one that was given" in over.stderr
    none = invoke(few, "--as-is", "--out", tmp_path / "none")
    assert none.exit_code == 2
    assert "leave --as-is out to have a passive one fitted" in none.stderr
    assert not (tmp_path / "none").exists()


@pytest.mark.slow
def test_broken_off_it_goes_on(few, tmp_path):
    """Interrupted as soon as something is kept, it ends at once; then it says the same."""
    command = [sys.executable, "-c", "from acoustics.cli.main import run; run()", "crossover"]
    out = tmp_path / "out"
    process = subprocess.Popen(
        [*command, str(few), "--out", str(out)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    found = out / "found"
    while process.poll() is None and not list(found.glob("fit-*.npz")):
        time.sleep(0.05)
    os.kill(process.pid, signal.SIGINT)
    assert process.wait(timeout=30) in (130, 0)
    kept = len(list(found.glob("fit-*.npz")))
    assert kept
    assert invoke(few, "--out", out).exit_code == 0
    whole = tmp_path / "whole"
    assert invoke(few, "--out", whole).exit_code == 0
    assert (out / "crossover.nc").read_bytes() == (whole / "crossover.nc").read_bytes()
    assert (out / "case.toml").read_text() == (whole / "case.toml").read_text()


@pytest.mark.slow
def test_the_shipped_two_way_comes_within_a_decibel(tmp_path):
    """From a cold start: the window within 1 dB of its aim, at most 12 parts of E24, in step."""
    result = invoke(CASES / "compact-centred", "--out", tmp_path)
    assert result.exit_code == 0, result.output
    case = read_case(tmp_path / "case.toml")
    parts = sum(len(branch.elements) for branch in case.crossover)
    assert parts <= 12
    prediction = open_prediction(tmp_path / "prediction.nc")
    fit = case.fit or Fit()
    assert fit.band == (200.0, 15_000.0)
    assert fit.smoothing == 6
    assert float(window_deviation(prediction, fit).max()) <= 1.0
    lowest = float(np.abs(prediction.input_impedance).min())
    assert lowest >= case.amplifier.lowest_impedance
