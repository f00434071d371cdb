"""A driver with parameters in a box: levels, ports at their own places, acoustic slopes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Branch, FrequencyGrid, PassFilter
from acoustics.conventions import COORDINATES, DRIVE_VOLTAGE, VARIABLES
from acoustics.field import solve_field
from acoustics.listening import level, unreached
from acoustics.prediction import predict
from acoustics.source import motion_of, radiation_load
from acoustics.source.pistons import all_pistons
from support.boxes import AIR, FS, boxed, parameters, vented
from support.free_field import solve_free_field

GRID = FrequencyGrid(lowest=20.0, highest=640.0, per_octave=2)
QUICK = {"accuracy": 1.0, "frequencies": GRID, "arc_step": 10.0}


@pytest.fixture(scope="module")
def ported():
    return replace(vented(parameters(FS, 0.38), 1.5, 1.0, 7.0), **QUICK)


@pytest.fixture(scope="module")
def prediction(ported):
    return predict(ported)


def test_a_closed_box_plays_as_small_has_it_less_the_half_space():
    """In free space and far away the level is 6 dB below that into half space (image source); at
    20 and 28 Hz, 2 m from a small box, to a few tenths (S-PT0: 0.4 dB nearby)."""
    signal = parameters(FS, 0.5, mechanical_q=1e6)
    case = replace(boxed(signal, 2.0), **QUICK)
    found = level(predict(case).arc_total.sel(plane="horizontal", angle=0.0)).values
    f = GRID.values()
    s = 1j * f / (FS * np.sqrt(3))
    small = np.abs(s**2 / (s**2 + s / (0.5 * np.sqrt(3)) + 1))
    half_space = signal.sensitivity(AIR) + 20 * np.log10(small)
    expected = half_space - 20 * np.log10(2.0) - 20 * np.log10(2.0)
    assert found[:2] == pytest.approx(expected[:2], abs=0.6)


def test_port_and_cone_are_pistons_of_their_own(ported, prediction):
    """The product written out by hand: each radiator's volume velocity times its own field."""
    f = GRID.values()
    motion = motion_of(ported, f, radiation_load(ported, f))
    layout = all_pistons(ported)
    receiver = np.array([[0.0, 0.0, 2.0], [0.0, 0.0, -2.0]])
    how = {"air": AIR, "accuracy": ported.accuracy}
    fields = solve_field(layout.body, layout.pistons, receiver, f, **how).values
    cone, port = motion.volume_velocity[:, 0]
    sent = (cone + motion.leak[0])[:, None] * fields[0] + port[:, None] * fields[1]
    arc = prediction.arc_total.sel(plane="horizontal", angle=[0.0, 180.0])
    arc = arc.transpose("frequency", "angle")
    np.testing.assert_allclose(arc.values, DRIVE_VOLTAGE * sent, rtol=2e-3)
    # The port is on the back: there it is louder than in front where the port leads.
    at_tuning = np.abs(arc.sel(frequency=FS, method="nearest").values)
    assert at_tuning[1] > at_tuning[0]


def test_the_product_still_is_filter_times_source_times_field(prediction):
    product = prediction["filter"] * prediction.source * prediction.arc_field * DRIVE_VOLTAGE
    expected = prediction.arc_pressure.transpose(*product.dims)
    np.testing.assert_allclose(product.values, expected.values, rtol=1e-12)
    total = prediction.arc_pressure.sum("driver")
    np.testing.assert_allclose(prediction.arc_total.values, total.values, rtol=1e-12)


def test_everything_that_moves_says_what_it_is(prediction):
    for name in (
        "volume_velocity",
        "impedance",
        "input_limit",
        "radiator",
        "radiator_kind",
        "limit",
    ):
        meaning = {**VARIABLES, **COORDINATES}[name]
        assert prediction[name].dims == meaning.dims
        assert prediction[name].attrs["long_name"] == meaning.long_name
    assert list(prediction.radiator.values) == ["driver", "box port"]
    assert prediction.radiator_z.values == pytest.approx([0.0, -ported_depth(prediction)])


def ported_depth(prediction):
    return float(prediction.attrs["cabinet_depth"])


def test_without_a_high_pass_an_acoustic_slope_leaves_the_low_end_to_the_box():
    """Else the filter would lift what the box cannot give, by as much as it may."""
    lowpass = PassFilter("low-pass", "linkwitz-riley", 4, None, 400.0)
    branch = Branch("driver", (lowpass,), slopes="acoustic", level=78.0)
    case = replace(boxed(parameters(FS, 0.5), 2.0), crossover=(branch,), **QUICK)
    found = predict(case)
    assert unreached(case, found) == []
    gain = 20 * np.log10(np.abs(found["filter"].values[0, :5]))
    # What is left for the filter is what the baffle makes of it: smooth, a few dB at most.
    assert np.ptp(gain) < 2.5
    target = 20 * np.log10(np.abs(found.target.values[0]) / 20e-6 * 2.0)
    s = 1j * GRID.values()[0] / (FS * np.sqrt(3))
    small = s**2 / (s**2 + s / (0.5 * np.sqrt(3)) + 1)
    # The air on this cabinet is some per cent of the mass other than that of the data sheet.
    assert target[0] == pytest.approx(78.0 + 20 * np.log10(abs(small)), abs=0.3)


@pytest.mark.parametrize("passive", [False, True], ids=["port", "passive radiator"])
def test_such_a_slope_lifts_nothing_below_the_tuning(passive):
    """There the cone cancels with what else moves but for the way between them, and a passive
    radiator at its own resonance (Small 1974): nothing that a filter could make up for."""
    case = vented(
        parameters(FS, 0.38), 1.5, 1.0, 7.0, passive=passive, passive_resonance=GRID.values()[0]
    )
    lowpass = PassFilter("low-pass", "linkwitz-riley", 4, None, 400.0)
    branch = Branch("driver", (lowpass,), slopes="acoustic", level=78.0)
    case = replace(case, crossover=(branch,), **QUICK)
    found = predict(case)
    assert unreached(case, found) == []
    filters = found["filter"].values[0, GRID.values() < 2 * FS]
    assert np.ptp(20 * np.log10(np.abs(filters))) < 1.0
    assert np.ptp(np.unwrap(np.angle(filters))) < np.deg2rad(30.0)


def test_with_a_high_pass_of_its_own_a_slope_is_as_it_says():
    band = PassFilter("high-pass", "linkwitz-riley", 4, 200.0, None)
    branch = Branch("driver", (band,), slopes="acoustic", level=78.0)
    case = replace(boxed(parameters(FS, 0.5), 2.0), crossover=(branch,), **QUICK)
    found = predict(case)
    f = GRID.values()
    slope = (f / 200.0) ** 4 / (1 + (f / 200.0) ** 4)
    level_there = np.abs(found.arc_total.sel(plane="horizontal", angle=0.0).values) * 2.0 / 20e-6
    np.testing.assert_allclose(20 * np.log10(level_there), 78.0 + 20 * np.log10(slope), atol=0.05)


def test_an_inverted_driver_moves_the_other_way_as_its_source_has_it():
    """Where nothing leaks, and without delay, what moves adds up to the source."""
    case = replace(boxed(parameters(FS, 0.5), 2.0), **QUICK)
    (driver,) = case.drivers
    for inverted in (False, True):
        turned = replace(case, drivers=(replace(driver, inverted=inverted),))
        found = predict(turned, solve=solve_free_field)
        moved = found.volume_velocity.sum("radiator").transpose(*found.source.dims)
        np.testing.assert_allclose(moved.values, found.source.values, rtol=1e-9)
