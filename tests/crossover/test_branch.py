"""Sections in cascade, gain, delay, polarity; peaks and shelves at the points that define them."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from acoustics.case.design.model import Branch, ParametricSection, PassFilter
from acoustics.crossover import branch_response, branches_of

FREQUENCY = np.geomspace(20.0, 20_000.0, 61)


def decibels(value):
    return 20 * np.log10(np.abs(value))


def parametric(kind, gain, q=0.7, frequency=500.0):
    section = ParametricSection(kind, frequency, gain, q)
    return lambda f: branch_response(Branch("d", (section,)), np.asarray(f, dtype=float))


@pytest.mark.parametrize("gain", [-9.0, 4.0])
def test_a_peak_has_its_gain_at_the_centre_and_none_far_away(gain):
    answer = parametric("peak", gain, q=2.0)
    assert decibels(answer([500.0])) == pytest.approx([gain], abs=1e-12)
    assert decibels(answer([0.5, 500e3])) == pytest.approx([0.0, 0.0], abs=1e-4)


def test_a_peak_and_the_opposite_peak_cancel():
    # The cookbook's peaks are symmetric: H(−gain) = 1/H(gain).
    up, down = parametric("peak", 6.0, q=3.0), parametric("peak", -6.0, q=3.0)
    assert up(FREQUENCY) * down(FREQUENCY) == pytest.approx(np.ones(61), abs=1e-12)


@pytest.mark.parametrize("q", [0.5, 2.0, 5.0])
def test_the_quality_factor_sets_the_width_at_half_the_gain(q):
    # Cookbook: the bandwidth between half-gain (dB) points obeys 1/Q = 2 sinh(ln2/2·BW).
    half = np.arcsinh(1 / (2 * q))  # ln(f/f₀) of the half-gain points
    answer = parametric("peak", 8.0, q=q)
    points = 500.0 * np.exp([-half, half])
    assert decibels(answer(points)) == pytest.approx([4.0, 4.0], abs=1e-9)


@pytest.mark.parametrize(("kind", "low", "high"), [("low-shelf", 5.0, 0.0), ("high-shelf", 0.0, 5)])
def test_a_shelf_has_its_gain_on_one_side_and_half_of_it_at_the_corner(kind, low, high):
    answer = parametric(kind, 5.0)
    assert decibels(answer([0.5, 500.0, 500e3])) == pytest.approx([low, 2.5, high], abs=1e-4)


@pytest.mark.parametrize("kind", ["low-shelf", "high-shelf"])
@pytest.mark.parametrize("gain", [-6.0, 6.0])
def test_a_shelf_is_symmetric_about_its_corner_in_log_frequency(kind, gain):
    # Half the gain at the corner, as much above it on one side as below it on the other.
    answer = parametric(kind, gain)
    ratio = np.array([1.3, 2.0, 5.0])
    above, below = decibels(answer(500.0 * ratio)), decibels(answer(500.0 / ratio))
    assert above + below == pytest.approx([gain] * 3, abs=1e-9)


@pytest.mark.parametrize("kind", ["low-shelf", "high-shelf"])
def test_a_shelf_of_butterworth_quality_is_the_steepest_without_overshoot(kind):
    # Cookbook: a shelf slope of 1, Q = 1/√2, is as steep as it can be and stay monotonic.
    frequency = np.geomspace(20.0, 20_000.0, 2001)
    for q, monotonic in ((1 / np.sqrt(2), True), (0.6, True), (0.8, False)):
        slope = np.diff(decibels(parametric(kind, 9.0, q)(frequency)))
        same_sign = np.all(slope < 1e-9) or np.all(slope > -1e-9)
        assert bool(same_sign) is monotonic


@pytest.mark.parametrize("kind", ["peak", "low-shelf", "high-shelf"])
@pytest.mark.parametrize("gain", [-9.0, 9.0])
def test_the_phase_is_the_least_that_goes_with_the_magnitude(kind, gain):
    # Minimum phase: the phase is the Hilbert transform of ln|H| (Bode 1945).
    rate, count = 2**18, 2**20
    bins = np.fft.fftfreq(count, 1 / rate)
    response = parametric(kind, gain, q=1.0)
    magnitude = np.log(np.abs(response(np.abs(np.where(bins == 0, 1e-6, bins)))))
    phase = -np.imag(signal.hilbert(magnitude))
    for frequency in (250.0, 500.0, 1000.0):
        place = int(np.argmin(np.abs(bins - frequency)))
        expected = np.angle(response([bins[place]])[0])
        assert phase[place] == pytest.approx(expected, abs=0.01)


def test_gain_delay_and_polarity():
    answer = branch_response(Branch("d", gain=-6.0, delay=0.25e-3, inverted=True), FREQUENCY)
    expected = -(10 ** (-6 / 20)) * np.exp(-2j * np.pi * FREQUENCY * 0.25e-3)
    assert answer == pytest.approx(expected, rel=1e-12)


def test_a_band_pass_is_a_high_pass_and_a_low_pass_in_cascade():
    def pass_filter(kind, low, high):
        return branch_response(
            Branch("d", (PassFilter(kind, "butterworth", 3, low, high),)), FREQUENCY
        )

    band = pass_filter("band-pass", 300.0, 3000.0)
    cascade = pass_filter("high-pass", 300.0, None) * pass_filter("low-pass", None, 3000.0)
    assert band == pytest.approx(cascade, rel=1e-12)
    assert decibels(band[[0, -1]]).max() < -45


def test_a_driver_without_a_branch_gets_one(make_case, make_driver, pass_branch):
    case = make_case(
        [make_driver("woofer"), make_driver("tweeter", 0.1)],
        crossover=(pass_branch("tweeter", "high-pass", 2000.0),),
    )
    answer = np.array([branch_response(branch, FREQUENCY) for branch in branches_of(case)])
    assert answer.shape == (2, 61)
    assert answer[0] == pytest.approx(np.ones(61))
    assert abs(answer[1, 0]) < 1e-6
