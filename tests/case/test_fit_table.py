"""The table [fit]: what it says, and what it may not say."""

from __future__ import annotations

import pytest

from acoustics.case import read_case
from acoustics.case.design.fit_model import Fit
from acoustics.conventions import CaseError
from support.cases import shipped_text

FULL = """
[fit]
tilt = -0.3
level = 80.0
band = ["300 Hz", "12 kHz"]
smoothing = 3
crossovers = [["1.6 kHz", "3.2 kHz"]]
least_impedance = "3.5 ohm"
most_parts = 9
series = "E12"
coil_series = "E24"
pairs = true
wire = "1.4 mm"
capacitor_loss = 0.002
worth_of_part = 0.05
worth_of_price = 0.001
seed = 7

[fit.weights]
in_room = 0.5
phase = 0.0

[fit.topologies]
tweeter = ["high-pass 2 + attenuator"]

[fit.prices]
inductor = 3.5
inductor_per_mh = 2.0
"""


def case_with(tmp_path, table):
    path = tmp_path / "case.toml"
    path.write_text(shipped_text("compact-centred") + table, encoding="utf-8")
    return read_case(path)


def faults_of(tmp_path, table):
    with pytest.raises(CaseError) as error:
        case_with(tmp_path, table)
    return str(error.value)


def test_everything_comes_out_in_si_units(tmp_path):
    fit = case_with(tmp_path, FULL).fit
    assert fit.band == (300.0, 12_000.0)
    assert fit.crossovers == ((1600.0, 3200.0),)
    assert (fit.wire, fit.least_impedance, fit.level) == (1.4e-3, 3.5, 80.0)
    assert (fit.weights.in_room, fit.weights.phase) == (0.5, 0.0)
    assert fit.weights.directivity == Fit().weights.directivity
    ((driver, shapes),) = fit.topologies
    assert (driver, [shape.name for shape in shapes]) == ("tweeter", ["high-pass 2 + attenuator"])
    assert fit.prices.inductor_per_mh == 2.0


def test_what_is_not_said_is_the_usual(tmp_path):
    assert case_with(tmp_path, "\n[fit]\n").fit == Fit()
    assert case_with(tmp_path, "").fit is None


def test_no_prediction_rests_on_it(tmp_path):
    assert case_with(tmp_path, FULL).digest == case_with(tmp_path, "").digest


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ('[fit]\nband = ["15 kHz", "200 Hz"]', "the lower frequency comes first"),
        ('[fit]\nband = ["1 kHz", "1.01 kHz"]', "is less than an octave"),
        ('[fit]\ncrossovers = [["3 kHz", "2 kHz"]]', "the lower frequency comes first"),
        ('[fit]\nband = ["10 Hz", "200 Hz"]', "the prediction's lowest frequency is 20 Hz"),
        (
            '[fit]\ncrossovers = [["1 kHz", "2 kHz"], ["3 kHz", "4 kHz"]]',
            "more spans (2) than crossovers between the drivers (1)",
        ),
        ('[fit.topologies]\nwofer = ["low-pass 2"]', "did you mean 'woofer'"),
        (
            '[fit.topologies]\nwoofer = ["low-pass 2 + zobel"]',
            "is no crossover; write its sections",
        ),
        ("[fit.topologies]\nwoofer = []", "a driver with no shape to try"),
        ("[fit]\nmost_parts = 0", "a whole number from 1 to 60"),
        ('[fit]\nseries = "E96"', "E12"),
        ("[fit.weights]\nphase = -1.0", "a number from 0 to 100"),
        (
            "[fit.weights]\nlistening_window = 0\nin_room = 0\ndirectivity = 0\nphase = 0",
            "all weights are 0",
        ),
        (
            '[fit]\ncrossovers = [["2 kHz", "3 kHz"], ["300 Hz", "500 Hz"]]',
            "2 kHz to 3 kHz stands before 300 Hz to 500 Hz",
        ),
        ("[fit]\nseed = -1", "a whole number from 0 to 2147483647"),
        ("[fit]\nwire = 1.0", "1.0 has no unit"),
    ],
)
def test_what_is_wrong_is_told_with_a_way_out(tmp_path, table, words):
    told = faults_of(tmp_path, f"\n{table}\n")
    assert words in told
    assert "fit" in told
