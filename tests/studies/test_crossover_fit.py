"""Fitting a passive crossover: circuits whose best values are known, limits, parts, resuming."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.fit_model import Fit, Prices, Weights
from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.case.design.section_model import PassFilter
from acoustics.case.design.topology import topology_of
from acoustics.conventions import RoundoverError
from acoustics.crossover.standard_values import SERIES
from acoustics.prediction import predict
from acoustics.studies.crossover_fit import fit_crossover, run
from acoustics.studies.crossover_fit.aims import played, residuals
from acoustics.studies.crossover_fit.candidates import Candidate, candidates_of, spans_of
from acoustics.studies.crossover_fit.dataset import fit_dataset, window_deviation
from acoustics.studies.crossover_fit.outcome import Outcome
from acoustics.studies.crossover_fit.question import Question, level_to_be_had, start_of, trial_of
from acoustics.studies.crossover_fit.scene import fit_asked, scene_of
from acoustics.studies.crossover_fit.score import price_of
from acoustics.studies.crossover_fit.search import found_all_over, found_near, snapped
from acoustics.studies.remembered import Remembered
from support.cases import make_case, make_driver, pass_branch
from support.free_field import solve_free_field

R = 8.0
WINDOW_ALONE = Weights(in_room=0.0, directivity=0.0, phase=0.0)
NEARLY_IDEAL = {"wire": 4e-3, "capacitor_loss": 0.0}


def two_resistors(fit=None, **changes):
    """Two flat drivers of 8 ohm at one place: what they add up to is the crossover's alone."""
    drivers = (
        make_driver("woofer", piston_diameter=0.12, rated_impedance=R),
        make_driver("tweeter", rated_impedance=R),
    )
    settings = {
        "frequencies": FrequencyGrid(50.0, 20_000.0, 12),
        "arc_step": 10.0,
        "fit": fit,
        **changes,
    }
    return make_case(drivers, **settings)


def shapes(woofer, tweeter):
    return (
        ("woofer", (topology_of(woofer),)),
        ("tweeter", (topology_of(tweeter),)),
    )


def asked(case):
    scene = scene_of(case, Remembered(solve_free_field, {}))
    fit = fit_asked(case)
    question = Question(scene, fit, fit.crossovers, level_to_be_had(scene, fit, 2.0))
    return question, candidates_of(case, scene, fit)


def first_order(**changes):
    fit = Fit(
        weights=WINDOW_ALONE,
        crossovers=((1000.0, 4000.0),),
        topologies=shapes("low-pass 1", "high-pass 1"),
        **{**NEARLY_IDEAL, **changes},
    )
    return two_resistors(fit)


def test_first_order_adds_up_where_both_corners_are_one():
    """R/(R + sL) + sRC/(1 + sRC) = 1 where L = R²C (first-order Butterworth; circuit identity).

    Turned round, their difference is an all-pass: as flat.
    """
    question, (normal, turned) = asked(first_order())
    found = found_near(question, normal)
    inductor, capacitor = found.values
    assert inductor == pytest.approx(R**2 * capacitor, rel=0.03)  # the coil's wire has its part
    left = trial_of(question, normal).residuals(np.array(found.values))
    assert np.abs(left.listening_window).max() < 0.05
    assert (normal.turned[1], turned.turned[1]) == (False, True)
    inverse = trial_of(question, turned).residuals(np.array(found_near(question, turned).values))
    assert np.abs(inverse.listening_window).max() < 0.05


def test_second_order_in_step_takes_one_driver_turned_round():
    """Linkwitz–Riley of second order is in step with one driver inverted (Linkwitz 1976).

    With L = 2R/ω and C = 1/(2Rω) both slopes are a squared first order, and their difference has
    the level 1 at all frequencies.
    """
    weights = Weights(in_room=0.0, directivity=0.0, phase=1.0)
    fit = Fit(
        weights=weights,
        crossovers=((1000.0, 4000.0),),
        topologies=shapes("low-pass 2", "high-pass 2"),
        **NEARLY_IDEAL,
    )
    question, candidates = asked(two_resistors(fit))
    found = {c.turned: found_near(question, c) for c in candidates}
    best = min(found, key=lambda turned: found[turned].cost)
    assert best == (False, True)
    low_l, low_c, high_c, high_l = found[best].values
    assert low_l / low_c == pytest.approx(4 * R**2, rel=0.1)
    assert high_l / high_c == pytest.approx(4 * R**2, rel=0.1)
    assert low_l * low_c == pytest.approx(high_l * high_c, rel=0.1)


