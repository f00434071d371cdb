"""Linkwitz–Riley pairs are order × 90° apart: orders 2 and 6 want one driver inverted.

Linkwitz, J. Audio Eng. Soc. 24 (1976) 2; Lipshitz & Vanderkooy, ibid. 34 (1986): from memory.
"""

from __future__ import annotations

import pytest

from acoustics.prediction import predict
from acoustics.report.polarity_hint import polarity_hints
from support.cases import make_case, make_driver, pass_branch


def hints(solve, order, *, driver=False, branch=False, alignment="linkwitz-riley"):
    case = make_case(
        (make_driver("woofer", -0.05), make_driver("tweeter", 0.10, inverted=driver)),
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
    (hint,) = hints(solve_free_field, order)
    assert "woofer and tweeter have the same polarity" in hint
    assert f"order {order} add up with opposite polarities" in hint
    assert "2.5 kHz" in hint
    assert hints(solve_free_field, order, driver=True) == []
    assert hints(solve_free_field, order, branch=True) == []
    assert len(hints(solve_free_field, order, driver=True, branch=True)) == 1


@pytest.mark.parametrize("order", [4, 8])
def test_fourth_and_eighth_order_want_the_same_polarity(solve_free_field, order):
    assert hints(solve_free_field, order) == []
    (hint,) = hints(solve_free_field, order, driver=True)
    assert f"order {order} add up with the same polarity" in hint


def test_other_alignments_get_no_hint(solve_free_field):
    assert hints(solve_free_field, 2, alignment="butterworth") == []


def test_the_hint_is_right(solve_free_field):
    """With the hint followed, the two add up on an axis of equal ways; without, they cancel."""
    import numpy as np

    levels = {}
    for inverted in (False, True):
        case = make_case(
            (make_driver("woofer"), make_driver("tweeter", inverted=inverted)),
            crossover=(
                pass_branch("woofer", "low-pass", 2500.0, order=2),
                pass_branch("tweeter", "high-pass", 2500.0, order=2),
            ),
        )
        axis = predict(case, solve=solve_free_field).arc_total.sel(plane="horizontal", angle=0)
        levels[inverted] = 20 * np.log10(float(np.abs(axis.sel(frequency=2500, method="nearest"))))
    assert levels[True] - levels[False] > 20
