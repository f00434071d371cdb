"""Alignments against scipy.signal (a general library) and handbook values.

Sources of the values are in tests/reference/crossover.json: Linkwitz, JAES 24, 1976, 2;
Butterworth 1930; Thomson 1949 (from memory; closed forms, recomputed).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from acoustics.case.design.model import Branch, PassFilter
from acoustics.conventions import RoundoverError
from acoustics.crossover import ALIGNMENTS, branch_response

FREQUENCY = np.geomspace(20.0, 20_000.0, 61)
CORNER = 1000.0


def slope(kind, alignment, order, corner=CORNER):
    return PassFilter(
        kind=kind,
        alignment=alignment,
        order=order,
        low_corner=corner if kind == "high-pass" else None,
        high_corner=corner if kind == "low-pass" else None,
    )


def response(kind, alignment, order, frequency=FREQUENCY, **branch):
    return branch_response(Branch("d", (slope(kind, alignment, order),), **branch), frequency)


def oracle(kind, alignment, order):
    omega, corner = 2 * np.pi * FREQUENCY, 2 * np.pi * CORNER
    btype = kind.split("-")[0]
    if alignment == "bessel":
        ba = signal.bessel(order, corner, btype, analog=True, norm="mag", output="zpk")
    elif alignment == "butterworth":
        ba = signal.butter(order, corner, btype, analog=True, output="zpk")
    else:
        half = signal.butter(order // 2, corner, btype, analog=True, output="zpk")
        return signal.freqs_zpk(*half, omega)[1] ** 2
    return signal.freqs_zpk(*ba, omega)[1]


@pytest.mark.parametrize("kind", ["low-pass", "high-pass"])
@pytest.mark.parametrize(
    ("alignment", "order"),
    [("butterworth", n) for n in range(1, 9)]
    + [("bessel", n) for n in range(1, 9)]
    + [("linkwitz-riley", n) for n in (2, 4, 6, 8)],
)
def test_every_order_agrees_with_a_general_library(kind, alignment, order):
    # 1e-7: scipy finds Bessel's −3 dB frequency with a root finder of about that tolerance.
    assert response(kind, alignment, order) == pytest.approx(
        oracle(kind, alignment, order), rel=1e-7, abs=0
    )


NAMES = {"LR": "linkwitz-riley", "BW": "butterworth", "BE": "bessel"}


def complex_of(value):
    return complex(value["re"], value["im"])


SECTIONS = [
    *(f"Linkwitz-Riley 4, {ratio} of the corner" for ratio in (0.25, 0.5, 1, 2)),
    "Linkwitz-Riley 2, 1 of the corner",
    *(f"Linkwitz-Riley 2, {ratio} of the corner, high-pass inverted" for ratio in (0.5, 1)),
    *(f"Butterworth {order}, 1 of the corner" for order in (1, 2, 3, 4)),
    "Butterworth 3, 0.5 of the corner",
    *(f"Butterworth {order}, 1 of the corner, high-pass inverted" for order in (2, 3)),
    "Bessel 2, 1 of the corner, high-pass inverted",
    "Bessel 4, 1 of the corner",
]


@pytest.mark.parametrize("name", SECTIONS)
def test_handbook_values_of_both_branches_and_their_sum(name, reference):
    check = next(entry for entry in reference("crossover") if entry["name"] == name)
    given, expected = check["inputs"], check["expected"]
    frequency = np.array([given["f_over_fc"] * CORNER])
    alignment, order = NAMES[given["kind"]], given["n"]
    low = response("low-pass", alignment, order, frequency)[0]
    high = response(
        "high-pass", alignment, order, frequency, inverted=given.get("invert_hp", False)
    )[0]
    # 1e-8: the values are given to nine digits.
    assert low == pytest.approx(complex_of(expected["LP"]), abs=1e-8)
    assert high == pytest.approx(complex_of(expected["HP"]), abs=1e-8)
    assert low + high == pytest.approx(complex_of(expected["sum"]), abs=1e-8)
    power = 10 * np.log10(abs(low) ** 2 + abs(high) ** 2)
    assert power == pytest.approx(expected["power_sum_dB"], abs=1e-7)


def test_fourth_order_sum_is_an_allpass(reference):
    check = next(
        entry
        for entry in reference("crossover")
        if entry["name"] == "fourth-order Linkwitz-Riley sum"
    )
    frequency = np.array(check["inputs"]["f_over_fc"]) * CORNER
    total = sum(
        response(kind, "linkwitz-riley", 4, frequency) for kind in ("low-pass", "high-pass")
    )
    assert 20 * np.log10(np.abs(total)) == pytest.approx(check["expected"]["LR4_sum_dB"], abs=1e-6)
    expected = np.exp(1j * np.deg2rad(check["expected"]["LR4_sum_phase_deg"]))
    assert total == pytest.approx(expected, abs=1e-8)


@pytest.mark.parametrize(("order", "inverted"), [(2, True), (4, False), (6, True), (8, False)])
def test_linkwitz_riley_needs_one_inverted_driver_at_second_and_sixth_order(order, inverted):
    # Linkwitz 1976: order n/2 Butterworth squared; the high-pass leads by n·90° at every frequency.
    low = response("low-pass", "linkwitz-riley", order)
    right = low + response("high-pass", "linkwitz-riley", order, inverted=inverted)
    wrong = low + response("high-pass", "linkwitz-riley", order, inverted=not inverted)
    assert np.abs(right) == pytest.approx(np.ones_like(FREQUENCY), abs=1e-12)
    at_corner = np.argmin(np.abs(FREQUENCY - CORNER))
    assert abs(wrong[at_corner]) < 0.1


def test_power_sum_of_linkwitz_riley_dips_by_half(reference):
    check = next(
        entry
        for entry in reference("crossover")
        if entry["name"] == "Linkwitz-Riley power sum at the corner"
    )
    for order in (2, 4, 6, 8):
        power = sum(
            np.abs(response(kind, "linkwitz-riley", order, np.array([CORNER]))) ** 2
            for kind in ("low-pass", "high-pass")
        )
        assert 10 * np.log10(power[0]) == pytest.approx(check["expected"]["dB"], abs=1e-6)


@pytest.mark.parametrize(
    "name",
    [
        "group delay near 0 Hz",
        "group delay at the corner",
        "group delay an octave below the corner",
    ],
)
def test_group_delay_of_the_fourth_order_sum(name, reference):
    check = next(entry for entry in reference("crossover") if entry["name"] == name)
    given = check["inputs"]
    step = max(given["f_hz"], 1.0) * 1e-4
    frequency = max(given["f_hz"], 2 * step) + step * np.array([-1.0, 1.0])
    total = sum(
        branch_response(Branch("d", (slope(kind, "linkwitz-riley", 4, given["fc_hz"]),)), frequency)
        for kind in ("low-pass", "high-pass")
    )
    delay = -np.angle(total[1] / total[0]) / (2 * np.pi * 2 * step)
    assert 1e3 * delay == pytest.approx(check["expected"]["tau_ms"], abs=1e-4)


@pytest.mark.parametrize(
    ("alignment", "order"),
    [
        ("butterworth", 0),
        ("linkwitz-riley", 0),
        ("linkwitz-riley", 1),
        ("linkwitz-riley", 3),
        ("bessel", 0),
        ("bessel", 9),
    ],
)
def test_an_order_that_does_not_exist_is_refused(alignment, order):
    with pytest.raises(RoundoverError, match=f"order.*not {order}"):
        ALIGNMENTS[alignment](order)


@pytest.mark.parametrize("alignment", ["butterworth", "linkwitz-riley", "bessel"])
def test_real_poles_have_no_imaginary_part_and_the_others_come_in_pairs(alignment):
    """A filter with real coefficients: two of −1 in Linkwitz–Riley 2 and 6, one in odd orders."""
    for order in range(2, 9, 2 if alignment == "linkwitz-riley" else 1):
        poles = ALIGNMENTS[alignment](order)
        real = poles[poles.imag == 0]
        twice = alignment == "linkwitz-riley" and order % 4 == 2
        assert len(real) == (2 if twice else order % 2)
        pairs = poles[poles.imag != 0]
        assert np.sort(pairs[pairs.imag > 0].imag) == pytest.approx(
            np.sort(-pairs[pairs.imag < 0].imag), rel=1e-9
        )
        assert (poles.real < 0).all()
