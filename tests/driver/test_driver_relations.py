from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest

from acoustics.conventions import Air
from acoustics.driver import SmallSignal, related
from acoustics.driver.relations import FIELDS, QUANTITIES

AIR = Air()
WOOFER = SmallSignal(
    dc_resistance=5.7,
    force_factor=7.1,
    moving_mass=0.0151,
    compliance=1.05e-3,
    mechanical_resistance=0.95,
    effective_area=0.0113,
)


def all_of(driver: SmallSignal) -> dict[str, float]:
    values = {name: getattr(driver, name) for name in QUANTITIES if name != "equivalent_volume"}
    return {**values, "equivalent_volume": driver.equivalent_volume(AIR)}


def slopes() -> np.ndarray:
    """d log(quantity) / d log(one of the six), from the driver's own formulas."""
    six = {name: getattr(WOOFER, name) for name in FIELDS}
    columns = []
    for name in FIELDS:
        up, down = (all_of(SmallSignal(**{**six, name: six[name] * k})) for k in (1.001, 0.999))
        columns.append([math.log(up[q] / down[q]) / 0.002 for q in QUANTITIES])
    return np.array(columns).T


def test_every_sufficient_set_gives_the_driver_back_and_no_other_does() -> None:
    # Whether some of the eleven determine the six is the rank of their slopes (implicit function
    # theorem; numpy's rank), whatever way leads from one to the other.
    gradient, values = slopes(), all_of(WOOFER)
    sufficient = 0
    for count in (5, 6, 7):
        for chosen in combinations(range(len(QUANTITIES)), count):
            names = [QUANTITIES[i] for i in chosen]
            found = related({name: values[name] for name in names}, AIR)
            if np.linalg.matrix_rank(gradient[list(chosen)], tol=1e-3) < len(FIELDS):
                assert found.small_signal is None, names
                assert found.missing
                continue
            sufficient += 1
            assert found.small_signal is not None, (names, found)
            assert not found.contradictions
            for name in FIELDS:
                assert getattr(found.small_signal, name) == pytest.approx(
                    getattr(WOOFER, name), rel=1e-9
                )
    assert sufficient > 300


def test_what_is_said_to_suffice_does() -> None:
    values = all_of(WOOFER)
    for chosen in combinations(QUANTITIES, 5):
        given = {name: values[name] for name in chosen}
        found = related(given, AIR)
        for name in found.enough:
            assert related({**given, name: values[name]}, AIR).small_signal is not None
        others = set(QUANTITIES) - set(chosen) - set(found.enough)
        for name in others:
            assert related({**given, name: values[name]}, AIR).small_signal is None
    given = {name: values[name] for name in ("resonance", "electrical_q", "dc_resistance")}
    found = related(given, AIR, piston_area=0.0113)
    assert found.enough == ()
    more = {name: values[name] for name in found.both}
    assert related({**given, **more}, AIR, piston_area=0.0113).small_signal is not None


def test_mechanical_losses_are_not_guessed() -> None:
    values = all_of(WOOFER)
    names = ("resonance", "electrical_q", "equivalent_volume", "dc_resistance")
    found = related({name: values[name] for name in names}, AIR, piston_area=0.0113)
    assert found.missing == ("mechanical_resistance",)
    assert set(found.enough) == {"mechanical_q", "total_q", "mechanical_resistance"}


def test_the_pistons_area_stands_in_for_one_that_is_not_stated() -> None:
    values = all_of(WOOFER)
    del values["effective_area"]
    found = related(values, AIR, piston_area=0.0113)
    assert found.small_signal == WOOFER
    assert found.values["effective_area"] == 0.0113
    (apart,) = related(values, AIR, piston_area=0.0113 * 1.1).contradictions
    # V_as goes with the square of the area (Small 1972): 1.1² = 1.21.
    assert (apart.quantity, apart.way) == ("equivalent_volume", "as given")
    assert apart.other_way == "from compliance and piston_diameter"
    assert apart.difference == pytest.approx(0.21, rel=1e-9)


@pytest.mark.parametrize("name", [name for name in QUANTITIES if name not in FIELDS])
def test_five_percent_are_let_pass_and_more_is_named(name: str) -> None:
    values = all_of(WOOFER)
    quiet = related({**values, name: values[name] / 1.049}, AIR)
    assert [each.quantity for each in quiet.contradictions] == []
    told = [
        each
        for each in related({**values, name: values[name] / 1.051}, AIR).contradictions
        if each.quantity == name
    ]
    assert len(told) == 1
    assert told[0].way == "as given"
    assert told[0].value == values[name] / 1.051
    assert told[0].other_value == pytest.approx(values[name], rel=1e-9)
    assert told[0].difference == pytest.approx(0.051, rel=1e-9)
    assert told[0].forgiven
    far = related({**values, name: values[name] / 1.251}, AIR)
    assert far.impossible or not all(each.forgiven for each in far.contradictions)


def test_both_ways_are_named_and_each_relation_once() -> None:
    given = {"mechanical_q": 4.0, "electrical_q": 0.42, "total_q": 0.35, "resonance": 42.0}
    more = {"dc_resistance": 5.7, "equivalent_volume": 0.02, "effective_area": 0.0113}
    (apart,) = related({**given, **more}, AIR).contradictions
    # 1/Q_ts = 1/4 + 1/0.42 (Small 1972): Q_ts = 0.3801.
    assert (apart.quantity, apart.value) == ("total_q", 0.35)
    assert apart.other_value == pytest.approx(0.380090498, rel=1e-8)
    assert apart.other_way == "from mechanical_q and electrical_q"
    assert apart.difference == pytest.approx(0.380090498 / 0.35 - 1, rel=1e-8)
    mass = {**given, **more, "total_q": 0.38, "moving_mass": 0.020, "force_factor": 7.0}
    told = related(mass, AIR).contradictions
    assert [each.quantity for each in told] == ["equivalent_volume", "electrical_q"]
    assert told[0].other_way == "from resonance, moving_mass and effective_area"


@pytest.mark.parametrize("name", ["mechanical_q", "electrical_q"])
def test_a_total_q_is_below_both_others(name: str) -> None:
    values = all_of(WOOFER)
    found = related({**values, "total_q": values[name]}, AIR)
    assert found.small_signal is None
    assert "total_q" in {each.quantity for each in found.impossible}
    assert any(name in each.reason for each in found.impossible)


def test_what_comes_out_negative_is_refused() -> None:
    values = all_of(WOOFER)
    names = ("resonance", "moving_mass", "dc_resistance", "force_factor", "effective_area")
    given = {name: values[name] for name in names}
    # More damping by the voice coil alone than the stated total allows for.
    found = related({**given, "total_q": 1.01 * values["electrical_q"]}, AIR)
    assert found.small_signal is None
    (impossible,) = found.impossible
    assert impossible.quantity == "mechanical_q"
    assert "does not come out above 0 from" in impossible.reason
    assert "force_factor" in impossible.reason