def test_what_a_fit_looks_at_is_what_a_prediction_says():
    """The same ladders through `predict` and the standard curves, at the same frequencies."""
    case = first_order()
    question, (candidate, _) = asked(case)
    trial = trial_of(question, candidate)
    values = np.exp(start_of(trial))
    ladders = trial.ladders(values)
    branches = tuple(
        Branch(name, slopes="passive", elements=ladder)
        for name, ladder in zip(question.scene.names, ladders, strict=True)
    )
    prediction = predict(replace(case, crossover=branches), solve=solve_free_field)
    told = window_deviation(prediction, question.fit)
    window = trial.residuals(values).listening_window
    mine = np.interp(
        np.log(told.frequency.values), np.log(question.scene.points), window - window.mean()
    )
    np.testing.assert_allclose(told - told.mean(), mine - mine.mean(), atol=0.02)


def test_standard_parts_are_of_their_series_and_not_far_from_the_best():
    question, (candidate, _) = asked(first_order())
    best = found_near(question, candidate)
    standard = snapped(question, candidate, best)
    for value, series in zip(standard.values, ("E12", "E24"), strict=True):
        assert any(np.isclose(value / 10 ** np.floor(np.log10(value)), s) for s in SERIES[series])
    assert best.cost <= standard.cost < 0.3**2
    assert standard.seconds == ()


def test_two_pieces_come_nearer_where_they_are_allowed():
    single = first_order(worth_of_part=0.0, series="E12")
    question, (candidate, _) = asked(single)
    # A coil that is held leaves the capacitor to be met.
    one = snapped(question, candidate, found_near(question, candidate))
    pairs, (candidate, _) = asked(first_order(worth_of_part=0.0, series="E12", pairs=True))
    two = snapped(pairs, candidate, found_near(pairs, candidate))
    assert two.cost <= one.cost
    for value, second in zip(two.values, two.seconds, strict=True):
        for piece in filter(None, (second, value - second)):
            decade = 10 ** np.floor(np.log10(piece) + 1e-9)
            assert any(np.isclose(piece / decade, s) for s in SERIES["E12"])


def test_two_pieces_are_paid_twice():
    """A second capacitor costs another one's price, though their values add up to the same."""
    prices = Prices(inductor=3.0, inductor_per_mh=2.0, capacitor=1.0, capacitor_per_uf=0.5)
    kinds = ("inductor", "capacitor")
    one = Outcome((0.5e-3, 12e-6), 0.0)
    two = Outcome((0.5e-3, 12e-6), 0.0, (0.0, 2e-6))
    assert price_of(kinds, one, prices) == pytest.approx(3.0 + 1.0 + 1.0 + 6.0)
    assert price_of(kinds, two, prices) == pytest.approx(price_of(kinds, one, prices) + 1.0)


def test_a_pair_is_bought_only_where_it_is_worth_its_price():
    settings = {"worth_of_part": 0.0, "series": "E12", "pairs": True}
    found = {}
    for worth in (0.0, 10.0):
        fit = {**settings, "worth_of_price": worth, "prices": Prices(capacitor=1.0)}
        question, (candidate, _) = asked(first_order(**fit))
        found[worth] = snapped(question, candidate, found_near(question, candidate))
    assert found[0.0].pieces == 3
    assert found[10.0].pieces == 2


def test_all_over_is_never_worse_than_what_was_known():
    question, (candidate, turned) = asked(first_order())
    for each in (candidate, turned):
        near = found_near(question, each)
        assert found_all_over(question, each, near).cost <= near.cost * (1 + 1e-9)


def test_the_input_impedance_stays_above_its_limit():
    """Two first-order ladders of one corner are a resistance of R: 8 ohm cannot be 12."""
    free, (candidate, _) = asked(first_order())
    fit = Fit(
        weights=WINDOW_ALONE,
        crossovers=((1000.0, 4000.0),),
        topologies=shapes("low-pass 1", "high-pass 1 + resistor"),
        least_impedance=9.0,
        **NEARLY_IDEAL,
    )
    question, (limited, _) = asked(two_resistors(fit))
    found = found_near(question, limited)
    left = trial_of(question, limited).residuals(np.array(found.values))
    assert left.limits.max() > 0.1  # the woofer's own 8 ohm cannot be mended, and it is told
    free_left = trial_of(free, candidate).residuals(np.array(found_near(free, candidate).values))
    assert free_left.limits.max() < 0.1


