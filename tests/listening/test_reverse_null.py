"""The dip with one side reversed, against closed forms of two sources and of ideal filters.

At equal levels φ apart the reversed sum is |sin φ/2| of that in phase, elementary. Phases of ideal
filters: Linkwitz, J. Audio Eng. Soc. 24 (1976) 2; Lipshitz & Vanderkooy, ibid. 31 (1983) and 34
(1986): from memory. That a null of 20 dB is deep is common practice, no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from acoustics.listening import reverse_null
from acoustics.listening.reverse_null import DEEP, VERDICTS, null_of, verdict_on
from acoustics.prediction import predict

GRID = 20.0 * 2.0 ** (np.arange(240) / 24)
CORNER = 2100.0


def pair(order, halves=1, frequency=GRID):
    """Outputs of a low- and a high-pass, each that many Butterworth filters of one order."""
    made = []
    for way in ("lowpass", "highpass"):
        b, a = signal.butter(order, 2 * np.pi * CORNER, way, analog=True)
        made.append(signal.freqs(b, a, 2 * np.pi * frequency)[1] ** halves)
    return np.array(made)


def test_fourth_order_linkwitz_riley_cancels_at_its_corner():
    """Equal and in phase there: the null has no bottom; the grid has no point on it."""
    assert np.abs(GRID / CORNER - 1).min() > 1e-3
    null = null_of(GRID, *pair(2, 2), CORNER)
    assert null.frequency == pytest.approx(CORNER, rel=1e-4)
    assert null.depth > 55.0
    assert null.change == pytest.approx(null.depth, abs=1e-3)
    assert null.built_depth == pytest.approx(0.0, abs=1e-6)
    assert null.asymmetry == pytest.approx(0.0, abs=1e-3)
    assert null.verdict == "deep"


def test_second_order_linkwitz_riley_is_the_other_way_round():
    lower, upper = pair(1, 2)
    null = null_of(GRID, lower, upper, CORNER)
    assert null.verdict == "opposed"
    assert null.built_depth > 40.0
    assert null.depth == pytest.approx(0.0, abs=1e-6)
    assert np.isnan(null.frequency)
    turned = null_of(GRID, lower, -upper, CORNER)
    assert turned.verdict == "deep"
    assert turned.frequency == pytest.approx(CORNER, rel=1e-4)
    assert turned.depth > 55.0


def test_third_order_butterworth_does_not_care():
    """90° apart: reversed it is the same level at every frequency, and 3 dB from that in phase."""
    null = null_of(GRID, *pair(3), CORNER)
    assert null.change == pytest.approx(0.0, abs=1e-3)
    assert null.depth == pytest.approx(10 * np.log10(2), abs=1e-3)
    assert null.built_depth == pytest.approx(null.depth, abs=1e-3)
    assert null.frequency == pytest.approx(CORNER, rel=1e-3)
    assert np.isnan(null.asymmetry)  # no dip to speak of
    assert null.verdict == "shallow"


@pytest.mark.parametrize(
    ("phase", "verdict"), [(11.0, "deep"), (12.0, "fair"), (36.0, "fair"), (38.0, "shallow")]
)
def test_the_depth_is_the_sine_of_half_the_phase(phase, verdict):
    lower, upper = pair(2, 2)
    null = null_of(GRID, lower, upper * np.exp(1j * np.radians(phase)), CORNER)
    half = np.radians(phase / 2)
    assert null.depth == pytest.approx(-20 * np.log10(np.sin(half)), abs=0.01)
    assert null.change == pytest.approx(20 * np.log10(np.cos(half) / np.sin(half)), abs=0.01)
    assert null.verdict == verdict


def test_a_louder_upper_driver_moves_the_null_down():
    """|upper/lower| = g·(f/f_c)⁴ is 1 at f_c·g^(−1/4); fourth order, in phase everywhere."""
    lower, upper = pair(2, 2)
    gain = 10 ** (4 / 20)
    null = null_of(GRID, lower, gain * upper, CORNER)
    assert null.frequency == pytest.approx(CORNER * gain**-0.25, rel=1e-4)
    assert null.depth > 50.0


def test_a_delay_makes_the_null_lopsided():
    """Reaching farther down, where the drivers are nearer to being in phase."""
    lower, upper = pair(2, 2)
    late = np.exp(-2j * np.pi * GRID * 25e-6)
    null = null_of(GRID, lower, upper * late, CORNER)
    assert null.depth < DEEP
    assert null.frequency < CORNER
    # By brute force on a fine grid: where it is 6 dB deep.
    fine = CORNER * 2.0 ** np.linspace(-1, 1, 200_001)
    low, high = pair(2, 2, fine)
    high = high * np.exp(-2j * np.pi * fine * 25e-6)
    down = 20 * np.log10((abs(low) + abs(high)) / abs(low - high))
    at = int(down.argmax())
    assert null.frequency == pytest.approx(fine[at], rel=1e-3)
    assert null.depth == pytest.approx(down[at], abs=1e-3)
    deep = np.log2(fine[down >= 6.0])
    up, below = deep[-1] - np.log2(fine[at]), np.log2(fine[at]) - deep[0]
    assert null.asymmetry == pytest.approx((up - below) / (up + below), abs=0.01)


def test_a_long_delay_dips_either_way_round():
    """0.5 ms late: in phase at 3 kHz (180° of the filters and 540° of the delay are two turns), and
    in opposite phase at 2 kHz; no constant phase has both."""
    lower, upper = pair(1, 2)
    null = null_of(GRID, lower, upper * np.exp(-2j * np.pi * GRID * 5e-4), CORNER)
    assert null.verdict == "either way"
    # At 3 kHz the upper one is (3000/2100)² as loud; a little lower they are more alike.
    ratio = (3000.0 / CORNER) ** 2
    assert 0 < null.depth - 20 * np.log10((ratio + 1) / (ratio - 1)) < 0.3


def test_every_verdict_has_words():
    depths = [0.0, 2.0, 9.9, 10.0, 20.0, 40.0, np.nan]
    found = {verdict_on(one, other) for one in depths for other in depths}
    assert found == set(VERDICTS)


def test_silence_has_no_null():
    lower, upper = pair(2, 2)
    null = null_of(GRID, lower, 0 * upper, CORNER)
    assert null.verdict == "none"
    assert np.isnan([null.depth, null.frequency, null.built_depth, null.asymmetry]).all()


def test_reversing_changes_the_sign_of_all_above(make_case, solve_free_field):
    prediction = predict(make_case(), solve=solve_free_field)
    found = reverse_null(prediction)
    axis = prediction.arc_pressure.sel(plane="horizontal", angle=0.0)
    expected = abs(axis.sel(driver="woofer") - axis.sel(driver="tweeter"))
    turned = abs(found.reversed_total.sel(place="reference axis")).isel(crossover=0)
    np.testing.assert_allclose(turned, expected, rtol=1e-9)
    ear = prediction.seat_pressure.sel(path="direct", seat="main", ear_height=0.9).isel(speaker=0)
    expected = abs(ear.sel(driver="woofer") - ear.sel(driver="tweeter"))
    turned = abs(found.reversed_total.sel(place="main seat")).isel(crossover=0)
    np.testing.assert_allclose(turned, expected, rtol=1e-9)


@pytest.mark.parametrize("inverted", [False, True])
def test_of_a_prediction(make_case, make_driver, pass_branch, solve_free_field, inverted):
    """Fourth-order slopes of two sources at one place, one of them wired backward or not."""
    case = make_case(
        [make_driver("woofer"), make_driver("tweeter", inverted=inverted)],
        crossover=(
            pass_branch("woofer", "low-pass", CORNER),
            pass_branch("tweeter", "high-pass", CORNER),
        ),
    )
    found = reverse_null(predict(case, solve=solve_free_field)).isel(crossover=0)
    assert found.null_verdict.values.tolist() == ["opposed" if inverted else "deep"] * 2
    if not inverted:
        assert found.null_frequency.values == pytest.approx([CORNER] * 2, rel=1e-3)
        assert found.null_shift.values == pytest.approx([0.0, 0.0], abs=2e-3)
        assert (found.null_depth > 50.0).all()
    for name in found.data_vars:
        assert found[name].attrs["long_name"], name


def test_one_driver_has_nothing_to_reverse(make_case, make_driver, solve_free_field):
    prediction = predict(make_case([make_driver("one")]), solve=solve_free_field)
    found = reverse_null(prediction)
    assert found.null_depth.shape == (0, 2)
    assert found.reversed_total.shape == (0, 2, prediction.frequency.size)
