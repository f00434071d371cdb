"""Digital sections against a general signal library and the cookbook's digital formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from acoustics.case.design.model import AllPass, Biquad, Branch, Fir, ParametricSection, PassFilter
from acoustics.conventions import RoundoverError
from acoustics.crossover import branch_response
from acoustics.crossover.branch import section_response
from acoustics.crossover.digital import stages_of

RATE = 48_000.0
FREQUENCY = np.geomspace(20.0, 23_900.0, 301)


def pass_filter(kind, alignment, order, corner):
    low, high = (corner, None) if kind == "high-pass" else (None, corner)
    return PassFilter(kind, alignment, order, low, high)


@pytest.mark.parametrize("corner", [40.0, 2200.0, 20_000.0])
@pytest.mark.parametrize("kind", ["low-pass", "high-pass"])
@pytest.mark.parametrize("order", range(1, 9))
@pytest.mark.parametrize("alignment", ["butterworth", "bessel"])
def test_slopes_are_those_of_the_signal_library(alignment, order, kind, corner):
    """scipy.signal designs with the bilinear transform too, the corner prewarped."""
    btype = kind.split("-")[0]
    if alignment == "butterworth":
        design = signal.butter(order, corner, btype, fs=RATE, output="sos")
    else:
        design = signal.bessel(order, corner, btype, fs=RATE, norm="mag", output="sos")
    _, expected = signal.sosfreqz(design, FREQUENCY, fs=RATE)
    answer = section_response(pass_filter(kind, alignment, order, corner), FREQUENCY, RATE)
    # The library's own sections lose digits to a corner far below the rate: (2π·40/48000)² of 1.
    assert answer == pytest.approx(expected, abs=1e-12 if corner > 1000 else 1e-9)


@pytest.mark.parametrize("order", [2, 4, 6, 8])
def test_linkwitz_riley_is_a_butterworth_twice(order):
    _, once = signal.sosfreqz(
        signal.butter(order // 2, 3000.0, fs=RATE, output="sos"), FREQUENCY, fs=RATE
    )
    section = pass_filter("low-pass", "linkwitz-riley", order, 3000.0)
    assert section_response(section, FREQUENCY, RATE) == pytest.approx(once**2, abs=1e-12)
    assert stages_of(section, RATE).shape == (order // 2, 6)


@pytest.mark.parametrize("order", range(1, 9))
def test_sections_are_of_second_order_and_one_of_first_where_the_order_is_odd(order):
    stages = stages_of(pass_filter("high-pass", "bessel", order, 500.0), RATE)
    assert stages.shape == ((order + 1) // 2, 6)
    first = [row for row in stages if row[2] == row[5] == 0]
    assert len(first) == order % 2
    assert (stages[:, 3] == 1).all()


def test_corners_are_exact_and_a_low_pass_has_its_zero_at_half_the_rate():
    low = pass_filter("low-pass", "butterworth", 4, 10_000.0)
    corner, end = np.abs(section_response(low, np.array([10_000.0, RATE / 2]), RATE))
    assert corner == pytest.approx(math.sqrt(0.5), rel=1e-12)
    assert end < 1e-12
    # An octave up the analogue one is 24.1 dB down; here that is close to half the rate.
    at = np.array([20_000.0])
    analogue, digital = (abs(section_response(low, at, rate))[0] for rate in (None, RATE))
    assert 20 * math.log10(analogue) == pytest.approx(-24.1, abs=0.05)
    assert digital < analogue / 10


def cookbook(kind, gain, q, corner):
    """b and a of R. Bristow-Johnson's cookbook, digital (from memory)."""
    A, w = 10 ** (gain / 40), 2 * math.pi * corner / RATE
    cos, alpha = math.cos(w), math.sin(w) / (2 * q)
    root = 2 * math.sqrt(A) * alpha
    if kind == "peak":
        b = [1 + alpha * A, -2 * cos, 1 - alpha * A]
        a = [1 + alpha / A, -2 * cos, 1 - alpha / A]
    elif kind == "low-shelf":
        b = [
            A * ((A + 1) - (A - 1) * cos + root),
            2 * A * ((A - 1) - (A + 1) * cos),
            A * ((A + 1) - (A - 1) * cos - root),
        ]
        a = [
            (A + 1) + (A - 1) * cos + root,
            -2 * ((A - 1) + (A + 1) * cos),
            (A + 1) + (A - 1) * cos - root,
        ]
    elif kind == "high-shelf":
        b = [
            A * ((A + 1) + (A - 1) * cos + root),
            -2 * A * ((A - 1) + (A + 1) * cos),
            A * ((A + 1) + (A - 1) * cos - root),
        ]
        a = [
            (A + 1) - (A - 1) * cos + root,
            2 * ((A - 1) - (A + 1) * cos),
            (A + 1) - (A - 1) * cos - root,
        ]
    else:
        b, a = [1 - alpha, -2 * cos, 1 + alpha], [1 + alpha, -2 * cos, 1 - alpha]
    return np.array([*b, *a]) / a[0]


