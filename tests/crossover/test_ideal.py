"""What a driver needs of a passive crossover, and the ladder to start from."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import PassFilter
from acoustics.case.design.network_model import Element
from acoustics.conventions import RoundoverError
from acoustics.crossover.compensation import Peak
from acoustics.crossover.network import solve_network
from acoustics.crossover.pass_filter import pass_response
from acoustics.crossover.starting_ladder import (
    compensation_of,
    ideal_filter,
    seen,
    start_ladder,
)
from acoustics.crossover.textbook import textbook_ladder

F = np.geomspace(20.0, 20_000.0, 200)
HIGH = PassFilter("high-pass", "linkwitz-riley", 4, 2500.0, None)
WAVE = {"distance": 2.0, "speed_of_sound": 343.0}


def test_a_flat_driver_needs_the_slopes_and_its_level_taken_off():
    """A driver of 90 dB at 1 m, at the reference point at once, held to 86 dB."""
    late = np.exp(-2j * np.pi * F * 2.0 / 343.0)
    unfiltered = 20e-6 * 10 ** (90 / 20) / 2.0 * late
    found = ideal_filter(HIGH, 86.0, F, unfiltered, **WAVE)
    np.testing.assert_allclose(found, 10 ** (-4 / 20) * pass_response(HIGH, F), rtol=1e-9)
    turned = ideal_filter(HIGH, 86.0, F, unfiltered, inverted=True, **WAVE)
    np.testing.assert_allclose(turned, -found, rtol=1e-9)


def test_filter_times_driver_is_the_target():
    """A driver that falls by itself and is late: together they are the slopes at the level."""
    own = PassFilter("high-pass", "butterworth", 2, 900.0, None)
    late = np.exp(-2j * np.pi * F * 2.1 / 343.0)
    unfiltered = 20e-6 * 10 ** (94 / 20) / 2.0 * late * pass_response(own, F)
    found = ideal_filter(HIGH, 86.0, F, unfiltered, latency=0.1 / 343.0, **WAVE)
    at_one_metre = found * unfiltered / late * 2.0 / 20e-6
    strong = np.abs(found) < 0.99 * np.abs(pass_response(HIGH, F))
    assert strong.sum() > 100
    expected = 10 ** (86 / 20) * pass_response(HIGH, F)
    np.testing.assert_allclose(at_one_metre[strong], expected[strong], rtol=1e-9)
    # A passive crossover does not amplify.
    assert np.all(np.abs(found) <= np.abs(pass_response(HIGH, F)) * (1 + 1e-12))


def driver(peak, inductance=0.0):
    return peak.impedance(F) + 2j * np.pi * F * inductance


PEAK = Peak(dc_resistance=5.2, resonance=800.0, mechanical_q=2.5, electrical_q=1.1)


def heard(ladder, impedance):
    return solve_network([ladder], 1 / impedance[None, None], F).transfer[0]


def places(ladder):
    names = (("inductor", "L"), ("capacitor", "C"), ("resistor", "R"))
    return [
        f"{e.place} {''.join(letter for name, letter in names if getattr(e, name) is not None)}"
        for e in ladder
    ]


def test_a_tweeter_with_its_resonance_taken_away_hears_the_alignment():
    """High-pass, attenuator, and across the driver what makes it R_e: then all is exact."""
    z = driver(PEAK)
    ladder = start_ladder(
        "high-pass", "bessel", 3, F, z, low_corner=2500.0, attenuation=4.5, peak=PEAK
    )
    assert places(ladder) == [
        *("series C", "across L", "series C"),
        *("series R", "across R", "across LCR"),
    ]
    section = PassFilter("high-pass", "bessel", 3, 2500.0, None)
    expected = 10 ** (-4.5 / 20) * pass_response(section, F)
    np.testing.assert_allclose(heard(ladder, z), expected, rtol=1e-9)
    # Without, the resonance makes of it something else.
    plain = start_ladder("high-pass", "bessel", 3, F, z, low_corner=2500.0, attenuation=4.5)
    assert np.abs(heard(plain, z) / expected - 1).max() > 0.3


def test_a_woofer_with_its_coil_compensated_is_nearer_to_the_alignment():
    z = driver(Peak(5.8, 45.0, 4.0, 0.4), 0.9e-3)
    section = PassFilter("low-pass", "linkwitz-riley", 4, None, 1800.0)
    expected = pass_response(section, F)
    inside = (F > 300) & (F < 8000)
    off = []
    for flat_from in (300.0, None):
        ladder = start_ladder(
            "low-pass", "linkwitz-riley", 4, F, z, high_corner=1800.0, flat_from=flat_from
        )
        off.append(np.abs(20 * np.log10(np.abs(heard(ladder, z) / expected)))[inside].max())
        assert places(ladder)[:4] == ["series L", "across C"] * 2
        assert places(ladder)[4:] == (["across CR"] if flat_from else [])
    assert off[0] < 1.0 < 3.0 < off[1]


def test_the_load_is_the_impedance_at_the_corner():
    z = 4.0 * (F / 1000.0) ** 0.5 * np.exp(0.3j)
    ladder = start_ladder("low-pass", "butterworth", 2, F, z, high_corner=4000.0)
    assert_same(ladder, textbook_ladder("low-pass", "butterworth", 2, 8.0, high_corner=4000.0))
    corners = {"low_corner": 250.0, "high_corner": 4000.0}
    ladder = start_ladder("band-pass", "butterworth", 2, F, z, **corners)
    assert_same(ladder, textbook_ladder("band-pass", "butterworth", 2, 4.0, **corners))


def assert_same(one, other):
    for a, b in zip(one, other, strict=True):
        assert (a.place, a.inductor is None) == (b.place, b.inductor is None)
        value = a.inductor or a.capacitor
        assert value == pytest.approx(b.inductor or b.capacitor, rel=1e-9)


def test_an_attenuator_takes_up_the_gain_of_a_band_pass():
    z = np.full(F.size, 6.0 + 0j)
    given = {"low_corner": 400.0, "high_corner": 2500.0}
    section = PassFilter("band-pass", "butterworth", 1, 400.0, 2500.0)
    for attenuation, gain in [(None, 1.16), (0.0, 1.0), (3.0, 10 ** (-3 / 20))]:
        ladder = start_ladder("band-pass", "butterworth", 1, F, z, attenuation=attenuation, **given)
        expected = gain * pass_response(section, F)
        np.testing.assert_allclose(heard(ladder, z), expected, rtol=1e-9)
    nothing = {"attenuation": 0.0, "flat_from": 500.0}
    none = start_ladder("high-pass", "bessel", 1, F, z, low_corner=400.0, **nothing)
    assert places(none) == ["series C"]


def test_a_corner_must_lie_where_the_impedance_is_known():
    z = np.full(F.size, 6.0 + 0j)
    with pytest.raises(RoundoverError, match="from 20 Hz to 20000 Hz, and the corner is at 10 Hz"):
        start_ladder("high-pass", "bessel", 1, F, z, low_corner=10.0)


def test_a_resonant_box_and_a_gain_in_the_filter():
    """What the driver itself lacks at low frequencies is not asked for; 3 dB more may be."""
    low_end = np.minimum(1.0, F / 200.0) + 0j
    late = np.exp(-2j * np.pi * F * 2.0 / 343.0)
    unfiltered = 20e-6 * 10 ** (84 / 20) / 2.0 * late * low_end
    slopes = PassFilter("low-pass", "butterworth", 2, None, 1500.0)
    held = ideal_filter(slopes, 86.0, F, unfiltered, low_end=low_end, **WAVE)
    np.testing.assert_allclose(held, pass_response(slopes, F), rtol=1e-9)
    # 84 dB are 2 dB short of 86: with a gain of 3 dB they are made up, without none is.
    gained = ideal_filter(slopes, 86.0, F, unfiltered, low_end=low_end, most_gain=3.0, **WAVE)
    np.testing.assert_allclose(gained, 10 ** (2 / 20) * pass_response(slopes, F), rtol=1e-9)
    # Several sections are taken in cascade, and nothing but what they are.
    both = ideal_filter((slopes, slopes), 80.0, F, unfiltered, low_end=low_end, **WAVE)
    np.testing.assert_allclose(both, 10 ** (-4 / 20) * pass_response(slopes, F) ** 2, rtol=1e-9)


def test_the_ends_of_the_impedance_are_known():
    z = np.full(F.size, 6.0 + 0j)
    for corner in (F[0], F[-1]):
        ladder = start_ladder("high-pass", "bessel", 1, F, z, low_corner=corner)
        assert ladder[0].capacitor == pytest.approx(1 / (6.0 * 2 * np.pi * corner))
    for corner, told in ((F[0] * 0.999, "19.98"), (F[-1] * 1.001, "20020")):
        with pytest.raises(RoundoverError, match=f"20000 Hz, and the corner is at {told} Hz"):
            start_ladder("high-pass", "bessel", 1, F, z, low_corner=corner)
    with pytest.raises(RoundoverError, match="corner is at 10 Hz and 30000 Hz"):
        start_ladder("band-pass", "bessel", 1, F, z, low_corner=10.0, high_corner=30_000.0)


def test_an_attenuator_of_half_a_decibel_is_one():
    z = np.full(F.size, 6.0 + 0j)
    ladder = start_ladder("low-pass", "bessel", 1, F, z, high_corner=900.0, attenuation=0.5)
    assert places(ladder) == ["series L", "series R", "across R"]
    assert ladder[1].resistor == pytest.approx(6.0 * (1 - 10 ** (-0.5 / 20)))


def test_both_compensations_stand_across_the_resonance_first():
    """The coil's is fitted to what is left when the resonance is gone: to R_e and L_e alone."""
    z = driver(PEAK, 0.4e-3)
    both = compensation_of(F, z, flat_from=3000.0, peak=PEAK)
    assert places(both) == ["across LCR", "across CR"]
    assert both[0] == compensation_of(F, z, peak=PEAK)[0]
    (alone,) = compensation_of(F, seen(both[:1], F, z), flat_from=3000.0)
    assert alone.resistor == pytest.approx(both[1].resistor, rel=1e-6)
    assert alone.capacitor == pytest.approx(both[1].capacitor, rel=1e-6)
    assert compensation_of(F, z) == ()
    # What is across lies beside the driver: 6 ohm and 3 ohm are 2 ohm.
    beside = seen([Element("across", resistor=3.0)], F, np.full(F.size, 6.0 + 0j))
    np.testing.assert_allclose(beside, 2.0)
