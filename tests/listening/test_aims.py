"""Aims: the figure that decides, met or missed and by how much, or not to be judged."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Aim, Cabinet, FrequencyGrid, Placement, ReferenceAxis
from acoustics.conventions import RoundoverError
from acoustics.listening import judge_aims
from acoustics.listening.aims import MEASURES, Figure, Measured, even, judge
from acoustics.prediction import predict
from support.cases import seat_at


def aim(measure, *, where="reference axis", at_least=None, at_most=None, band=(300.0, 10_000.0)):
    if measure in ("floor dip", "lobe window"):
        return Aim("an aim", measure, "seat", None, None, at_least, at_most)
    smoothing = None if measure == "level" else 6.0
    return Aim("an aim", measure, where, band, smoothing, at_least, at_most)


@pytest.fixture
def verdict(make_case, make_driver, solve_free_field):
    """The verdict on one aim of a single flat driver, or of the design given."""

    def judge(wanted, drivers=None, solve=solve_free_field, **changes):
        drivers = [make_driver("only")] if drivers is None else drivers
        case = make_case(drivers or None, aims=(wanted,), **changes)
        (answer,) = judge_aims(case, predict(case, solve=solve))
        return answer

    return judge


# A constant-sensitivity point source of 88 dB in half space is 82 dB in free space at 1 m, flat
# (method of images): 76.0 at 2 m.
AXIS_LEVEL = 88 - 20 * np.log10(2) - 20 * np.log10(2)


def test_level_met_and_missed_by_so_much(verdict):
    met = verdict(aim("level", at_least=70.0))
    assert met.met is True
    assert met.value == pytest.approx(AXIS_LEVEL, abs=1e-6)
    assert met.missed_by == 0
    assert met.unit == "dB"
    missed = verdict(aim("level", at_least=80.0))
    assert missed.met is False
    assert missed.missed_by == pytest.approx(80.0 - AXIS_LEVEL, abs=1e-6)
    above = verdict(aim("level", at_most=75.0))
    assert above.missed_by == pytest.approx(AXIS_LEVEL - 75.0, abs=1e-6)


def test_the_worst_ear_height_decides_and_every_one_is_told(verdict):
    seat = seat_at(2.5, (0.79, 1.79))  # the driver is at 0.79 m
    answer = verdict(aim("level", where="seat", at_least=0.0), seat=seat)
    assert [place for place, _ in answer.values] == ["ear height 0.79 m", "ear height 1.79 m"]
    near, far = (value for _, value in answer.values)
    assert near - far == pytest.approx(20 * np.log10(np.hypot(2.5, 1.0) / 2.5), abs=1e-6)
    assert answer.value == far
    assert verdict(aim("level", where="seat", at_most=200.0), seat=seat).value == near


def test_ripple_and_tilt_at_the_seat_leave_the_floor_out(verdict):
    for measure in ("ripple", "tilt"):
        answer = verdict(aim(measure, where="seat", at_most=0.1))
        assert answer.met is True
        assert answer.value == pytest.approx(0.0, abs=1e-6)


def test_tilt_between_two_limits(verdict):
    assert verdict(aim("tilt", at_least=-1.0, at_most=-0.5)).missed_by == pytest.approx(0.5)


def test_beamwidth_of_a_piston(verdict, make_driver, solve_baffled_piston):
    # 2J₁(x)/x = −6 dB at x = 2.21178545 (Kinsler et al., ch. 7): narrowest at the band's top.
    radius = 0.0625
    top = 1000.0 * 2.0**2
    expected = 2 * np.rad2deg(np.arcsin(2.21178545 / (2 * np.pi * top / 343.0 * radius)))
    wanted = Aim("wide", "beamwidth", "reference axis", (500.0, top), 12.0, expected - 5, None)
    piston = make_driver("piston", piston_diameter=2 * radius)
    answer = verdict(wanted, [piston], solve_baffled_piston)
    assert answer.met is True
    assert answer.value == pytest.approx(expected, abs=2.0)
    everywhere = verdict(aim("beamwidth", at_least=180.0))
    assert everywhere.value == 360.0
    assert everywhere.note == "never falls by 6 dB"


def test_floor_dip_is_the_depth_at_the_worst_ear(verdict):
    answer = verdict(aim("floor dip", where="seat", at_most=6.0))
    assert answer.met is False
    depths = [value for _, value in answer.values]
    assert answer.value == max(depths)
    # Method of images, driver at 0.79 m, ears at 0.9 and 1.1 m, 2.5 m away.
    expected = [
        -20 * np.log10(1 - np.hypot(2.5, ear - 0.79) / np.hypot(2.5, ear + 0.79))
        for ear in (0.9, 1.1)
    ]
    assert depths == pytest.approx(expected, abs=0.01)
    assert answer.missed_by == pytest.approx(max(expected) - 6.0, abs=0.01)
    assert "at 3" in answer.note


def test_floor_dip_without_a_floor_cannot_be_judged(verdict):
    answer = verdict(aim("floor dip", where="seat", at_most=6.0), surfaces=())
    assert answer.met is None
    assert answer.value is None
    assert answer.missed_by is None
    assert "no reflecting floor" in answer.note


def test_lobe_window_is_judged_where_it_closes(verdict, make_driver, pass_branch):
    drivers = [make_driver("woofer", -0.15), make_driver("tweeter", 0.15)]
    branches = (
        pass_branch("woofer", "low-pass", 3000.0),
        pass_branch("tweeter", "high-pass", 3000.0),
    )
    design = {
        "drivers": drivers,
        "crossover": branches,
        "seat": seat_at(2.5, (0.79,)),
        "reference": ReferenceAxis((0.0, 0.0), 2.0),
    }
    answer = verdict(aim("lobe window", where="seat", at_least=0.3), **design)
    # Half power where the paths differ by a quarter wavelength: y ≈ λ/4·R/d on either side.
    half = 343.0 / 3000.0 / 4 * 2.5 / 0.3
    assert answer.value == pytest.approx(2 * half, rel=0.02)
    assert answer.met is True
    assert verdict(aim("lobe window", where="seat", at_least=0.6), **design).met is False


def test_a_window_that_stays_open_is_only_a_lower_bound(verdict):
    two_way = {"drivers": []}  # the design made by hand: its window is open downward
    met = verdict(aim("lobe window", where="seat", at_least=0.5), **two_way)
    assert met.met is True
    unknown = verdict(aim("lobe window", where="seat", at_least=1.6), **two_way)
    assert unknown.met is None
    assert "end of the heights" in unknown.note
    assert verdict(aim("lobe window", where="seat", at_most=0.5), **two_way).met is False


def test_what_cannot_be_determined_says_why(verdict):
    alone = verdict(aim("lobe window", where="seat", at_least=0.3))
    assert alone.met is None
    assert alone.note == "no handover lies within the predicted frequencies"
    short = verdict(aim("ripple", at_most=2.0), frequencies=FrequencyGrid(500.0, 5000.0, 24))
    assert short.met is None
    assert "reaches beyond" in short.note
    narrow = verdict(aim("ripple", at_most=2.0, band=(1000.0, 1010.0)))
    assert "fewer than 3 frequencies" in narrow.note


def test_a_prediction_of_another_design_is_refused(make_case, solve_free_field):
    prediction = predict(make_case(), solve=solve_free_field)
    with pytest.raises(RoundoverError, match="another design"):
        judge_aims(make_case(digest="1" * 64), prediction)


def test_a_place_that_surely_misses_decides_whatever_is_open(verdict, make_driver, pass_branch):
    # Half power where the paths differ by a quarter wavelength: the window is 0.48 m high around
    # the axis at 0.79 m; from 0.2 m it reaches an end of the heights predicted.
    design = {
        "drivers": [make_driver("woofer", -0.15), make_driver("tweeter", 0.15)],
        "crossover": (
            pass_branch("woofer", "low-pass", 3000.0),
            pass_branch("tweeter", "high-pass", 3000.0),
        ),
        "reference": ReferenceAxis((0.0, 0.0), 2.0),
    }
    both = verdict(aim("lobe window", at_least=0.6), seat=seat_at(2.5, (0.79, 0.05)), **design)
    alone = verdict(aim("lobe window", at_least=0.6), seat=seat_at(2.5, (0.05,)), **design)
    assert alone.met is None
    assert "ear height 0.05 m: the window reaches an end" in alone.note
    assert both.met is False
    assert both.value == dict(both.values)["ear height 0.79 m"]
    assert both.missed_by == pytest.approx(0.6 - both.value)


def test_a_beam_about_a_null_is_not_known(verdict, make_driver, pass_branch):
    answer = verdict(
        aim("beamwidth", at_least=60.0),
        [make_driver("woofer", -0.06), make_driver("tweeter", 0.06)],
        crossover=(
            pass_branch("woofer", "low-pass", 2000.0, order=2),
            pass_branch("tweeter", "high-pass", 2000.0, order=2),
        ),
        reference=ReferenceAxis((0.0, 0.0), 2.0),
    )
    assert answer.met is None
    assert answer.value is None
    assert "the reference axis lies in a null at" in answer.note


@pytest.mark.parametrize("lowest", [320.0, 500.0])
def test_a_floor_dip_below_the_predicted_frequencies_is_not_known(verdict, lowest):
    # Method of images, driver at 0.79 m, ears at 1.1 m, 2.5 m away: the first dip is at 279 Hz.
    answer = verdict(
        aim("floor dip", at_most=100.0),
        seat=seat_at(2.5, (1.1,)),
        frequencies=FrequencyGrid(lowest, 4000.0, 24),
    )
    assert answer.met is None
    assert answer.value is None
    assert "the first dip, near 279 Hz, lies below the predicted frequencies" in answer.note


def test_a_grid_too_coarse_for_the_smoothing_is_not_judged(verdict):
    ripple = verdict(aim("ripple", at_most=2.0), frequencies=FrequencyGrid(20.0, 20e3, 6))
    assert ripple.met is None
    assert "take per_octave = 12 or more" in ripple.note
    assert verdict(aim("ripple", at_most=2.0), frequencies=FrequencyGrid(20.0, 20e3, 12)).met
    level = verdict(aim("level", at_least=70.0), frequencies=FrequencyGrid(20.0, 20e3, 6))
    assert level.met is True


def test_a_coarse_grid_does_not_stretch_a_band(verdict):
    # One frequency per octave from 500 Hz: a whole octave of the band is missing.
    answer = verdict(aim("level", at_least=70.0), frequencies=FrequencyGrid(500.0, 16e3, 1))
    assert answer.met is None
    assert "reaches beyond" in answer.note


@pytest.mark.parametrize(
    ("short", "met", "close"),
    [(-0.06, True, False), (-0.04, None, True), (0.04, None, True), (0.06, False, False)],
)
def test_within_its_uncertainty_of_the_limit_an_aim_is_too_close_to_call(
    verdict, short, met, close
):
    # A level may be off by half of 0.1 dB, whatever the solver says.
    answer = verdict(aim("level", at_least=AXIS_LEVEL + short))
    assert (answer.met, answer.close) == (met, close)
    assert answer.uncertainty == pytest.approx(0.05)
    assert answer.value == pytest.approx(AXIS_LEVEL)
    assert answer.missed_by == {True: 0.0, None: None, False: pytest.approx(short)}[met]


def test_the_cabinets_of_a_pair_are_judged_apart_where_they_sound_apart(verdict):
    pair = Placement(pair=True, spacing=2.0)
    middle = verdict(aim("level", where="seat", at_least=0.0), placement=pair)
    assert [place for place, _ in middle.values] == ["ear height 0.90 m", "ear height 1.10 m"]
    aside = verdict(
        aim("level", where="seat", at_least=0.0), placement=pair, seat=seat_at(2.5, (0.79,), 1.0)
    )
    (left, quiet), (right, loud) = aside.values
    assert (left, right) == ("left cabinet, ear height 0.79 m", "right cabinet, ear height 0.79 m")
    assert loud - quiet == pytest.approx(20 * np.log10(np.hypot(2.0, 2.5) / 2.5), abs=1e-6)
    assert aside.value == quiet


def test_the_listening_window_has_its_own_figures(verdict, make_driver, solve_baffled_piston):
    wide = verdict(aim("level", where="listening window", at_least=0.0))
    assert wide.value == pytest.approx(AXIS_LEVEL, abs=1e-6)
    piston = make_driver("piston", piston_diameter=0.1)
    window, axis = (
        verdict(aim("tilt", where=where, at_least=-9.0), [piston], solve_baffled_piston).value
        for where in ("listening window", "reference axis")
    )
    assert axis == pytest.approx(0.0, abs=1e-6)
    assert window < -0.2  # the beam narrows


def test_a_band_beyond_what_the_piston_model_is_good_for_is_told(verdict, make_driver):
    # ka = 3 at 343·3/(2π·0.05) = 3275 Hz: 1.6 of the 5 octaves from 300 Hz to 10 kHz lie above.
    large = make_driver("large", piston_diameter=0.1)
    answer = verdict(aim("ripple", at_most=1.0), [large])
    assert answer.met is True
    share = np.log2(10_000 / 3275) / np.log2(10_000 / 300)
    # The grid's steps of 1/24 octave round the band's end.
    told = float(answer.caveat.split()[0])
    assert told == pytest.approx(100 * share, abs=1.5)
    assert answer.caveat.endswith("of its band rests on drivers beyond their piston range")
    assert verdict(aim("ripple", at_most=1.0, band=(300.0, 3000.0)), [large]).caveat == ""
    assert verdict(aim("ripple", at_most=1.0), [make_driver("small")]).caveat == ""


def test_a_very_deep_dip_is_missed_for_sure(verdict):
    # Far away both ways are nearly alike: 1 − r₁/r₂ is small, the notch 46 dB deep (method of
    # images), and one of any depth from 36 dB on is within the calculation's error of it.
    far = {"seat": seat_at(60.0, (3.0,)), "cabinet": Cabinet(0.22, 0.38, 0.3, base_height=2.81)}
    depth = -20 * np.log10(1 - 60.0 / np.hypot(60.0, 6.0))
    missed = verdict(aim("floor dip", at_most=6.0), **far)
    assert (missed.met, missed.close) == (False, False)
    assert missed.value == pytest.approx(depth, abs=0.05)
    assert missed.missed_by == pytest.approx(depth - 6.0, abs=0.05)
    low, high = missed.bounds
    # δ and e = 2u = 0.1 dB as a relative error.
    assert low == pytest.approx(
        -20 * np.log10(10 ** (-depth / 20) + 0.1 * np.log(10) / 20), abs=0.1
    )
    assert high == np.inf
    assert missed.uncertainty == pytest.approx(missed.value - low)
    near = verdict(aim("floor dip", at_most=40.0), **far)
    assert (near.met, near.close) == (None, True)
    above = verdict(aim("floor dip", at_most=80.0), **far)
    assert (above.met, above.close) == (None, True)
    assert np.isfinite(above.uncertainty)


# One dip that may be 2 dB shallower or 9 dB deeper than 10 dB.
@pytest.mark.parametrize(
    ("limits", "met", "close", "uncertainty"),
    [
        ({"at_most": 7.9}, False, False, 2.0),
        ({"at_most": 8.1}, None, True, 2.0),
        ({"at_most": 18.9}, None, True, 9.0),
        ({"at_most": 19.1}, True, False, 9.0),
        ({"at_least": 18.9}, None, True, 9.0),
        ({"at_least": 7.9}, True, False, 2.0),
        ({"at_least": 5.0, "at_most": 11.0}, None, True, 9.0),
        ({"at_least": 9.0, "at_most": 30.0}, None, True, 2.0),
        ({"at_least": 12.0, "at_most": 13.0}, None, True, 9.0),
    ],
)
def test_only_the_side_that_faces_the_limit_counts(monkeypatch, limits, met, close, uncertainty):
    answer = judged(monkeypatch, aim("floor dip", **limits), Figure("here", 10.0, 2.0, 9.0))
    assert (answer.met, answer.close) == (met, close)
    assert answer.uncertainty == uncertainty
    assert answer.bounds == (8.0, 19.0)


def judged(monkeypatch, wanted, *figures, note=""):
    """The verdict on figures given instead of measured."""
    given = (lambda aim, prediction, doubted=True: Measured(figures, note)), "dB"
    monkeypatch.setitem(MEASURES, wanted.measure, given)
    return judge(wanted, None)


def test_what_is_known_decides_before_what_is_not(monkeypatch):
    wanted = aim("floor dip", at_most=6.0)
    good, bad, close = even("a", 3.0, 0.1), even("b", 9.0, 0.1), even("c", 6.05, 0.1)
    nothing, few = even("d", np.nan, np.nan), even("e", 2.0, 0.1)

    missed = judged(monkeypatch, wanted, nothing, close, bad, good)
    assert (missed.met, missed.value) == (False, 9.0)
    assert missed.note == "not known at d"

    for others in ((nothing,), (good,), (nothing, good)):
        answer = judged(monkeypatch, wanted, *others, close)
        assert (answer.met, answer.close, answer.value) == (None, True, 6.05)
        assert answer.uncertainty == 0.1
        assert ("not known at d" in answer.note) == (nothing in others)

    unknown = judged(monkeypatch, wanted, good, nothing, few)
    assert (unknown.met, unknown.close, unknown.value) == (None, False, None)
    assert unknown.note == "not known at d"
    told = judged(monkeypatch, wanted, nothing, close, note="d: below the predicted frequencies")
    assert told.note == "d: below the predicted frequencies"
    none = judged(monkeypatch, wanted, nothing)
    assert (none.met, none.value, none.note) == (None, None, "the figure cannot be determined")


def test_an_open_figure_has_no_upper_bound(monkeypatch):
    answer = judged(monkeypatch, aim("lobe window", at_least=2.0), even("a", 1.0, 0.1, open=True))
    assert (answer.met, answer.close) == (None, False)
    assert answer.bounds == (0.9, np.inf)


def test_a_band_outside_the_predicted_frequencies_has_no_caveat(verdict, make_driver):
    large = make_driver("large", piston_diameter=0.1)
    answer = verdict(
        aim("ripple", at_most=2.0, band=(100.0, 200.0)),
        [large],
        frequencies=FrequencyGrid(500.0, 5000.0, 24),
    )
    assert answer.met is None
    assert answer.caveat == ""


def test_in_a_null_a_level_is_less_sure(make_case, make_driver, pass_branch, solve_free_field):
    # Second-order branches cancel on the axis at the corner; a fourth-order pair does not.
    def doubts(order, *aims, **changes):
        case = make_case(
            [make_driver("woofer", -0.06), make_driver("tweeter", 0.06)],
            crossover=tuple(
                pass_branch(name, kind, 2000.0, order=order)
                for name, kind in (("woofer", "low-pass"), ("tweeter", "high-pass"))
            ),
            reference=ReferenceAxis((0.0, 0.0), 2.0),
            aims=aims,
            **changes,
        )
        made = predict(case, solve=solve_free_field)
        estimate = ("frequency", np.full(made.frequency.size, 0.2))
        return [
            v.uncertainty for v in judge_aims(case, made.assign_coords(error_estimate=estimate))
        ]

    sharp = Aim("sharp", "ripple", "reference axis", (300.0, 10_000.0), 12.0, None, 2.0)
    ripple, tilt = aim("ripple", at_most=2.0), aim("tilt", at_most=2.0)
    level = aim("level", at_least=0.0)
    assert doubts(4, ripple, sharp, level) == pytest.approx([0.2, 0.2, 0.2])
    sure, less, plain = doubts(2, ripple, sharp, level)
    assert less > 0.3
    assert less > sure
    assert plain == pytest.approx(0.2)
    with_line = doubts(2, sharp, tilt)
    assert with_line[1] == pytest.approx(3 * sure / np.log2(10_000 / 300))
    # The distance to the seat makes no null.
    away = [Aim("far", "ripple", "seat", (300.0, 10_000.0), 6.0, None, 2.0)]
    assert doubts(4, *away, seat=seat_at(30.0, (0.79,))) == pytest.approx([0.2])