@pytest.mark.parametrize("corner", [60.0, 3000.0, 15_000.0])
@pytest.mark.parametrize("gain", [-7.0, 4.0])
@pytest.mark.parametrize("kind", ["peak", "low-shelf", "high-shelf"])
def test_peaks_and_shelves_are_those_of_the_cookbook(kind, gain, corner):
    (row,) = stages_of(ParametricSection(kind, corner, gain, 1.3), RATE)
    assert row == pytest.approx(cookbook(kind, gain, 1.3, corner), abs=1e-12)


def test_an_all_pass_is_that_of_the_cookbook():
    (row,) = stages_of(AllPass(2, 700.0, 0.8), RATE)
    assert row == pytest.approx(cookbook("all-pass", 0.0, 0.8, 700.0), abs=1e-12)


@pytest.mark.parametrize("rate", [None, RATE])
@pytest.mark.parametrize("section", [AllPass(1, 900.0), AllPass(2, 900.0, 0.6)])
def test_an_all_pass_leaves_the_magnitude_and_turns_by_180_degrees_for_each_order(section, rate):
    frequency = np.geomspace(0.01, 23_999.99 if rate else 1e8, 4001)
    answer = section_response(section, frequency, rate)
    assert np.abs(answer) == pytest.approx(np.ones(4001), abs=1e-9)
    phase = np.degrees(np.unwrap(np.angle(answer)))
    assert phase[0] == pytest.approx(0.0, abs=0.01)
    assert phase[-1] == pytest.approx(-180.0 * section.order, abs=0.01)
    half = section_response(section, np.array([900.0]), rate)[0]
    assert half == pytest.approx(-1j if section.order == 1 else -1.0, abs=1e-12)


@pytest.mark.parametrize(("order", "q"), [(1, None), (2, 0.5), (2, 3.0)])
def test_the_group_delay_of_an_all_pass(order, q):
    """Closed forms with x = f/f₀: 2/(1 + x²) and (2/q)(1 + x²)/((1 − x²)² + (x/q)²), over ω₀."""
    x = np.array([0.2, 0.9, 1.0, 1.7])
    step = 1e-6
    turned = section_response(AllPass(order, 500.0, q), 500.0 * (x + step))
    turned /= section_response(AllPass(order, 500.0, q), 500.0 * (x - step))
    delay = -np.angle(turned) / (2 * np.pi * 500.0 * 2 * step)
    closed = 2 / (1 + x**2) if q is None else 2 / q * (1 + x**2) / ((1 - x**2) ** 2 + (x / q) ** 2)
    assert delay == pytest.approx(closed / (2 * np.pi * 500.0), rel=1e-6)


def test_coefficients_and_taps_are_taken_as_they_are():
    b, a = (0.2, 0.3, -0.1), (1.0, -0.5, 0.25)
    _, expected = signal.freqz(b, a, FREQUENCY, fs=RATE)
    assert section_response(Biquad(b, a), FREQUENCY, RATE) == pytest.approx(expected, abs=1e-12)
    taps = np.random.default_rng(4).normal(size=2500)
    _, expected = signal.freqz(taps, 1, FREQUENCY, fs=RATE)
    answer = section_response(Fir(tuple(taps)), FREQUENCY, RATE)
    assert answer == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("section", [Biquad((1.0, 0.0, 0.0), (1.0, 0.0, 0.0)), Fir((1.0,))])
