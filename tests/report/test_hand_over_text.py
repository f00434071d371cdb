"""What the summary says of how drivers hand over, for filters and delays whose effect is known.

Linkwitz–Riley outputs of order 4 are in phase, of order 2 in opposite phase; those of Butterworth
filters of order 3 are 90° apart, 3.0 dB below their sum in phase (Linkwitz, J. Audio Eng. Soc. 24,
1976, 2; Lipshitz & Vanderkooy, ibid. 34, 1986: from memory).
"""

from __future__ import annotations

import pytest

from acoustics.case.design.model import Branch, PassFilter
from acoustics.prediction import predict
from acoustics.report.hand_over import hand_over
from support.cases import make_case, make_driver, pass_branch


@pytest.fixture
def told(solve_free_field):
    """What is said of two drivers, the woofer `apart` (m) below the tweeter on the axis."""

    def tell(order=4, alignment="linkwitz-riley", inverted=False, late=0.0, apart=0.0):
        filters = {"order": order, "alignment": alignment}
        case = make_case(
            [make_driver("woofer", -apart), make_driver("tweeter", inverted=inverted)],
            crossover=(
                pass_branch("woofer", "low-pass", 2500.0, **filters),
                pass_branch("tweeter", "high-pass", 2500.0, delay=late, **filters),
            ),
        )
        (line,) = hand_over(predict(case, solve=solve_free_field))
        return line

    return tell


def test_in_step(told):
    """|upper/lower| = (f/f_c)⁴ is 10 dB at f_c·10^(±1/8): 1.87 and 3.33 kHz."""
    assert told().startswith(
        "At 2.5 kHz woofer and tweeter are at most 0° apart through the overlap (1.87 to 3.33 "
        "kHz), which costs nothing; with the tweeter reversed there would be a dip of "
    )
    assert told().endswith("at 2.5 kHz: they are in step.")


def test_a_quarter_turn_apart(told):
    line = told(3, "butterworth")
    assert "at most 90° apart" in line
    assert "which costs up to 3.0 dB;" in line
    assert line.endswith(
        "with the tweeter reversed there would be no dip to speak of: they are not in step."
    )


def test_in_opposite_phase(told):
    line = told(2)
    assert "at most 180° apart" in line
    assert "which costs over 20 dB; " in line
    assert line.endswith("in opposite phase, and would add up with one of them reversed.")
    assert told(2, inverted=True).endswith("they are in step.")


def test_a_delay_is_told_as_time_and_length(told):
    """40 µs are 343 m/s · 40 µs = 14 mm, and 48° at 3.33 kHz."""
    line = told(late=40e-6)
    assert "at most 48° apart" in line
    assert "; the phase turns as if the tweeter came 40 µs (14 mm) too late; " in line
    assert line.endswith("there they are in step, but not all through.")
    assert "came 50 µs (17 mm) too early" in told(late=-50e-6)
    assert "as if" not in told(late=10e-6)
    assert told(2, late=500e-6).endswith("which a delay does and no polarity mends.")


def test_the_seat_is_told_where_it_is_worse(told):
    """Ears at 0.9 m are 0.11 m above the middle of the front, 2.5 m ahead."""
    assert "at the seat" not in told()
    assert " (at the seat, ears at 0.90 m: " in told(apart=0.9)


def test_all_above_is_reversed_too(solve_free_field):
    middle = PassFilter("band-pass", "linkwitz-riley", 4, low_corner=300.0, high_corner=3000.0)
    case = make_case(
        [make_driver(name) for name in ("woofer", "midrange", "tweeter")],
        crossover=(
            pass_branch("woofer", "low-pass", 300.0),
            Branch("midrange", sections=(middle,)),
            pass_branch("tweeter", "high-pass", 3000.0),
        ),
    )
    lower, upper = hand_over(predict(case, solve=solve_free_field))
    assert "with the midrange and all above it reversed" in lower
    assert "with the tweeter reversed" in upper


def test_drivers_that_do_not_meet_on_the_axis(solve_free_field):
    prediction = predict(make_case(), solve=solve_free_field)
    alone = prediction.arc_pressure.where(prediction.driver == "woofer", 0.0)
    (line,) = hand_over(prediction.assign(arc_pressure=alone))
    assert "woofer and tweeter do not overlap on the reference axis" in line


def test_the_summary_tells_it_in_a_section_of_its_own(summed_up):
    text = summed_up()
    at = text.index("How the drivers hand over --")
    assert text.index("How even it sounds") < at < text.index("At the seat 2.5 m ahead")
    assert "hand over" not in summed_up(drivers=[make_driver("only")])


def test_one_driver_hands_nothing_over(solve_free_field):
    case = make_case([make_driver("only")])
    assert hand_over(predict(case, solve=solve_free_field)) == []
