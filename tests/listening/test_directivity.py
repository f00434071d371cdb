"""Beamwidths of the circular piston (Kinsler, Frey, Coppens & Sanders, ch. 7) and of a pair."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from acoustics.case.design.model import ReferenceAxis
from acoustics.listening import (
    directivity,
    least_beamwidth,
    off_axis_level,
    rms_side_difference,
    side_difference,
)
from acoustics.prediction import predict


def frequencies(*values):
    return SimpleNamespace(values=lambda: np.array(values))


@pytest.mark.parametrize(
    "name",
    [
        "-6 dB, 65 mm, 5 kHz",
        "-6 dB, 12.5 mm, 16 kHz",
        "-3 dB, 100 mm, 3 kHz",
        "-6 dB, 50 mm, 2 kHz",
    ],
)
def test_beamwidth_of_a_piston(name, reference, make_case, make_driver, solve_baffled_piston):
    check = next(entry for entry in reference("piston_beamwidth") if entry["name"] == name)
    given, expected = check["inputs"], check["expected"]["full_beamwidth_deg"]
    case = make_case(
        [make_driver("piston", piston_diameter=2 * given["a_m"])],
        frequencies=frequencies(given["f_hz"]),
    )
    answer = directivity(predict(case, solve=solve_baffled_piston), drop=-given["level_dB"])
    width = answer.beamwidth.isel(frequency=0).values
    if expected is None:
        assert width.tolist() == [360.0, 360.0]
        assert answer.beam_low.values[0, 0] == -180.0
        assert answer.beam_high.values[0, 0] == 180.0
    else:
        assert width == pytest.approx([expected, expected], abs=0.05)  # the table's tolerance
        assert answer.beam_high.values[0, 0] == pytest.approx(expected / 2, abs=0.025)
        assert answer.beam_low.values[0, 0] == pytest.approx(-expected / 2, abs=0.025)


def test_least_beamwidth_counts_a_pattern_that_never_falls_as_full_circle(
    make_case, make_driver, solve_baffled_piston
):
    case = make_case(
        [make_driver("piston", piston_diameter=0.13)], frequencies=frequencies(50.0, 60.0, 5000.0)
    )
    prediction = predict(case, solve=solve_baffled_piston)
    low = least_beamwidth(prediction, (40.0, 100.0))
    assert low.values == pytest.approx([360.0, 360.0])
    whole = least_beamwidth(prediction, (40.0, 5000.0))
    assert whole.sel(plane="horizontal") == pytest.approx(
        43.618, abs=0.05
    )  # as above: -6 dB, 65 mm, 5 kHz


@pytest.mark.parametrize("name", ["level of a pair at 20 degrees", "level of a pair at 45 degrees"])
def test_level_of_a_pair_off_its_axis(name, reference, make_case, make_driver, solve_free_field):
    check = next(entry for entry in reference("lobing") if entry["name"] == name)
    given = check["inputs"]
    half = given["d_m"] / 2
    case = make_case(
        [make_driver("low", -half), make_driver("high", half)],
        reference=ReferenceAxis((0.0, 0.0), 100.0),
        frequencies=frequencies(given["f_hz"]),
    )
    levels = off_axis_level(predict(case, solve=solve_free_field))
    found = levels.sel(plane="vertical", angle=given["theta_deg"]).item()
    assert found == pytest.approx(check["expected"]["dB"], abs=0.01)
    assert levels.sel(angle=0.0).values == pytest.approx(np.zeros((2, 1)))
    assert levels.sel(plane="horizontal").values == pytest.approx(np.zeros((72, 1)), abs=1e-3)


def test_a_lopsided_beam_has_its_ends_on_the_right_sides(make_case, make_driver, solve_free_field):
    # A cardioid-like pair: the right one a quarter wave late, so the sum leans to the right.
    wavelength = 343.0 / 1000.0
    delayed = make_driver("right", acoustic_depth=0.0, position=(wavelength / 8, 0.0))
    left = make_driver("left", acoustic_depth=-wavelength / 4, position=(-wavelength / 8, 0.0))
    case = make_case(
        [left, delayed],
        reference=ReferenceAxis((0.0, 0.0), 100.0),
        frequencies=frequencies(1000.0),
    )
    answer = directivity(predict(case, solve=solve_free_field))
    # |cos(π/4·(1 − sinθ))|: 6 dB below its value on the axis at cos u = cos(π/4)·10^(−6/20).
    end = -np.rad2deg(np.arcsin(4 / np.pi * np.arccos(np.sqrt(0.5) * 10**-0.3) - 1))
    assert answer.beam_low.values[0, 0] == pytest.approx(end, abs=0.05)
    assert answer.beam_high.values[0, 0] == pytest.approx(180 - end, abs=0.05)


@pytest.fixture
def null_on_the_axis(make_case, make_driver, pass_branch):
    """Two drivers that cancel at 2 kHz midway between them, where the reference axis lies.

    Second-order Linkwitz–Riley slopes are in opposite phase at the corner (Linkwitz 1976).
    """
    return make_case(
        [make_driver("woofer", -0.06), make_driver("tweeter", 0.06)],
        crossover=(
            pass_branch("woofer", "low-pass", 2000.0, order=2),
            pass_branch("tweeter", "high-pass", 2000.0, order=2),
        ),
        reference=ReferenceAxis((0.0, 0.0), 2.0),
    )


@pytest.mark.parametrize("smoothing", [None, 6.0])
def test_a_beam_about_a_null_has_no_width(null_on_the_axis, solve_free_field, smoothing):
    prediction = predict(null_on_the_axis, solve=solve_free_field)
    answer = directivity(prediction, smoothing=smoothing)
    assert np.isfinite(answer.off_axis_level).all()
    assert np.isnan(answer.beamwidth.sel(frequency=2000.0)).all()
    assert np.isnan(answer.beam_low.sel(frequency=2000.0)).all()
    # Two octaves below, only the woofer is heard, and it plays all round.
    assert answer.beamwidth.sel(frequency=250.0).values.tolist() == [360.0, 360.0]
    assert np.isnan(least_beamwidth(prediction, (300.0, 10e3))).all()
    assert np.isfinite(least_beamwidth(prediction, (200.0, 400.0))).all()
    assert np.isnan(least_beamwidth(prediction, (30e3, 40e3))).all()


def test_side_difference_of_a_source_off_the_axis(make_case, make_driver, solve_free_field):
    case = make_case([make_driver("d", position=(0.05, 0.0))], reference=ReferenceAxis((0, 0), 1.0))
    prediction = predict(case, solve=solve_free_field)
    difference = side_difference(prediction)
    angle = difference.angle.values
    assert angle[[0, -1]] == pytest.approx([5.0, 60.0])
    # Inverse distance law: nearer on the right.
    x, z = np.sin(np.deg2rad(angle)), np.cos(np.deg2rad(angle))
    expected = 20 * np.log10(np.hypot(-x - 0.05, z) / np.hypot(x - 0.05, z))
    for column in difference.transpose("frequency", "angle").values:
        assert column == pytest.approx(expected, abs=1e-6)
    rms = float(rms_side_difference(prediction))
    assert rms == pytest.approx(np.sqrt(np.mean(expected**2)), abs=1e-6)


def test_a_symmetric_layout_has_no_side_difference(make_case, solve_free_field):
    assert float(rms_side_difference(predict(make_case(), solve=solve_free_field))) < 1e-9