def test_without_a_sampling_rate_coefficients_mean_nothing(section):
    with pytest.raises(RoundoverError, match="sampling_rate"):
        section_response(section, FREQUENCY)


def test_delays_are_whole_samples_and_gain_and_polarity_as_they_are():
    # 0.05 ms are 2.4 samples of 48 kHz.
    answer = branch_response(Branch("d", gain=-6.0, delay=50e-6, inverted=True), FREQUENCY, RATE)
    expected = -(10 ** (-6 / 20)) * np.exp(-2j * np.pi * FREQUENCY * 2 / RATE)
    assert answer == pytest.approx(expected, rel=1e-12)


def test_far_below_the_rate_digital_and_analogue_are_the_same():
    """The bilinear transform's error goes as (πf/f_s)²/3, relative to frequency."""
    low = np.geomspace(20.0, 500.0, 40)
    sections = (
        pass_filter("low-pass", "linkwitz-riley", 4, 300.0),
        ParametricSection("peak", 200.0, 5.0, 2.0),
        AllPass(2, 150.0, 0.7),
    )
    branch = Branch("d", sections)
    digital, analogue = branch_response(branch, low, RATE), branch_response(branch, low)
    assert digital == pytest.approx(analogue, abs=0.002)
    assert np.abs(digital - analogue).max() > 1e-6


def test_what_is_no_section_of_second_order_is_refused():
    with pytest.raises(TypeError, match="Fir has no second-order sections"):
        stages_of(Fir(taps=(1.0,)), RATE)


def test_sections_come_with_rising_quality_factors():
    """Butterworth 8: 0.510, 0.601, 0.900, 2.563 (any handbook of filters; 1/(2 cos θ)).

    Of a section with its corner at ω₀: Q = sin ω₀/2·(1 + a₂)/(1 − a₂), by the cookbook's
    a₀ = 1 + α, a₂ = 1 − α with α = sin ω₀/2Q.
    """
    for kind in ("low-pass", "high-pass"):
        stages = stages_of(pass_filter(kind, "butterworth", 8, 3000.0), RATE)
        sine = math.sin(2 * math.pi * 3000.0 / RATE)
        found = [sine / 2 * (1 + row[5]) / (1 - row[5]) for row in stages]
        assert found == pytest.approx([0.5098, 0.6013, 0.9000, 2.5629], abs=1e-4)
    # Two real poles make 1/2, before the pair of 1: Linkwitz–Riley 6 is Butterworth 3 twice.
    stages = stages_of(pass_filter("low-pass", "linkwitz-riley", 6, 3000.0), RATE)
    found = [sine / 2 * (1 + row[5]) / (1 - row[5]) for row in stages]
    assert found == pytest.approx([0.5, 1.0, 1.0])


def test_an_odd_band_pass_has_its_high_pass_first_and_each_ends_with_a_first_order():
    """Zeros at 0 Hz (z = 1) of the high-pass, at half the rate (z = −1) of the low-pass."""
    section = PassFilter("band-pass", "butterworth", 3, 300.0, 3000.0)
    stages = stages_of(section, RATE)
    b = stages[:, :3] / stages[:, :1]
    assert b == pytest.approx(np.array([[1, -2, 1], [1, -1, 0], [1, 2, 1], [1, 1, 0]]))
    for order, corner, high, rows in ((3, 300.0, True, (0, 1)), (3, 3000.0, False, (2, 3))):
        design = signal.butter(order, corner, "high" if high else "low", fs=RATE, output="sos")
        _, expected = signal.sosfreqz(design, FREQUENCY, fs=RATE)
        _, found = signal.sosfreqz(stages[list(rows)], FREQUENCY, fs=RATE)
        assert found == pytest.approx(expected, abs=1e-10)


def test_what_may_be_a_list_may_be_a_list():
    """Frequencies as plain numbers, as everywhere."""
    taps = Fir((0.5, 0.5))
    # The mean of two samples: cos(πf/f_s), half a sample late.
    expected = math.cos(math.pi / 8) * np.exp(-1j * np.pi / 8)
    assert section_response(taps, [RATE / 8], RATE) == pytest.approx([expected])
    assert section_response(Biquad((1, 0, 0), (1, 0, 0)), [RATE / 8], RATE) == pytest.approx([1.0])
