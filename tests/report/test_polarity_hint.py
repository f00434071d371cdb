"""Where inverting one driver makes the reference axis louder at a crossover, that is hinted at.

Linkwitz–Riley pairs are order × 90° apart, so orders 2 and 6 want one driver inverted: Linkwitz,
J. Audio Eng. Soc. 24 (1976) 2; Lipshitz & Vanderkooy, ibid. 34 (1986): from memory.
"""

from __future__ import annotations

import pytest

from acoustics.prediction import predict
from acoustics.report.polarity_hint import polarity_hints
from support.cases import make_case, make_driver, pass_branch


def hints(solve, order, *, driver=False, branch=False, alignment="linkwitz-riley", depth=0.0):
    """Hints for two drivers equally far from the reference axis' receiver."""
    case = make_case(
        (
            make_driver("woofer", acoustic_depth=depth),
            make_driver("tweeter", inverted=driver),
        ),
        crossover=(
            pass_branch("woofer", "low-pass", 2500.0, order=order, alignment=alignment),
            pass_branch(
                "tweeter", "high-pass", 2500.0, order=order, alignment=alignment, inverted=branch
            ),
        ),
    )
    return polarity_hints(case, predict(case, solve=solve))


@pytest.mark.parametrize("order", [2, 6])
def test_second_and_sixth_order_want_opposite_polarities(solve_free_field, order):
    hint, cause = hints(solve_free_field, order)
    assert hint.startswith("woofer and tweeter cancel around 2.5 kHz: ")
    assert "second and sixth order" in cause
    assert "common practice" in cause
    assert hints(solve_free_field, order, driver=True) == []
    assert hints(solve_free_field, order, branch=True) == []
    assert len(hints(solve_free_field, order, driver=True, branch=True)) == 2


@pytest.mark.parametrize("order", [4, 8])
def test_fourth_and_eighth_order_want_the_same_polarity(solve_free_field, order):
    assert hints(solve_free_field, order) == []
    assert len(hints(solve_free_field, order, driver=True)) == 2


def test_odd_orders_add_up_alike_either_way(solve_free_field):
    """Butterworth outputs of order n are n × 90° apart too: odd ones sum alike with either sign."""
    assert hints(solve_free_field, 3, alignment="butterworth") == []
    assert hints(solve_free_field, 3, alignment="butterworth", driver=True) == []


def test_a_depth_of_half_a_wavelength_takes_the_place_of_an_inversion(solve_free_field):
    """It is the sound that counts: c/(2·2.5 kHz) = 68.6 mm turns the woofer round."""
    half = 343.0 / 2500.0 / 2
    assert hints(solve_free_field, 2, depth=half) == []
    assert len(hints(solve_free_field, 4, depth=half)) == 2


def test_the_gain_is_that_of_two_waves(solve_free_field):
    """Drivers d apart in phase at equal level: 20·lg|cot(φ/2)|, here φ = 120° → 4.77 dB."""
    third = 343.0 / 2500.0 / 3
    hint, _ = hints(solve_free_field, 4, depth=third)
    assert "4.8 dB higher" in hint
    # φ = 105°: 20·lg(tan 52.5°) = 2.30 dB, less than 3 dB.
    assert hints(solve_free_field, 4, depth=third * 105 / 120) == []


def test_a_null_is_not_given_a_gain(solve_free_field):
    """Drivers in opposition at the crossover: they leave what rounding leaves."""
    hint, _ = hints(solve_free_field, 4, driver=True)
    assert "the level there on the reference axis is much higher." in hint


def test_the_key_to_change_is_named(solve_free_field):
    """Where drivers are wired, or the crossover; filters computed for slopes undo the former."""
    hint, _ = hints(solve_free_field, 2)
    assert (
        'with one of them turned round (drivers.tweeter.polarity = "inverted" or '
        'crossover.tweeter.polarity = "inverted")'
    ) in hint
    again, _ = hints(solve_free_field, 4, driver=True)
    assert 'drivers.tweeter.polarity = "normal" or crossover.tweeter.polarity = "inv' in again
    acoustic = {"slopes": "acoustic", "level": 80.0, "order": 2}
    case = make_case(
        make_case().drivers,
        crossover=(
            pass_branch("woofer", "low-pass", 2500.0, **acoustic),
            pass_branch("tweeter", "high-pass", 2500.0, **acoustic),
        ),
    )
    hint, _ = polarity_hints(case, predict(case, solve=solve_free_field))
    assert '(crossover.tweeter.polarity = "inverted")' in hint
    assert "drivers." not in hint


def test_one_driver_has_nothing_to_cancel_with(solve_free_field):
    case = make_case([make_driver("only")])
    assert polarity_hints(case, predict(case, solve=solve_free_field)) == []