def test_drivers_hand_over_where_they_may():
    for span in ((600.0, 1200.0), (3000.0, 6000.0)):
        case = two_resistors(replace(first_order().fit, crossovers=(span,)))
        question, (candidate, _) = asked(case)
        inductor, _ = found_near(question, candidate).values
        corner = R / (2 * np.pi * inductor)
        assert 0.8 * span[0] < corner < 1.25 * span[1]


def test_a_tweeter_is_kept_from_more_than_it_stands():
    """What moves it under pink noise at the amplifier's voltage is reckoned with."""
    case = first_order()
    woofer, tweeter = case.drivers
    weak = replace(tweeter, power=0.05)
    loud = replace(case, amplifier=Amplifier(power=100.0, into=8.0), drivers=(woofer, weak))
    question, (candidate, _) = asked(loud)
    found = found_near(question, candidate)
    left = trial_of(question, candidate).residuals(np.array(found.values))
    assert left.limits.max() > 1.0
    gentle, (same, _) = asked(replace(loud, amplifier=Amplifier(power=0.01, into=8.0)))
    quiet = np.array(found_near(gentle, same).values)
    assert trial_of(gentle, same).residuals(quiet).limits.max() < 0.2
    # Less capacitance keeps more from it.
    assert found.values[1] < quiet[1]


def outcomes(fitted):
    return [finalist.outcome for finalist in fitted.finalists]


def test_the_same_seed_finds_the_same_and_all_is_told():
    case = first_order()
    first = fit_crossover(case, workers=0, solve=solve_free_field)
    assert outcomes(fit_crossover(case, workers=0, solve=solve_free_field)) == outcomes(first)
    found = fit_dataset(case, first)
    assert found.sizes["finalist"] == len(first.finalists) == 2
    assert (np.diff(found.score) >= 0).all()
    assert found.attrs["tried"] == 2
    assert list(found.part_kind.values) == ["inductor", "capacitor"]


class EnoughError(Exception):
    """Stands for whatever ends the process."""


@pytest.mark.slow
def test_a_fit_that_was_broken_off_goes_on(tmp_path, monkeypatch):
    case = first_order()
    whole = fit_crossover(case, workers=0, solve=solve_free_field)
    real, calls = run.work_on, []

    def only_three(task):
        if len(calls) == 3:
            raise EnoughError
        calls.append(task)
        return real(task)

    monkeypatch.setattr(run, "work_on", only_three)
    with pytest.raises(EnoughError):
        fit_crossover(case, tmp_path, workers=0, solve=solve_free_field)
    kept = sorted((tmp_path / run.WORK).glob("fit-*.npz"))
    assert len(kept) == 3
    kept[0].write_text("damaged")
    done = []
    monkeypatch.setattr(run, "work_on", lambda task: done.append(task) or real(task))
    resumed = fit_crossover(case, tmp_path, workers=0, solve=solve_free_field)
    assert len(done) == 6 - 2
    assert outcomes(resumed) == outcomes(whole)


def test_what_is_kept_of_another_question_is_not_taken(tmp_path, monkeypatch):
    fit_crossover(first_order(), tmp_path, workers=0, solve=solve_free_field)
    done, real = [], run.work_on
    monkeypatch.setattr(run, "work_on", lambda task: done.append(task) or real(task))
    fit_crossover(first_order(tilt=-0.5), tmp_path, workers=0, solve=solve_free_field)
    assert len(done) == 6
    done.clear()
    fit_crossover(first_order(tilt=-0.5), tmp_path, workers=0, solve=solve_free_field)
    assert done == []


