"""How sure a prediction is, and what it leaves out, in words."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.model import Absorber, Cabinet, Placement, Rounding, Surface
from acoustics.listening import doubtful_bands
from acoustics.listening.uncertainty import answer_uncertainty
from acoustics.report.basis import basis, beyond_the_piston
from support.cases import make_driver, pass_branch


def told(known, **changes):
    case, prediction, answers = known(**changes)
    return " ".join(basis(case, answers, prediction))


def test_note_and_limits_are_passed_on(summed_up):
    text = summed_up(note="Invented for this test.", error=0.07)
    assert "The design's own note: Invented for this test." in text
    assert "Calculation: levels ±0.07 dB at most; up to ±" in text
    assert "roll-off of the drivers toward low frequencies (below their range there is less" in text
    assert "rear wall from 19 angles" in text


def test_what_the_error_makes_of_the_figures(known):
    """Beams and ranges; every dip carries a doubt of its own, which may be larger."""
    case, prediction, answers = known()
    estimate = np.full(prediction.frequency.size, 0.5)
    prediction = prediction.assign_coords(error_estimate=("frequency", estimate))
    doubts = answer_uncertainty(prediction, answers)
    beam = float(doubts.least_beamwidth.max())
    room = max(float(doubts[name].max()) for name in ("height_span", "aside_span"))
    text = " ".join(basis(case, answers, prediction))
    assert "Calculation: levels ±0.50 dB at most, near 20.3 Hz (0.1 dB was asked" in text
    assert f"; up to ±{beam:.0f}° in a beam and " in text
    assert f" in a beam and ±{room:.2f} m in a range for the ears. Real" in text


@pytest.mark.parametrize(
    ("radius", "advice"),
    [
        (0.01, "set a smaller accuracy under [solver] to come closer"),
        (0.06, "rounds as large as these are not solved more closely than that"),
    ],
)
def test_what_helps_where_the_accuracy_is_missed(known, radius, advice):
    """Four facets are 0.05 dB off an arc of up to a wavelength, 0.1 dB of more: 10 mm, 60 mm."""
    rounds = tuple(Rounding(edge, radius) for edge in ("front left", "front right"))
    case, prediction, answers = known(
        cabinet=Cabinet(0.3, 0.38, 0.30, 0.6, rounds=rounds), accuracy=0.05
    )
    estimate = np.full(prediction.frequency.size, 0.04)
    estimate[-1] = 0.2
    prediction = prediction.assign_coords(error_estimate=("frequency", estimate))
    assert advice in " ".join(basis(case, answers, prediction))


def test_an_accuracy_that_is_reached_is_not_mentioned(known):
    case, prediction, answers = known()
    estimate = np.full(prediction.frequency.size, 0.09)
    prediction = prediction.assign_coords(error_estimate=("frequency", estimate))
    text = " ".join(basis(case, answers, prediction))
    assert "Calculation: levels ±0.09 dB at most; " in text
    assert "asked" not in text


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
    assert (
        "(wide from 2.73 kHz, where the piston's circumference is 3 wavelengths: ka = 3)." in line
    )


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


@pytest.mark.parametrize("breakup", [15_300.0, 15_700.0, 15_900.0, 16_100.0])
def test_a_limit_near_the_end_of_what_is_heard_leaves_no_gap_in_the_text(known, breakup):
    """The last frequency below 16 kHz is 15.67 kHz, the next one 16.13 kHz."""
    small = make_driver("small", 0.0, piston_diameter=0.015, breakup=breakup)
    case, prediction, _ = known(drivers=[small])
    grid = prediction.frequency.values
    lines = beyond_the_piston(case, prediction)
    assert len(lines) == ((grid > breakup) & (grid < 16_000.0)).any()
    assert all("bend there (small from " in line for line in lines)


def test_two_drivers_that_are_unsure_together_are_named(known):
    """Each of two alike makes less than a tenth of the power beyond its limit; a third the rest."""
    pair = [make_driver(name, y, breakup=3000.0) for name, y in (("low", -0.1), ("high", 0.0))]
    case, prediction, _ = known(drivers=[*pair, make_driver("loud", 0.1, piston_diameter=0.015)])
    third = xr.where(prediction.driver == "loud", 3.6, 1.0)
    prediction = prediction.assign(strength=prediction.strength * third)
    (line,) = beyond_the_piston(case, prediction)
    assert "(low from 3 kHz and high from 3 kHz, where" in line


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
    assert "its mirror image does not reshape its field here" in text
    assert "mirrors_cabinet = true" in text


def test_the_other_cabinet_is_left_out_of_a_pair(known):
    assert "the other cabinet standing in the way" in told(known, placement=Placement(True, 2.0))
    assert "other cabinet" not in told(known)


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
