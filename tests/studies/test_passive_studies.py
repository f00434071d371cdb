"""Passive crossovers in sweeps, placement maps and the check of drivers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.case.design.network_model import Element
from acoustics.conventions import RoundoverError
from acoustics.prediction import predict
from acoustics.source import motion_of
from acoustics.studies import box_study
from acoustics.studies.compatibility.electrical import GRID, impedance_lines
from acoustics.studies.compatibility.ways import ways_of
from acoustics.studies.crossover_fit.scene import bare_case
from acoustics.studies.driver_map.scene import scene_of
from acoustics.studies.driver_map.study import window_directions
from acoustics.studies.sweeps.run import run_sweep
from support.boxes import FS, parameters, vented
from support.cases import make_case, make_driver
from support.free_field import solve_free_field
from support.sweeps import DESIGN, inline, swept_case

PASSIVE = """\
slopes = "passive"
parts = [
    { place = "series", capacitor = "5.6 uF" },
    { place = "across", inductor = "0.27 mH" },
]
"""
SWEPT = """
keep = "fields"
[[sweep.over]]
key = "crossover.tweeter.parts.1.capacitor"
name = "first"
values = ["3.3 uF", "10 uF"]
"""
HIGH = """\
sections = [
    { type = "high-pass", alignment = "linkwitz-riley", order = 4, frequency = "2.2 kHz" },
]
"""


def test_parts_can_be_swept(tmp_path):
    """C in the way, L across, 8 ohm: H = 1/(1 + Z_C/(Z_L ∥ 8 ohm))."""
    rated = 'sensitivity = 90.0\nrated_impedance = "8 ohm"'
    design = DESIGN.replace(HIGH, PASSIVE).replace("sensitivity = 90.0", rated)
    found = run_sweep(swept_case(tmp_path, SWEPT, design), tmp_path, inline, solve=solve_free_field)
    assert (found.reason == "").all()
    assert found["first"].attrs["units"] == "F"
    s = 2j * np.pi * found.frequency.values
    load = 1 / (1 / (s * 0.27e-3) + 1 / 8)
    for capacitance in (3.3e-6, 10e-6):
        expected = load / (load + 1 / (s * capacitance))
        one = found["filter"].sel(first=capacitance, driver="tweeter")
        np.testing.assert_allclose(one, expected, rtol=1e-9)


DRIVERS = (
    make_driver("woofer", -0.06, piston_diameter=0.12, frame_diameter=0.16, rated_impedance=6.0),
    make_driver("tweeter", 0.11, frame_diameter=0.07, rated_impedance=6.0),
)
TWO_WAY = make_case(
    DRIVERS,
    frequencies=FrequencyGrid(200.0, 8000.0, 1),
    accuracy=1.0,
    arc_step=10.0,
    amplifier=Amplifier(lowest_impedance=4.0, resistance=0.5),
    crossover=(
        Branch("woofer", slopes="passive", elements=(Element("series", inductor=0.5e-3),)),
        Branch("tweeter", slopes="passive", elements=(Element("series", capacitor=12e-6),)),
    ),
)


def test_a_moved_driver_keeps_its_parts():
    scene = scene_of(TWO_WAY, (1,), window_directions(30.0))
    prediction = predict(TWO_WAY)
    own = prediction["filter"].sel(driver="tweeter").values
    np.testing.assert_allclose(scene.taken[0].filter, own, rtol=1e-9)
    field = prediction.arc_field.sel(driver="tweeter", plane="horizontal", angle=0.0).values
    (drive,), turn = scene.drives([field], [field], [np.array([0.0, 0.1, 0.0])])
    pressure = prediction.arc_pressure.sel(plane="horizontal", angle=0.0)
    np.testing.assert_allclose(drive * field, pressure.sel(driver="tweeter"), rtol=1e-9)
    assert (turn == 1).all()
    # The woofer stays as it is, and is among the others.
    rest = scene.window[0][0] + scene.window[1][0]
    np.testing.assert_allclose(rest, pressure.sel(driver="woofer"), rtol=1e-2)


def test_the_load_is_that_of_the_parts():
    """A coil and 6 ohm beside a capacitor and 6 ohm, L/C = R²: 6 ohm at every frequency."""
    alike = replace(
        TWO_WAY,
        crossover=(
            Branch("woofer", slopes="passive", elements=(Element("series", inductor=0.36e-3),)),
            Branch("tweeter", slopes="passive", elements=(Element("series", capacitor=10e-6),)),
        ),
    )
    lines = list(impedance_lines(alike, motion_of(alike, GRID.values()), ways_of(alike)))
    (load,) = (line for line in lines if line.check == "load")
    assert load.figures["least"] == pytest.approx(6.0, rel=1e-9)
    assert load.verdict == "good"


def test_a_box_is_judged_without_its_crossover():
    case = replace(vented(parameters(FS, 0.38), 1.5, 1.0, 7.0), amplifier=Amplifier(resistance=1.0))
    coil = (Element("series", inductor=2e-3),)
    behind = replace(case, crossover=(Branch("driver", slopes="passive", elements=coil),))
    plain, same = (box_study(each, load=False) for each in (case, behind))
    np.testing.assert_array_equal(plain.response, same.response)


def test_a_fit_takes_a_measured_impedance_as_it_takes_any():
    """A driver of which nothing else is known; without it there is nothing to fit to."""
    table = MeasuredImpedance("made up", (10.0, 1e3, 3e4), (7.0,) * 3, (0.0,) * 3)
    drivers = [make_driver("woofer", -0.05, impedance=table), make_driver("tweeter", 0.1)]
    known = make_driver("tweeter", 0.1, rated_impedance=6.0)
    bare = bare_case(make_case([drivers[0], known], crossover=()))
    assert [branch.slopes for branch in bare.crossover] == ["passive", "passive"]
    with pytest.raises(RoundoverError, match="nothing tells the impedance of tweeter, and"):
        bare_case(make_case(drivers, crossover=()))
