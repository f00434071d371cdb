"""Alignments of closed and vented boxes against Thiele's table and Small's closed forms."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from scipy import signal

from acoustics.source.alignments import (
    alignments_of,
    closed_alignment,
    closed_f3,
    closed_peak,
    closed_response,
    vented_alignment,
    vented_peak,
    vented_polynomial,
    vented_response,
)

# Thiele, J. Audio Eng. Soc. 19 (1971) 382, table 1, alignments 1 to 9 as published, from memory
# (Q_T 0.466 in the seventh is the value that agrees with the rest of its row): name, f₃/f_S,
# f_B/f_S, V_AS/V, Q_T.
THIELE = [
    ("QB3", 2.68, 2.00, 10.48, 0.180),
    ("QB3", 2.28, 1.73, 7.48, 0.209),
    ("QB3", 1.77, 1.42, 4.46, 0.259),
    ("QB3", 1.45, 1.23, 2.95, 0.303),
    ("B4", 1.000, 1.000, 1.414, 0.383),
    ("C4", 0.867, 0.927, 1.055, 0.415),
    ("C4", 0.729, 0.829, 0.729, 0.466),
    ("C4", 0.641, 0.757, 0.559, 0.518),
    ("C4", 0.600, 0.716, 0.485, 0.557),
]


@pytest.mark.parametrize(("name", "f3", "h", "alpha", "q"), THIELE)
def test_thieles_table(name, f3, h, alpha, q):
    found = vented_alignment(1.0, q, 1.0)
    assert found.name == name
    assert (found.f3, found.tuning, 1 / found.volume) == pytest.approx((f3, h, alpha), rel=0.02)


# Closed forms for a box without losses: QB3 h = 1/(2Q√(2−2Q²)), α = 1/(2Q²) − 1 − h² (from its
# definition); C4 by the poles (Small, J. Audio Eng. Soc. 21, 1973, 363, from memory). Q, h, α, f₃.
EXACT = [
    (0.18, 1.99680002, 10.4448885, 2.67916694),
    (0.259, 1.41329647, 4.4562685, 1.77210118),
    (0.303, 1.2244013, 2.94693063, 1.44813249),
    (0.35, 1.07835908, 1.91877435, 1.16787898),
    (1 / math.sqrt(4 + 2 * math.sqrt(2)), 1.0, math.sqrt(2), 1.0),
    (0.415, 0.927740236, 1.05283989, 0.866333562),
    (0.466, 0.827041766, 0.724261633, 0.725990379),
    (0.518, 0.755296474, 0.557835647, 0.641358386),
]


@pytest.mark.parametrize(("q", "h", "alpha", "f3"), EXACT)
def test_closed_forms_without_losses(q, h, alpha, f3):
    found = vented_alignment(40.0, q, 0.05)
    assert found.tuning == pytest.approx(40.0 * h, rel=1e-5)
    assert 0.05 / found.volume == pytest.approx(alpha, rel=1e-5)
    assert found.f3 == pytest.approx(40.0 * f3, rel=1e-5)


@pytest.mark.parametrize("leakage", [7.0, 10.0])
def test_b4_with_losses(leakage):
    """h = 1, 1/Q_T = 2.613 − 1/Q_L, α = 1.414 − 1/(Q_L·Q_T): Small (1973)."""
    q = 1 / (2.61312593 - 1 / leakage)
    found = vented_alignment(1.0, q, 1.0, leakage)
    assert found.name == "B4"
    assert found.tuning == 1.0
    assert 1 / found.volume == pytest.approx(math.sqrt(2) - 1 / (leakage * q), rel=1e-5)
    assert found.f3 == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize("leakage", [5.0, 7.0, 20.0, math.inf])
@pytest.mark.parametrize("q", [0.2, 0.3, 0.36, 0.43, 0.5])
def test_the_response_is_that_of_the_family(q, leakage):
    """What each family's name promises, from the response alone: QB3 and B4 have no x⁻² and x⁻⁴;
    C4 touches its lowest value in the pass band as often as Chebyshev's polynomial does."""
    found = vented_alignment(1.0, q, 1.0, leakage)
    x = np.geomspace(0.3, 100, 20_000)
    gain = np.abs(vented_response(x, 1.0, found.tuning, 1 / found.volume, q, leakage)) ** -2
    place = x / math.sqrt(found.tuning)
    if found.name == "QB3":
        b = (gain - 1 - place**-8) * place**6
        near = (place > 0.3) & (place < 2)  # farther up it drowns in what 1 is rounded to
        assert np.ptp(b[near]) < 1e-6 * b[near].max()
    else:
        assert found.name == "C4"
        # Equal maxima of |G| and equal minima (1) between them.
        inner = gain[1:-1]
        peaks = inner[(inner < gain[:-2]) & (inner < gain[2:])]
        troughs = inner[(inner > gain[:-2]) & (inner > gain[2:])]
        assert len(peaks) == 2
        assert len(troughs) == 1
        assert peaks == pytest.approx(peaks.mean(), abs=1e-7)
        assert troughs == pytest.approx(1.0, abs=1e-7)
        assert found.peak == pytest.approx(-10 * math.log10(peaks[0]), abs=1e-6)


