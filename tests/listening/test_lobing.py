"""Lobes and nulls of two drivers, from design to figure, against elementary interference."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Branch, Cabinet, FrequencyGrid, ReferenceAxis
from acoustics.listening import crossovers, lobing
from acoustics.listening.height_window import between_heights
from acoustics.listening.listeners import heard
from acoustics.listening.lobes import _main_lobe
from acoustics.prediction import predict
from support.cases import seat_at

SPEED = 343.0


@pytest.fixture
def pair(make_case, make_driver, pass_branch, solve_free_field):
    """Lobing of two point sources `spacing` apart with a crossover at `corner`."""

    def build(spacing, corner, *, distance=100.0, low=None, high=None, depth=0.0, **filters):
        case = make_case(
            [
                make_driver("woofer", -spacing / 2),
                make_driver("tweeter", spacing / 2, acoustic_depth=depth),
            ],
            crossover=(
                pass_branch("woofer", "low-pass", corner, **filters, **(low or {})),
                pass_branch("tweeter", "high-pass", corner, **filters, **(high or {})),
            ),
            reference=ReferenceAxis((0.0, 0.0), distance),
        )
        return lobing(heard(predict(case, solve=solve_free_field))).isel(crossover=0)

    return build


def check_of(reference, name):
    check = next(entry for entry in reference("lobing") if entry["name"] == name)
    return check["inputs"], check["expected"]


@pytest.mark.parametrize(
    "name",
    [
        "nulls of a pair 0.20 m apart at 2 kHz",
        "nulls of a pair 0.15 m apart at 3 kHz",
        "nulls of a pair 0.20 m apart at 800 Hz",
    ],
)
def test_null_angles_of_an_in_phase_pair(name, reference, pair):
    given, expected = check_of(reference, name)
    answer = pair(given["d_m"], given["f_hz"])
    angles = expected["null_angles_deg"]
    wanted = [-angle for angle in reversed(angles)] + angles
    assert answer.null_angle.values == pytest.approx(wanted, abs=0.01)
    assert float(answer.lobe_direction) == pytest.approx(0, abs=0.01)
    assert float(answer.lobe_gain) == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize(
    "name", ["lobe of a pair, one late by 50 us", "lobe of a pair, one late by 100 us"]
)
@pytest.mark.parametrize("how", ["delay", "depth"])
def test_the_lobe_tilts_toward_the_delayed_driver(name, how, reference, pair):
    given, expected = check_of(reference, name)
    late = 1e-6 * given["tau_us"]
    setting = {"high": {"delay": late}} if how == "delay" else {"depth": late * SPEED}
    answer = pair(given["d_m"], 1500.0, **setting)
    assert float(answer.lobe_direction) == pytest.approx(expected["theta_deg"], abs=0.01)


def test_side_by_side_the_lobe_tilts_sideways_alike(
    reference, make_case, make_driver, pass_branch, solve_free_field
):
    """The same pair lying down: the late driver is on the right."""
    given, expected = check_of(reference, "lobe of a pair, one late by 50 us")
    half = given["d_m"] / 2
    drivers = [
        make_driver("low", position=(-half, 0.0)),
        make_driver("high", position=(half, 0.0)),
    ]
    branches = (
        pass_branch("low", "low-pass", 1500.0),
        pass_branch("high", "high-pass", 1500.0, delay=1e-6 * given["tau_us"]),
    )
    case = make_case(drivers, crossover=branches, reference=ReferenceAxis((0.0, 0.0), 1000.0))
    answer = lobing(heard(predict(case, solve=solve_free_field))).isel(crossover=0)
    assert float(answer.aside_direction) == pytest.approx(expected["theta_deg"], abs=0.01)
    assert float(answer.lobe_direction) == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(("inverted", "side"), [(False, 1), (True, -1)])
def test_third_order_butterworth_tilts_by_a_quarter_wave(inverted, side, reference, pair):
    given, expected = check_of(reference, "lobe of third-order Butterworth slopes")
    corner = 2000.0
    answer = pair(
        given["d_over_lambda"] * SPEED / corner,
        corner,
        alignment="butterworth",
        order=3,
        high={"inverted": inverted},
    )
    tilt = float(answer.lobe_direction)
    assert tilt == pytest.approx(side * expected["tilt_deg"], abs=0.05)
    assert float(answer.lobe_gain) == pytest.approx(expected["peak_dB_re_axis"], abs=1e-3)
    nulls = answer.null_angle.values
    opposite = side * expected["null_on_other_side_deg"]
    assert np.min(np.abs(nulls - opposite)) < 0.05


def test_fourth_order_linkwitz_riley_off_axis(reference, pair):
    given, expected = check_of(reference, "fourth-order Linkwitz-Riley slopes at 15 degrees")
    answer = pair(given["d_m"], given["fc_hz"])
    level = answer.lobe_level.sel(lobe_angle=[given["theta_deg"], -given["theta_deg"]])
    assert level.values == pytest.approx([expected["dB"]] * 2, abs=0.02)
    assert answer.null_angle.values[-1] == pytest.approx(expected["null_deg"], abs=0.01)


def test_the_window_of_heights_is_that_of_the_exact_sum(make_case, solve_free_field):
    case = make_case(seat=seat_at(1.2, (0.9, 1.1)))
    answer = lobing(heard(predict(case, solve=solve_free_field))).isel(crossover=0)

    def level(height):
        # Both branches are −½ at the corner (Linkwitz 1976): two equal sources in phase.
        y = height - 0.6 - 0.19
        way = np.array([np.hypot(y + 0.05, 1.2), np.hypot(y - 0.10, 1.2)])
        return 20 * np.log10(np.abs(np.sum(np.exp(-2j * np.pi * 2500 / 343.0 * way) / way, axis=0)))

    fine = np.arange(0.3, 2.0, 1e-4)
    for ear in (0.9, 1.1):
        inside = np.abs(level(fine) - level(np.array([ear]))) <= 3.0
        start = np.searchsorted(fine, ear)
        high = fine[start + np.argmin(inside[start:])]
        below = ~inside[:start]
        low = fine[np.flatnonzero(below)[-1]] if below.any() else 0.3
        found = answer.sel(ear_height=ear)
        assert float(found.window_high) == pytest.approx(high, abs=1e-3)
        assert float(found.window_low) == pytest.approx(low, abs=1e-3)
        assert bool(found.window_open) == (not below.any())
        assert float(found.window_height) == pytest.approx(high - low, abs=2e-3)


def test_level_over_height_at_the_crossover_and_half_an_octave_off(make_case, solve_free_field):
    case = make_case()
    prediction = predict(case, solve=solve_free_field)
    answer = lobing(heard(prediction)).isel(crossover=0)
    assert answer.offset.values == pytest.approx([-0.5, 0.0, 0.5])
    # Corner on the grid of a second design with a point there: no interpolation to compare with.
    exact = make_case(
        frequencies=type(
            "Exact", (), {"values": lambda self: 2500.0 * 2.0 ** (np.arange(-12, 13) / 24)}
        )()
    )
    prediction = heard(predict(exact, solve=solve_free_field))
    pressure = prediction.height_total.isel(frequency=[0, 12, 24])
    expected = 20 * np.log10(np.abs(pressure) / 20e-6).transpose("frequency", "height")
    assert answer.height_level.values == pytest.approx(expected.values, abs=0.01)


def test_a_design_without_a_crossover_has_no_lobes(make_case, make_driver, solve_free_field):
    prediction = predict(make_case([make_driver("one")]), solve=solve_free_field)
    answer = lobing(heard(prediction))
    assert answer.sizes["crossover"] == 0
    assert answer.lobe_direction.size == 0
    assert answer.height_level.shape == (0, 3, prediction.height.size)


def test_two_drivers_that_hand_over_twice_keep_their_labels_apart(
    make_case, make_driver, pass_branch, solve_free_field
):
    low = pass_branch("b", "high-pass", 500.0).sections
    high = pass_branch("b", "low-pass", 5000.0).sections
    case = make_case(
        [make_driver("a", sensitivity=80.0), make_driver("b", 0.1)],
        crossover=(Branch("b", sections=(*low, *high)),),
    )
    found = crossovers(predict(case, solve=solve_free_field))
    assert list(found.crossover.values) == ["a to b", "b to a"]
    assert found.crossover_frequency.values[0] < 500.0 < 5000.0 < found.crossover_frequency[1]


def test_a_bump_on_a_lobe_is_not_a_lobe():
    angle = np.arange(-179.75, 180.25, 0.25)

    def bell(centre, width):
        return np.exp(-(((angle - centre) / width) ** 2))

    # A lobe at 20° with a small bump near the axis on its flank, and a stronger lobe far off.
    power = bell(20, 20) + 0.02 * bell(0, 2) + 1.5 * bell(-60, 15) + 1e-3
    direction, gain = _main_lobe(angle, power)
    assert direction == pytest.approx(20, abs=0.1)
    assert gain == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize("noise", [0.0, 1e-9, 0.01])
def test_a_pattern_that_is_alike_everywhere_points_along_the_axis(noise):
    angle = np.arange(-179.75, 180.25, 0.25)
    power = 1 + noise * np.sin(np.deg2rad(7 * angle))
    direction, gain = _main_lobe(angle, power)
    assert direction == 0.0
    assert gain == power[np.argmin(np.abs(angle))]


@pytest.mark.parametrize("shift", [0.0, 1e-9])
def test_drivers_side_by_side_point_along_the_axis(
    make_case, make_driver, pass_branch, solve_free_field, shift
):
    case = make_case(
        [
            make_driver("woofer", position=(-0.05, 0.0)),
            make_driver("tweeter", position=(0.05, shift)),
        ],
        crossover=(
            pass_branch("woofer", "low-pass", 2000.0),
            pass_branch("tweeter", "high-pass", 2000.0),
        ),
        reference=ReferenceAxis((0.0, 0.0), 2.0),
    )
    answer = lobing(heard(predict(case, solve=solve_free_field)))
    assert answer.lobe_direction.values.tolist() == [0.0]
    assert answer.lobe_gain.values == pytest.approx([0.0], abs=1e-9)


def test_lobes_about_an_axis_in_a_null_are_finite(
    make_case, make_driver, pass_branch, solve_free_field
):
    case = make_case(
        [make_driver("woofer", -0.06), make_driver("tweeter", 0.06)],
        crossover=(
            pass_branch("woofer", "low-pass", 2000.0, order=2),
            pass_branch("tweeter", "high-pass", 2000.0, order=2),
        ),
        reference=ReferenceAxis((0.0, 0.0), 100.0),
    )
    answer = lobing(heard(predict(case, solve=solve_free_field))).isel(crossover=0)
    assert np.isfinite(answer.lobe_gain)
    assert np.isfinite(answer.lobe_level).all()
    # Opposite phase: the first maximum is where the paths differ by half a wavelength.
    expected = np.rad2deg(np.arcsin(343.0 / 2000.0 / 2 / 0.12))
    assert abs(float(answer.lobe_direction)) == pytest.approx(expected, abs=0.1)
    assert np.min(np.abs(answer.null_angle)) == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize(("height", "fine"), [(0.4, True), (1.2, False)])
def test_arcs_too_coarse_for_the_cabinet_are_told(
    make_case, make_driver, pass_branch, solve_free_field, height, fine
):
    # kR is 18 for the small face and 32 for the tall one; 60 angles tell orders up to 30 apart.
    half = height / 2 - 0.05
    drivers = [make_driver("woofer", -half), make_driver("tweeter", half)]

    def at(step):
        case = make_case(
            drivers,
            crossover=(
                pass_branch("woofer", "low-pass", 2750.0),
                pass_branch("tweeter", "high-pass", 2750.0),
            ),
            cabinet=Cabinet(0.2, height, 0.3, base_height=0.5),
            reference=ReferenceAxis((0.0, 0.0), 2.0),
            frequencies=FrequencyGrid(1000.0, 8000.0, 24),
            arc_step=step,
        )
        return lobing(heard(predict(case, solve=solve_free_field))).isel(crossover=0)

    coarse, halved = at(6.0), at(3.0)
    assert bool(coarse.lobe_sampled) is fine
    assert bool(halved.lobe_sampled)
    apart = abs(coarse.lobe_level - halved.lobe_level.interp(lobe_angle=coarse.lobe_angle))
    strong = halved.lobe_level.interp(lobe_angle=coarse.lobe_angle) > -20
    worst = float(apart.where(strong).max())
    assert worst < 0.1 if fine else worst > 0.5


@pytest.mark.parametrize("late", [1e-3, 5e-3, 20e-3])
def test_a_delay_common_to_all_branches_changes_nothing(
    make_case, make_driver, pass_branch, solve_free_field, late
):
    # A pure delay leaves every magnitude as it is.
    def with_delay(delay):
        branches = (
            pass_branch("woofer", "low-pass", 2430.0, delay=delay),
            pass_branch("tweeter", "high-pass", 2430.0, delay=delay + 0.1e-3),
        )
        drivers = [make_driver("woofer", -0.05), make_driver("tweeter", 0.10)]
        return lobing(
            heard(predict(make_case(drivers, crossover=branches), solve=solve_free_field))
        ).isel(crossover=0)

    now, then = with_delay(0.0), with_delay(late)
    strong = now.lobe_level > -25
    assert float(abs(now.lobe_level - then.lobe_level).where(strong).max()) < 0.01
    assert float(abs(now.height_level - then.height_level).max()) < 0.01
    assert float(abs(now.window_height - then.window_height).max()) < 1e-3
    assert float(then.lobe_direction) == pytest.approx(float(now.lobe_direction), abs=0.01)


def test_between_heights_a_level_is_known_every_5_mm():
    height, ears = np.linspace(0.5, 1.5, 21), np.array([0.9, 1.02])
    # A pressure that is a cubic of height is followed to the digits.
    pressure = (1.0 + height**3).astype(complex)
    fine, along, at_ears = between_heights(height, pressure, ears)
    assert (fine[0], fine[-1], fine.size) == (0.5, 1.5, 201)
    np.testing.assert_allclose(along, 20 * np.log10(1 + fine**3), atol=1e-9)
    np.testing.assert_allclose(at_ears, 20 * np.log10(1 + ears**3), atol=1e-9)


def test_a_lobe_that_rises_to_the_very_side_is_there():
    angle = np.arange(-175.0, 181.0, 5.0)
    power = 1.0 + np.maximum(angle, 0.0) / 90
    direction, gain = _main_lobe(angle, power)
    assert (direction, gain) == (90.0, 2.0)