@pytest.mark.slow
def test_prices_and_parts_weigh():
    """Of two shapes that do alike the one with fewer or cheaper parts comes first."""
    topologies = (
        ("woofer", (topology_of("low-pass 1"), topology_of("low-pass 1 + compensation"))),
        ("tweeter", (topology_of("high-pass 1"),)),
    )
    case = two_resistors(
        Fit(
            weights=WINDOW_ALONE,
            crossovers=((1000.0, 4000.0),),
            topologies=topologies,
            prices=Prices(inductor=3.0, inductor_per_mh=2.0, capacitor=1.0, resistor=0.5),
            **NEARLY_IDEAL,
        )
    )
    fitted = fit_crossover(case, workers=0, solve=solve_free_field)
    assert fitted.best.candidate.shapes[0].name == "low-pass 1"
    inductor, _ = fitted.best.outcome.values
    assert fitted.best.price == pytest.approx(3.0 + 2.0 * 1e3 * inductor + 1.0)


def test_beside_an_active_driver_all_may_be_turned_round():
    """Against a subwoofer that plays by itself the polarity of all the others counts."""
    sub = make_driver("sub", piston_diameter=0.2)
    quiet = first_order()
    own = pass_branch("sub", "low-pass", 500.0)
    case = replace(quiet, drivers=(sub, *quiet.drivers), crossover=(own,))
    question, candidates = asked(case)
    assert {c.turned for c in candidates} == {(a, b) for a in (False, True) for b in (False, True)}
    costs = {
        c.turned: trial_of(question, c).cost(start_of(trial_of(question, c))) for c in candidates
    }
    # A low-pass of fourth order is half a turn late at its corner.
    assert costs[True, True] < costs[False, False] - 1.0
    assert {c.turned[0] for c in asked(quiet)[1]} == {False}


def test_spans_are_as_many_as_crossovers():
    fit = replace(first_order().fit, crossovers=((300.0, 600.0), (1000.0, 4000.0)))
    with pytest.raises(RoundoverError, match=r"fit\.crossovers: there are 2 spans"):
        fit_crossover(two_resistors(fit), workers=0, solve=solve_free_field)


def test_refusals():
    case = first_order()
    with pytest.raises(RoundoverError, match=r"fit\.most_parts is 1, and the smallest .* 2 parts"):
        fit_crossover(first_order(most_parts=1), workers=0, solve=solve_free_field)
    active = replace(case, crossover=make_case().crossover)
    with pytest.raises(RoundoverError, match="every driver has a filter of its own"):
        fit_crossover(active, workers=0, solve=solve_free_field)
    unknown = tuple(replace(driver, rated_impedance=None) for driver in case.drivers)
    with pytest.raises(RoundoverError, match="nothing tells the impedance of woofer, tweeter"):
        fit_crossover(replace(case, drivers=unknown), workers=0, solve=solve_free_field)
    narrow = two_resistors(frequencies=FrequencyGrid(500.0, 20_000.0, 12))
    with pytest.raises(RoundoverError, match="a fit looks at 200 Hz to 15 kHz"):
        fit_crossover(narrow, workers=0, solve=solve_free_field)


def beside(active, corner, **changes):
    """Two resistors, one of them with an amplifier of its own."""
    kind = "low-pass" if active == "woofer" else "high-pass"
    corners = (None, corner) if active == "woofer" else (corner, None)
    own = Branch(active, sections=(PassFilter(kind, "linkwitz-riley", 4, *corners),))
    case = two_resistors(Fit(**changes))
    return replace(case, crossover=(own,))


@pytest.mark.parametrize(("active", "kind"), [("woofer", "high-pass"), ("tweeter", "low-pass")])
def test_beside_an_active_driver_the_other_gets_what_it_lacks(active, kind):
    """A tweeter above an active woofer is high-passed (common practice), from the woofer's corner.

    Turned round it adds up differently with the active one, so both ways are tried.
    """
    case = beside(active, 2000.0)
    scene = scene_of(case, Remembered(solve_free_field, {}))
    assert {scene.begins, scene.ends} == {None, 2000.0}
    found = candidates_of(case, scene, case.fit)
    assert all(candidate.shapes[0].name.startswith(kind) for candidate in found)
    assert {candidate.turned for candidate in found} == {(False,), (True,)}


