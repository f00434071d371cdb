"""Textbook ladders against the tables and closed forms of handbooks, and as circuits.

Singly terminated prototypes (Weinberg, Network Analysis and Synthesis, 1962; Zverev, Handbook of
Filter Synthesis, 1967) and Linkwitz, J. Audio Eng. Soc. 24, 1976, 2; all from memory, to as many
digits as are written.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from acoustics.case.design.model import PassFilter
from acoustics.conventions import RoundoverError
from acoustics.crossover.network import solve_network
from acoustics.crossover.pass_filter import pass_response
from acoustics.crossover.textbook import band_pass_gain, textbook_ladder

OHM = 6.3
CORNER = 2200.0
OMEGA = 2 * math.pi * CORNER

ROOT = math.sqrt(2)
EIGHTH = math.pi / 8
# From the amplifier on, L R/ω and C/(Rω); the last column is how exactly they are written.
TABLES = [
    ("butterworth", 1, [1.0], 1e-12),
    ("butterworth", 2, [ROOT, 1 / ROOT], 1e-12),
    ("butterworth", 3, [3 / 2, 4 / 3, 1 / 2], 1e-12),
    ("butterworth", 4, [1.5307, 1.5772, 1.0824, 0.3827], 5e-5),
    ("butterworth", 5, [1.5451, 1.6944, 1.3820, 0.8944, 0.3090], 5e-5),
    ("butterworth", 6, [1.5529, 1.7593, 1.5529, 1.2016, 0.7579, 0.2588], 5e-5),
    ("linkwitz-riley", 2, [2.0, 1 / 2], 1e-12),
    # s⁴ + 2√2 s³ + 4s² + 2√2 s + 1 by hand: 1/(2√2), then 2√2/3, 9/(4√2), 4√2/3 from the load on
    ("linkwitz-riley", 4, [4 * ROOT / 3, 9 / (4 * ROOT), 2 * ROOT / 3, 1 / (2 * ROOT)], 1e-12),
]


def of_a_low_pass(alignment, order):
    return textbook_ladder("low-pass", alignment, order, OHM, high_corner=CORNER)


def of_a_high_pass(alignment, order):
    return textbook_ladder("high-pass", alignment, order, OHM, low_corner=CORNER)


def values(ladder, series, across):
    """Of elements that take turns."""
    places = [element.place for element in ladder]
    assert places == [("series", "across")[n % 2] for n in range(len(ladder))]
    return [getattr(e, series if e.place == "series" else across) for e in ladder]


@pytest.mark.parametrize(("alignment", "order", "table", "digits"), TABLES)
def test_the_tables_of_the_handbooks(alignment, order, table, digits):
    unit = [OHM / OMEGA, 1 / (OHM * OMEGA)]  # coil, capacitor
    low = values(of_a_low_pass(alignment, order), "inductor", "capacitor")
    expected = [value * unit[n % 2] for n, value in enumerate(table)]
    for one, other, size in zip(low, expected, unit * 3, strict=False):
        assert one == pytest.approx(other, abs=digits * size, rel=1e-12)
    high = values(of_a_high_pass(alignment, order), "capacitor", "inductor")
    for n, (one, value) in enumerate(zip(high, table, strict=True)):
        assert one * value == pytest.approx(unit[1 - n % 2], rel=2 * digits / value + 1e-12)


def test_butterworth_at_every_order():
    """g₁ = sin α, gₖ = sin((2k−1)α) sin((2k−3)α)/(g_(k−1) cos²((k−1)α)) from the load on, α = π/2n

    (Weinberg 1962, from memory).
    """
    for order in range(1, 7):
        angle = math.pi / (2 * order)
        g = [math.sin(angle)]
        for k in range(2, order + 1):
            above = math.sin((2 * k - 1) * angle) * math.sin((2 * k - 3) * angle)
            g.append(above / (g[-1] * math.cos((k - 1) * angle) ** 2))
        ladder = of_a_low_pass("butterworth", order)
        unit = [OHM / OMEGA, 1 / (OHM * OMEGA)]
        expected = [value * unit[n % 2] for n, value in enumerate(reversed(g))]
        np.testing.assert_allclose(values(ladder, "inductor", "capacitor"), expected, rtol=1e-12)


def test_bessel_of_second_and_third_order():
    """From s² + 3s + 3 and s³ + 6s² + 15s + 15, scaled to half power.

    At a delay of 1 s, from the load on: C 1/3, L 1 and L 1/6, C 6·6/(15·6 − 15) = 0.48, L 5/6. The
    half-power frequency at which they are scaled is 1.3617 and 1.7557 rad/s (Zverev, from memory).
    """
    for order, scale, g in [(2, 1.361654, [1, 1 / 3]), (3, 1.755672, [5 / 6, 0.48, 1 / 6])]:
        ladder = of_a_low_pass("bessel", order)
        unit = [OHM / OMEGA, 1 / (OHM * OMEGA)]
        expected = [value * scale * unit[n % 2] for n, value in enumerate(g)]
        np.testing.assert_allclose(values(ladder, "inductor", "capacitor"), expected, rtol=1e-6)


def transfer(ladder, frequency):
    load = np.full((1, 1, frequency.size), 1 / OHM + 0j)
    return solve_network([ladder], load, frequency).transfer[0]


ALL = [
    (alignment, order)
    for alignment in ("butterworth", "linkwitz-riley", "bessel")
    for order in range(1, 7)
    if alignment != "linkwitz-riley" or order % 2 == 0
]
F = np.geomspace(10.0, 40_000.0, 60)


@pytest.mark.parametrize(("alignment", "order"), ALL)
def test_as_a_circuit_it_is_the_alignment(alignment, order):
    for kind, low, high in [("low-pass", None, 700.0), ("high-pass", 2500.0, None)]:
        ladder = textbook_ladder(kind, alignment, order, OHM, low_corner=low, high_corner=high)
        expected = pass_response(PassFilter(kind, alignment, order, low, high), F)
        np.testing.assert_allclose(transfer(ladder, F), expected, rtol=1e-9)


@pytest.mark.parametrize(("low", "high"), [(60.0, 9000.0), (300.0, 3000.0), (900.0, 1000.0)])
@pytest.mark.parametrize(("alignment", "order"), ALL)
def test_a_band_pass_is_its_alignment_but_louder(alignment, order, low, high):
    ladder = textbook_ladder("band-pass", alignment, order, OHM, low_corner=low, high_corner=high)
    gain = band_pass_gain(alignment, order, low, high)
    assert gain > 1
    expected = gain * pass_response(PassFilter("band-pass", alignment, order, low, high), F)
    np.testing.assert_allclose(transfer(ladder, F), expected, rtol=1e-9)
    for element in ladder:
        parts = [v for v in (element.inductor, element.capacitor) if v is not None]
        assert len(parts) == 1
        assert parts[0] > 0
    # The high-pass comes first.
    through = [e.capacitor is not None for e in ladder if e.place == "series"]
    assert through == sorted(through, reverse=True)


def test_a_band_pass_of_first_order_by_hand():
    """C and L in series with R: s R/L over s² + s R/L + 1/LC = (s + ω₁)(s + ω₂)."""
    one, two = 2 * math.pi * 400.0, 2 * math.pi * 2500.0
    capacitor, coil = textbook_ladder(
        "band-pass", "butterworth", 1, OHM, low_corner=400.0, high_corner=2500.0
    )
    assert coil.inductor == pytest.approx(OHM / (one + two), rel=1e-12)
    assert capacitor.capacitor == pytest.approx((one + two) / (OHM * one * two), rel=1e-12)
    assert band_pass_gain("butterworth", 1, 400.0, 2500.0) == pytest.approx(1.16, rel=1e-12)


def test_corners_far_apart_make_a_cascade():
    """Then high-pass and low-pass are what they are by themselves."""
    both = textbook_ladder("band-pass", "butterworth", 3, OHM, low_corner=1.0, high_corner=1e6)
    high = textbook_ladder("high-pass", "butterworth", 3, OHM, low_corner=1.0)
    low = textbook_ladder("low-pass", "butterworth", 3, OHM, high_corner=1e6)
    for one, other in zip(both, high + low, strict=True):
        assert one.place == other.place
        assert (one.inductor is None) == (other.inductor is None)
        value = one.inductor or one.capacitor
        assert value == pytest.approx(other.inductor or other.capacitor, rel=1e-5)
    assert band_pass_gain("butterworth", 3, 1.0, 1e6) == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize(
    ("arguments", "corners", "told"),
    [
        (("low-pass", "butterworth", 2, 8.0), {"low_corner": 500.0}, "low_corner 500 Hz"),
        (("band-pass", "butterworth", 2, 8.0), {"low_corner": 500.0}, "a band-pass both"),
        (("high-pass", "butterworth", 2, 8.0), {}, "was given none"),
        (
            ("band-pass", "butterworth", 2, 8.0),
            {"low_corner": 500.0, "high_corner": 400.0},
            "500 Hz and 400 Hz",
        ),
        (("high-pass", "linkwitz-riley", 3, 8.0), {"low_corner": 500.0}, "even order"),
        (("high-pass", "elliptic", 3, 8.0), {"low_corner": 500.0}, "butterworth, linkwitz-riley"),
        (("high-pass", "bessel", 3, 0.0), {"low_corner": 500.0}, "not 0 ohm"),
        (("high-pass", "bessel", 3, 8.0), {"low_corner": -1.0}, "above 0 Hz"),
    ],
)
def test_what_cannot_be_is_told(arguments, corners, told):
    with pytest.raises(RoundoverError, match=told):
        textbook_ladder(*arguments, **corners)


@pytest.mark.parametrize("corner", [0.5, 2200.0])
def test_a_load_and_a_corner_below_one_are_one(corner):
    """L = R/ω and C = 1/(Rω) of first order (any handbook)."""
    (coil,) = textbook_ladder("low-pass", "butterworth", 1, 0.5, high_corner=corner)
    assert coil.inductor == pytest.approx(0.5 / (2 * math.pi * corner))
    (capacitor,) = textbook_ladder("high-pass", "butterworth", 1, 0.5, low_corner=corner)
    assert capacitor.capacitor == pytest.approx(1 / (0.5 * 2 * math.pi * corner))


def test_a_band_that_is_none_is_told():
    """Corners that are the same, and a corner of 0 Hz."""
    with pytest.raises(RoundoverError, match="not 500 Hz and 500 Hz"):
        textbook_ladder("band-pass", "bessel", 2, 8.0, low_corner=500.0, high_corner=500.0)
    with pytest.raises(RoundoverError, match="above 0 Hz"):
        textbook_ladder("low-pass", "bessel", 2, 8.0, high_corner=0.0)
    with pytest.raises(RoundoverError, match="low_corner 5 Hz, high_corner 9 Hz"):
        textbook_ladder("low-pass", "bessel", 2, 8.0, low_corner=5.0, high_corner=9.0)
    with pytest.raises(RoundoverError, match="a notch was given none"):
        textbook_ladder("notch", "bessel", 2, 8.0)
