"""The air load that a cabinet puts on its drivers and ports."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Port
from acoustics.case.design.model import Cabinet
from acoustics.source import motion_of, radiation_load, total
from acoustics.source.load import BAFFLED_FROM, SOLVED_TO, baffled_impedance
from support.boxes import AIR, FS, boxed, parameters, vented

RADIUS = 0.06
AREA = np.pi * RADIUS**2
CHARACTERISTIC = AIR.density * AIR.speed_of_sound / AREA


@pytest.mark.parametrize(
    ("ka", "resistance", "reactance"),
    [
        (0.1, 0.00499167361, 0.0846565411),
        (0.5, 0.119898829, 0.396914672),
        (1.0, 0.423275192, 0.646763728),
        (2.0, 1.03302166, 0.534863331),
        (5.0, 0.991305451, 0.178366498),
        (10.0, 0.993316688, 0.0472688184),
    ],
)
def test_a_baffled_piston(ka, resistance, reactance):
    """R₁ = 1 − 2J₁(2ka)/2ka, X₁ = 2H₁(2ka)/2ka: Kinsler et al. (2000), 7.5; Abramowitz & Stegun,
    ch. 12 (Struve); from memory, recomputed."""
    frequency = np.array([ka / RADIUS * AIR.speed_of_sound / (2 * np.pi)])
    found = baffled_impedance(RADIUS, frequency, AIR)[0] / CHARACTERISTIC
    assert found == pytest.approx(resistance + 1j * reactance, rel=1e-6)


def test_its_air_weighs_eight_thirds_of_a_cube():
    """8ρa³/3 on one side: 3.2 g for a = 0.1 m and ρ = 1.2 kg/m³ (Rayleigh)."""
    frequency = np.array([1.0])
    reactance = baffled_impedance(0.1, frequency, AIR)[0].imag
    mass = reactance / (2 * np.pi * frequency[0]) * (np.pi * 0.1**2) ** 2
    assert mass == pytest.approx(3.2e-3, rel=1e-4)


@pytest.fixture(scope="module")
def driver():
    return boxed(parameters(FS, 0.4), 2.0)


def test_at_low_frequencies_a_cabinet_radiates_as_a_point_in_free_space(driver):
    """Re Z = ρω²/(4πc), half of what an infinite baffle makes of it: exact as f → 0."""
    frequency = np.array([20.0])
    found = radiation_load(driver, frequency)[0, 0, 0]
    expected = AIR.density * (2 * np.pi * 20.0) ** 2 / (4 * np.pi * AIR.speed_of_sound)
    assert found.real == pytest.approx(expected, rel=0.03)
    # Less air has to move out of the way than in front of an infinite wall, but not much less.
    wall = baffled_impedance(RADIUS, frequency, AIR)[0].imag
    assert 0.75 * wall < found.imag < wall


def test_a_wall_large_against_the_wave_is_an_infinite_baffle(driver):
    wall = replace(driver, cabinet=Cabinet(width=4.0, height=5.0, depth=0.5, base_height=0.0))
    frequency = np.array([600.0, 800.0])
    found = radiation_load(wall, frequency)[0, 0]
    np.testing.assert_allclose(found, baffled_impedance(RADIUS, frequency, AIR), rtol=0.03)


def test_both_sides_of_an_open_baffle_push_on_the_cone():
    """A disc in free space moves 8ρa³/3 of air, both sides together (Lamb 1932, §108); a baffle
    little larger than the piston comes close to it from above."""
    signal = parameters(FS, 0.7)
    case = boxed(signal)
    open_back = replace(case.drivers[0], both_sides=True)
    plate = Cabinet(width=0.125, height=0.125, depth=0.0, base_height=0.6, shape="plate")
    case = replace(case, drivers=(open_back,), cabinet=plate)
    found = radiation_load(case, np.array([50.0]))[0, 0, 0].imag / (2 * np.pi * 50.0) * AREA**2
    disc = 8 / 3 * AIR.density * RADIUS**3
    assert disc < found < 1.35 * disc


@pytest.mark.parametrize("both_sides", [False, True])
def test_a_driver_plays_the_same_whether_measured_in_air_or_in_vacuum(both_sides):
    """The same moving parts: in free air they weigh 8ρa³/3 more (Lamb 1932, §108)."""
    signal = parameters(FS, 0.5)
    air = 8 / 3 * AIR.density * (signal.effective_area / np.pi) ** 1.5
    bare = replace(signal, moving_mass=signal.moving_mass - air, measured="vacuum")
    f = np.array([30.0, 60.0, 200.0])
    load = np.full((1, 1, 3), 20j * f)
    found = []
    for each in (signal, bare):
        case = boxed(each)
        driver = replace(case.drivers[0], both_sides=both_sides)
        found.append(total(motion_of(replace(case, drivers=(driver,)), f, load)))
    np.testing.assert_allclose(found[1], found[0], rtol=1e-9)


def test_impedances_pass_into_those_of_an_infinite_baffle_without_a_step(driver):
    for edge in (SOLVED_TO, BAFFLED_FROM):
        load = radiation_load(driver, np.array([edge * 0.999, edge * 1.001]))[0, 0]
        assert abs(load[1] - load[0]) < 0.01 * abs(load[0])


def test_a_cone_and_its_port_push_on_each_other_alike():
    """Reciprocity: Z_ij = Z_ji."""
    case = vented(parameters(FS, 0.38), 1.5, 1.0, 7.0)
    load = radiation_load(case, np.array([40.0, 400.0]))
    np.testing.assert_allclose(load[0, 1], load[1, 0], rtol=1e-3)
    # The port's end correction holds what an infinite baffle adds, so little is left.
    radius = case.enclosures[0].ports[0].size[0] / 2
    wall = baffled_impedance(radius, np.array([40.0]), AIR)[0].imag
    assert abs(load[1, 1, 0].imag) < 0.15 * wall


def test_a_slot_is_tuned_as_a_round_port_of_its_area():
    case = vented(parameters(FS, 0.38), 1.5, 1.0, 7.0)
    round_port = case.enclosures[0].ports[0]
    area = np.pi * round_port.size[0] ** 2 / 4
    slot = Port("slot", (area / 0.02, 0.02), round_port.length, (0.0, -0.1), face="back")
    other = replace(case, enclosures=(replace(case.enclosures[0], ports=(slot,)),))
    f = np.geomspace(20.0, 200.0, 30)
    levels = [
        20 * np.log10(np.abs(total(motion_of(each, f, radiation_load(each, f)))[0]))
        for each in (case, other)
    ]
    np.testing.assert_allclose(levels[1], levels[0], atol=0.25)


def test_the_load_moves_a_response_by_little(driver):
    """Half of the air of a small woofer, some per cent of its mass, is what the cabinet changes."""
    f = np.geomspace(20.0, 1000.0, 30)
    kept = 20 * np.log10(np.abs(total(motion_of(driver, f))[0]))
    found = 20 * np.log10(np.abs(total(motion_of(driver, f, radiation_load(driver, f)))[0]))
    assert 0.01 < np.abs(found - kept).max() < 0.5