def test_chebyshev_against_a_filter_library():
    """The poles of a fourth-order Chebyshev filter, low-pass turned into high-pass, by scipy."""
    found = vented_alignment(1.0, 0.518, 1.0)
    a = vented_polynomial(found.tuning, 1 / found.volume, 0.518)
    ours = np.roots([1, *a, 1])
    _, poles, _ = signal.cheb1ap(4, found.peak)
    theirs = 1 / poles
    theirs /= np.prod(np.abs(theirs)) ** 0.25  # in units of √(f_S·f_B)
    assert sorted(ours, key=cmath.phase) == pytest.approx(sorted(theirs, key=cmath.phase), rel=1e-4)


# Small (1973): G(jf) computed from a₁, a₂, a₃ by hand: h, α, Q_T, Q_L, f/f_S, G.
RESPONSES = [
    (1.0, 1.41421356, 0.382683432, math.inf, 0.5, 0.0130083492 - 0.061006831j),
    (1.0, 1.41421356, 0.382683432, math.inf, 1.0, -0.707106781 + 0j),
    (1.2, 2.0, 0.35, 7.0, 0.7, -0.0402513917 - 0.107329748j),
    (1.2, 2.0, 0.35, 7.0, 1.0, -0.320046085 - 0.16159704j),
    (1.2, 2.0, 0.35, 7.0, 1.5, -0.655423967 + 0.541651023j),
]


@pytest.mark.parametrize(("h", "alpha", "q", "leakage", "f", "expected"), RESPONSES)
def test_vented_response(h, alpha, q, leakage, f, expected):
    found = vented_response(np.array([35.0 * f]), 35.0, 35.0 * h, alpha, q, leakage)
    assert found[0] == pytest.approx(expected, abs=1e-7)


# s²/(s² + s/Q + 1), Small, J. Audio Eng. Soc. 20 (1972) 798: Q, f₃/f_C, level at f_C, peak, dB.
CLOSED = [
    (0.5, 1.55377397, -6.02059991, 0.0),
    (0.577350269, 1.27201965, -4.77121255, 0.0),
    (0.707106781, 1.0, -3.01029996, 0.0),
    (1.0, 0.786151378, 0.0, 1.24938737),
    (1.2, 0.735815462, 1.58362492, 2.41178023),
]


@pytest.mark.parametrize(("q", "f3", "at_resonance", "peak"), CLOSED)
def test_closed_boxes(q, f3, at_resonance, peak):
    assert closed_f3(q) == pytest.approx(f3, rel=1e-7)
    assert closed_peak(q) == pytest.approx(peak, abs=1e-7)
    level = 20 * math.log10(abs(closed_response(np.array([50.0]), 50.0, q)[0]))
    assert level == pytest.approx(at_resonance, abs=1e-7)


def test_a_closed_box_of_20_litres():
    """f_S 30 Hz, Q_TS 0.35, V_AS 80 l in 20 l: α 4, f_C 67.08 Hz, Q_TC 0.7826, f₃ 61.23 Hz."""
    found = closed_alignment(30.0, 0.35, 0.08, 0.782623792)
    assert found.volume == pytest.approx(0.02, rel=1e-6)
    assert found.tuning == pytest.approx(67.0820393, rel=1e-6)
    assert found.f3 == pytest.approx(61.227001, rel=1e-6)
    assert found.peak == pytest.approx(0.149041752, abs=1e-6)


def test_what_cannot_be_is_left_out():
    assert closed_alignment(30.0, 0.6, 0.08, 0.5) is None
    kinds = [found.kind for found in alignments_of(30.0, 0.6, 0.08)]
    assert kinds == ["closed", "closed", "vented"]  # Q 0.71 and 1.0 are left of the closed ones
    assert vented_alignment(30.0, 3.0, 0.08, 3.0) is None
    assert vented_peak(vented_polynomial(1.0, math.sqrt(2), 0.382683432)) < 1e-8
