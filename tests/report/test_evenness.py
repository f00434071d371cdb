"""How even the sound is: the sentences say what the figures say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Branch, FrequencyGrid, PassFilter, Placement
from acoustics.report.evenness import baffle_steps, evenness
from support.cases import make_case, make_driver

ONE_TWO_WAY = make_case()


def told(known, **changes):
    case, prediction, answers = known(**changes)
    return " ".join(evenness(case, answers, prediction)), answers


def test_a_point_source_is_even_everywhere(known):
    """One point source in free space, on the axis of the arcs: every direction alike.

    Its level at 2 m is 88 dB at 1 m into half space, less 20·lg 2 for the distance and 20·lg 2
    for the full space: 75.96 dB.
    """
    text, _ = told(known, drivers=[make_driver("only", 0.0)])
    assert "On the reference axis: ripple ±0.0 dB about a line that is level; mean" in text
    assert "mean level 76.0 dB at 2 m for 2.83 V." in text
    assert "A filter can correct ±0.0 dB: " in text
    assert "A filter cannot correct ±0.0 dB: " in text
    assert "In a usual room the sound is level, ripple ±0.0 dB (estimated in-room" in text
    assert "ahead it is 0.0 dB louder than all round" in text
    assert "Narrowest beam (−6 dB): all round left to right, all round up and down." in text
    assert "differ" not in text


def test_both_parts_of_the_ripple(known):
    text, answers = told(known)
    assert float(answers.relative_ripple) > 0.3
    assert f"A filter can correct ±{float(answers.window_ripple):.1f} dB: the mean" in text
    assert f"A filter cannot correct ±{float(answers.relative_ripple):.1f} dB: " in text
    assert f": {answers.worst_direction.values} relative to on axis (the worst)." in text


def test_a_cabinet_alike_on_both_sides_has_no_worst_side(known):
    case, prediction, answers = known()
    answers["worst_direction"] = ((), "20° left")
    assert ": 20° to the sides relative to" in " ".join(evenness(case, answers, prediction))
    answers["side_difference"] = ((), 0.4)
    text = " ".join(evenness(case, answers, prediction))
    assert ": 20° left relative to" in text
    assert "Left and right of the axis differ by 0.4 dB (rms, up to 60°)." in text


def test_the_mirror_image_is_named_for_a_pair(known):
    _, single, _ = known()
    case, pair, answers = known(placement=Placement(pair=True, spacing=2.0))
    answers["side_difference"] = ((), 0.4)
    mirrored = "; the right cabinet is its mirror image."
    assert mirrored in " ".join(evenness(case, answers, pair))
    assert mirrored not in " ".join(evenness(case, answers, single))


def test_narrowest_beam_and_where(known, solve_baffled_piston):
    """A piston of radius a: −6 dB at ka·sinθ = 2.215 (2J₁(x)/x = 1/2); the beam is 2θ.

    At the highest frequency of the band, 10 kHz, a = 60 mm: ka = 10.99, θ = 11.6°, beam 23.3°; of
    the 24 frequencies to an octave the last in the band is 9.79 kHz.
    """
    driver = make_driver("only", 0.0, piston_diameter=0.12, frame_diameter=0.16)
    text, answers = told(known, drivers=[driver], solve=solve_baffled_piston)
    width = float(answers.least_beamwidth.sel(plane="horizontal"))
    assert width == pytest.approx(2 * np.degrees(np.arcsin(2.215 / 10.99)), rel=0.05)
    assert f"Narrowest beam (−6 dB): {width:.0f}° left to right near 9.8 kHz, " in text


def test_a_null_on_the_axis_has_no_beam(known):
    case, prediction, answers = known()
    answers["least_beamwidth"] = answers.least_beamwidth * np.nan
    assert "lies in a null somewhere" in " ".join(evenness(case, answers, prediction))


def test_baffle_step_of_the_drivers_that_play_there(known):
    """At 306 Hz the tweeter's fourth-order slope lies far below; at 3 kHz it plays."""
    case, prediction, answers = known()
    answers["half_step_frequency"] = ("driver", [306.0, 342.0])
    answers["step_rise"] = ("driver", [8.31, 8.14])
    answers["step_note"] = ("driver", ["", ""])
    assert baffle_steps(case, answers, prediction) == [
        "Baffle step, for the crossover to take back: woofer 3 dB up at 306 Hz, 8.3 dB at most."
    ]
    answers["half_step_frequency"] = ("driver", [306.0, 3000.0])
    assert "8.3 dB at most; tweeter 3 dB up at 3 kHz" in baffle_steps(case, answers, prediction)[0]
    answers["step_rise"] = ("driver", [np.nan, 8.14])
    assert "woofer 3 dB up at 306 Hz; tweeter" in baffle_steps(case, answers, prediction)[0]


def test_an_unknown_step_says_why_for_the_driver_that_plays(known):
    """Nothing rises without a cabinet."""
    case, prediction, answers = known()
    (text,) = baffle_steps(case, answers, prediction)
    assert text.startswith("Baffle step of the woofer: not known; the level rises by only 0.0 dB")


def acoustic(name, kind, corner):
    low, high = (corner, None) if kind == "high-pass" else (None, corner)
    slope = PassFilter(kind, "linkwitz-riley", 4, low, high)
    return Branch(name, sections=(slope,), slopes="acoustic", level=80.0)


def test_a_computed_filter_is_named(known):
    both = (acoustic("woofer", "low-pass", 2500.0), acoustic("tweeter", "high-pass", 2500.0))
    case, prediction, answers = known(drivers=ONE_TWO_WAY.drivers, crossover=both)
    answers["half_step_frequency"] = ("driver", [306.0, 342.0])
    text = " ".join(evenness(case, answers, prediction))
    assert "is level (the computed filter makes it so); mean level 74.0 dB" in text
    assert "Baffle step, in the filter already: woofer" in text
    answers["axis_ripple"] = ((), 0.5)
    assert "computed filter makes" not in " ".join(evenness(case, answers, prediction))
    too_loud = tuple(replace(branch, level=100.0) for branch in both)
    short, even = told(known, drivers=ONE_TWO_WAY.drivers, crossover=too_loud)
    assert float(even.axis_ripple) < 0.5
    assert "computed filter makes" not in short
    mixed, *_ = told(
        known, drivers=ONE_TWO_WAY.drivers, crossover=(both[0], ONE_TWO_WAY.crossover[1])
    )
    assert "computed filter" not in mixed


def test_too_few_frequencies_are_said(known):
    text, _ = told(known, frequencies=FrequencyGrid(400.0, 20_000.0, 24))
    assert text.startswith("Ripple and tilt are not known: ")
    assert "nan" not in text