def test_out_of_step_with_an_active_driver_costs():
    """Two equal waves a quarter turn apart give 10 log 2 = 3 dB less than in step."""
    case = beside("woofer", 2000.0)
    scene = scene_of(case, Remembered(solve_free_field, {}))
    fit = fit_asked(case)
    question = Question(scene, fit, (), level_to_be_had(scene, fit, 2.0))
    trial = trial_of(question, candidates_of(case, scene, fit)[0])
    sound = played(scene, trial.ladders(np.exp(start_of(trial))), (False,))
    apart = replace(scene, others=1j * sound.each[:, 0])
    left = residuals(apart, fit, (), sound, 80.0).phase
    assert np.sqrt((left**2).mean()) == pytest.approx(10 * np.log10(2), abs=0.01)
    in_step = replace(scene, others=sound.each[:, 0])
    assert np.abs(residuals(in_step, fit, (), sound, 80.0).phase).max() < 1e-9


def test_which_limits_are_broken_is_told():
    """Two resistors of 8 ohm draw less than 16 ohm somewhere, and a span elsewhere is missed."""
    question, (candidate, _) = asked(first_order(least_impedance=32.0))
    trial = trial_of(question, candidate)
    values = np.exp(start_of(trial))
    broken = trial.residuals(values).broken
    assert broken["input impedance"] > 20 * np.log10(32 / 16)
    assert (broken["crossover spans"], broken["displacement and power"]) == (0.0, 0.0)
    elsewhere = replace(trial, question=replace(question, spans=((8000.0, 9000.0),)))
    assert elsewhere.residuals(values).broken["crossover spans"] > 3.0


def test_without_an_amplifier_a_fit_still_keeps_off_short_circuits():
    """An amplifier for 4 ohm stands 3.2 ohm (IEC 60268-5, from memory)."""
    assert fit_asked(two_resistors()).least_impedance == 3.2
    assert fit_asked(two_resistors(Fit(least_impedance=6.0))).least_impedance == 6.0
    bare = Amplifier(power=None, into=8.0, lowest_impedance=None, resistance=0.0)
    assert fit_asked(two_resistors(amplifier=bare)).least_impedance == 3.2
    stated = replace(bare, lowest_impedance=4.0)
    assert fit_asked(two_resistors(amplifier=stated)).least_impedance == 4.0


def test_two_that_are_alike_are_no_two_ways():
    """Which of two equal woofers is the lower one nobody can tell."""
    woofer = make_driver("upper", piston_diameter=0.12, rated_impedance=R)
    drivers = (
        woofer,
        replace(woofer, name="lower", position=(0.0, -0.1)),
        make_driver("tweeter", rated_impedance=R),
    )
    case = make_case(drivers, frequencies=FrequencyGrid(50.0, 20_000.0, 12), arc_step=10.0)
    scene = scene_of(case, Remembered(solve_free_field, {}))
    with pytest.raises(RoundoverError, match="upper and lower are alike"):
        candidates_of(case, scene, fit_asked(case))
    # Two of one model are alike too, each with data of its own.
    upper, lower = (replace(case.driver(name), model="165") for name in ("upper", "lower"))
    named = replace(case, drivers=(upper, replace(lower, sensitivity=87.5), drivers[2]))
    with pytest.raises(RoundoverError, match="upper and lower are alike"):
        candidates_of(named, scene, fit_asked(named))
    both = tuple((name, (topology_of("low-pass 1"),)) for name in ("upper", "lower"))
    assert candidates_of(case, scene, Fit(topologies=both))


def test_what_is_asked_of_an_active_driver_is_refused():
    case = beside("woofer", 2000.0, topologies=shapes("low-pass 2", "high-pass 2"))
    scene = scene_of(case, Remembered(solve_free_field, {}))
    with pytest.raises(RoundoverError, match=r"fit\.topologies\.woofer: .* of its own"):
        candidates_of(case, scene, case.fit)
    case = beside("woofer", 2000.0, crossovers=((1000.0, 4000.0),))
    with pytest.raises(RoundoverError, match=r"fit\.crossovers: there is 1 span, .* are 0"):
        spans_of(case, scene, case.fit)


def test_the_usual_shapes_fit_the_parts_allowed():
    case = two_resistors(Fit(most_parts=5))
    scene = scene_of(case, Remembered(solve_free_field, {}))
    found = candidates_of(case, scene, case.fit)
    assert found
    assert all(candidate.parts <= 5 for candidate in found)
    assert [c.parts for c in found] == sorted(c.parts for c in found)
    small = (topology_of("low-pass 2"), topology_of("high-pass 2 + resistor"))
    assert Candidate(small, (False, True)) in found
