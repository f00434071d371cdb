"""How sure a prediction is, and what it leaves out, in words."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.model import Absorber, Cabinet, Surface
from acoustics.listening import doubtful_bands
from acoustics.report.basis import basis, beyond_the_piston
from support.cases import make_driver, pass_branch


def told(known, **changes):
    case, prediction, answers = known(**changes)
    return " ".join(basis(case, answers, prediction))


def test_note_and_limits_are_passed_on(summed_up):
    text = summed_up(note="Invented for this test.", error=0.07)
    assert "The design's own note: Invented for this test." in text
    assert "Calculation: levels ±0.07 dB at most; up to ±" in text
    assert "bass roll-off of the drivers (below their range there is less than shown)" in text
    assert "rear wall from 19 angles" in text


def test_what_the_error_makes_of_the_figures(known):
    """u = 0.5 dB in a dip of depth d: 2u·(10^(d/20) − 1) at most (a wave of that size added)."""
    case, prediction, answers = known()
    estimate = np.full(prediction.frequency.size, 0.5)
    prediction = prediction.assign_coords(error_estimate=("frequency", estimate))
    deepest = float(max(answers.dip_depth.max(), answers.deepest_dip_depth.max()))
    by_hand = 1.0 * (10 ** (deepest / 20) - 1)
    text = " ".join(basis(case, answers, prediction))
    assert f"Calculation: levels ±0.50 dB at most; up to ±{by_hand:.1f} dB in a dip's depth" in text


def test_a_solver_without_an_estimate(known):
    assert "Calculation: the field solver gave no estimate of its own error" in told(known)


def test_where_pistons_no_longer_stand_for_drivers(known):
    """ka = 3 for a piston of 120 mm with c = 343 m/s: 343·3/(π·0.12) = 2.73 kHz."""
    wide = make_driver("wide", 0.0, piston_diameter=0.12, frame_diameter=0.16)
    case, prediction, _ = known(drivers=[wide])
    (line,) = beyond_the_piston(case, prediction)
    low, high = doubtful_bands(prediction)[0]
    assert low == pytest.approx(2730.0, rel=0.02)
    assert f"Less sure at {low / 1000:.3g} to {high / 1000:.3g} kHz, " in line
    assert "(wide from 2.73 kHz, where the piston's girth is 3 wavelengths: ka = 3)." in line


def test_stated_breakup_counts(known):
    case, prediction, _ = known(drivers=[make_driver("wide", 0.0, breakup=2000.0)])
    (line,) = beyond_the_piston(case, prediction)
    assert "(wide from 2 kHz, where " in line
    assert line.endswith("ka = 3 or breakup as stated).")


def test_only_drivers_that_play_there_are_named(known):
    """The woofer's limit is 2.73 kHz, but it has handed over at 500 Hz."""
    big = make_driver("woofer", -0.05, piston_diameter=0.12, frame_diameter=0.16)
    case, prediction, _ = known(
        drivers=(big, make_driver("tweeter", 0.10)),
        crossover=(
            pass_branch("woofer", "low-pass", 500.0),
            pass_branch("tweeter", "high-pass", 500.0),
        ),
    )
    (line,) = beyond_the_piston(case, prediction)
    assert "woofer" not in line
    assert "tweeter from 13.1 kHz" in line


def test_small_pistons_are_sure_of_the_whole_range(known):
    """ka = 3 for 18 mm: 18.2 kHz, beyond what matters."""
    case, prediction, _ = known(drivers=[make_driver("small", 0.0, piston_diameter=0.018)])
    assert beyond_the_piston(case, prediction) == []


@pytest.mark.parametrize(
    ("base", "says"),
    [(0.0, "The cabinet stands on the floor: "), (0.02, "stands 20 mm above the floor: ")],
)
def test_mirrored_body_is_named_as_left_out(known, base, says):
    text = told(known, cabinet=Cabinet(0.22, 0.38, 0.30, base))
    assert says in text
    assert "its mirror image does not yet reshape its field" in text


def test_what_does_not_apply_is_left_unsaid(known):
    text = told(known)
    for words in ("mirror image", "Miki", "shadow", "own note", "breakup"):
        assert words not in text
    free = told(known, surfaces=(), cabinet=Cabinet(0.22, 0.38, 0.30, 0.0))
    assert "mirror image" not in free
    assert "and any room: no surface reflects." in free


def test_what_surfaces_are_taken_to_be(known):
    text = told(
        known,
        surfaces=(
            Surface("floor", 0.0, absorber=Absorber(0.012, 60_000.0)),
            Surface("front wall", 0.9),
        ),
    )
    assert (
        "all but one reflection per surface, the cabinet's shadow on what the wall behind" in text
    )
    assert "their factor for plane waves, porous ones after Miki (1990)." in text
    assert "decide below about 100 Hz" in text
