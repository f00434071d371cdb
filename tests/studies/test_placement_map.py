"""The placement map against predictions of the same design with the driver moved by hand.

Reference: `predict` and the listening room, which have tests of their own; they solve every layout
afresh and share neither the lattice nor the sums of the map.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from acoustics.case.design.model import (
    Absorber,
    Branch,
    Cabinet,
    FrequencyGrid,
    PassFilter,
    Placement,
    Rounding,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.conventions import RoundoverError
from acoustics.listening import band_level, bounce, heard, listeners, window_ripple
from acoustics.listening.standard_curves import LISTENING_WINDOW, responses
from acoustics.listening.symmetry import mirrored_difference
from acoustics.prediction import predict
from acoustics.storage import open_prediction, save
from acoustics.studies.driver_map.study import METRICS, placement_map, window_directions
from support.cases import make_case, make_driver

FREQUENCIES = FrequencyGrid(lowest=150.0, highest=12_000.0, per_octave=12)
BAND = (300.0, 10_000.0)
QUICK = {
    "frequencies": FREQUENCIES,
    "arc_step": 10.0,
    "seat": Seat((SeatPlace("main", 2.5),), (0.9,)),
}


def acoustic(driver, kind, corner, level):
    section = PassFilter(
        kind=kind,
        alignment="linkwitz-riley",
        order=4,
        low_corner=corner if kind == "high-pass" else None,
        high_corner=corner if kind == "low-pass" else None,
    )
    return Branch(driver, (section,), slopes="acoustic", level=level)


DRIVERS = (
    make_driver("woofer", -0.06, piston_diameter=0.12, frame_diameter=0.16, acoustic_depth=0.02),
    make_driver("tweeter", 0.11, frame_diameter=0.07),
)
PAIR = {
    **QUICK,
    "placement": Placement(pair=True, spacing=2.0, toe_in=10.0),
    "seat": Seat((SeatPlace("main", 2.5), SeatPlace("beside", 2.6, 0.5)), (0.9, 1.1)),
    "surfaces": (
        Surface("floor", 0.0, absorber=Absorber(0.012, 60e3)),
        Surface("front wall", 0.8, 0.8),
    ),
    "crossover": (
        acoustic("woofer", "low-pass", 2200.0, 80.0),
        acoustic("tweeter", "high-pass", 2200.0, 80.0),
    ),
}
CASES = {
    "electrical slopes": make_case(
        **(QUICK | {"crossover": make_case().crossover}), drivers=DRIVERS
    ),
    "pair, acoustic slopes, carpet": make_case(DRIVERS, **PAIR),
    "rounded front": make_case(
        DRIVERS,
        **QUICK,
        cabinet=Cabinet(
            0.22,
            0.38,
            0.30,
            0.6,
            rounds=(Rounding("front left", 0.02), Rounding("front right", 0.02)),
        ),
    ),
    "on the floor as one body": make_case(
        DRIVERS,
        **QUICK,
        cabinet=Cabinet(0.22, 0.38, 0.30, 0.0),
        surfaces=(Surface("floor", 0.0, mirrors_cabinet=True),),
    ),
    "open baffle, thick": make_case(
        (replace(DRIVERS[0], both_sides=True), DRIVERS[1]),
        **QUICK,
        cabinet=Cabinet(0.30, 0.44, 0.02, 0.6, shape="plate"),
    ),
}
CASES["outline, place by place"] = make_case(
    DRIVERS,
    **QUICK,
    cabinet=Cabinet(
        0.30, 0.44, 0.02, 0.6, shape="plate",
        outline=((-0.15, -0.22), (0.15, -0.22), (0.10, 0.22), (-0.10, 0.22)),
    ),
)  # fmt: skip
MOVED = {"open baffle, thick": "woofer"}
SPACING = {"outline, place by place": 0.05}


def moved_by_hand(case, name, right, up):
    drivers = tuple(
        replace(driver, position=(right, up)) if driver.name == name else driver
        for driver in case.drivers
    )
    return replace(case, drivers=drivers)


def metrics_of(prediction):
    """The metrics of a map from a whole prediction, at the ear height nearest the axis."""
    ripple = window_ripple(prediction, BAND)
    power = abs(responses(prediction, LISTENING_WINDOW)) ** 2
    found = {
        "common_ripple": ripple.common_ripple,
        "relative_ripple": ripple.worst_ripple,
        "side_difference": mirrored_difference(
            power, LISTENING_WINDOW, prediction.frequency.values, BAND
        ),
    }
    ear = prediction.attrs["aside_ear_height"]
    seat = prediction.seat_total.sel(surroundings="with reflections", ear_height=ear)
    found["seat_level"] = band_level(seat, prediction.frequency, BAND)
    return found


@cache
def map_of(which):
    """A case, the driver moved, and its map."""
    case, name = CASES[which], MOVED.get(which, "tweeter")
    return case, name, placement_map(case, name, spacing=SPACING.get(which, 0.02))


QUICK_ONES = ("pair, acoustic slopes, carpet",)


@pytest.fixture(
    scope="module",
    params=[pytest.param(n, marks=() if n in QUICK_ONES else pytest.mark.slow) for n in CASES],
)
def mapped(request):
    return map_of(request.param)


def test_every_place_is_judged_as_a_prediction_of_it(mapped):
    case, name, found = mapped
    assert found.attrs["deviation"] < 0.02
    column, row = np.argwhere((found.zone == 0).transpose("right", "up").values)[-1]
    places = [("present", *case.driver(name).position)]
    places.append(("map", float(found.right[column]), float(found.up[row])))
    for kind, right, up in places:
        truth = metrics_of(predict(moved_by_hand(case, name, right, up)))
        here = found.isel(right=column, up=row) if kind == "map" else found.sel(spot="present")
        for metric, value in truth.items():
            mine = here[metric if kind == "map" else f"spot_{metric}"]
            np.testing.assert_allclose(
                mine.transpose(*value.dims).values, value.values, atol=0.05, err_msg=metric
            )


def test_the_floor_dip_is_that_of_the_prediction(mapped):
    case, _, found = mapped
    prediction = predict(case)
    for one in listeners(prediction):
        dips = bounce(heard(prediction, one), "floor").sel(
            ear_height=prediction.attrs["aside_ear_height"]
        )
        mine = found.spot_floor_dip.sel(spot="present", speaker=one.speaker, seat=one.seat)
        np.testing.assert_allclose(mine, dips.deepest_dip_depth.fillna(0.0), atol=0.1)


def test_the_map_explains_itself_and_survives_the_disk(mapped, tmp_path):
    _, name, found = mapped
    for variable in found.variables.values():
        if variable.dtype.kind in "fi" and variable.dims:
            assert variable.attrs.get("long_name")
            assert variable.attrs.get("units")
    again = open_prediction(save(found, tmp_path / "map.nc"))
    assert again.attrs["moved"] == name
    np.testing.assert_array_equal(again.relative_ripple, found.relative_ripple)
    assert again.zone.dtype == np.int8


def test_a_centred_layout_is_alike_on_both_sides():
    _, _, found = map_of("electrical slopes")
    for name in set(METRICS) - {"floor_dip", "seat_level"}:
        mirrored = found[name].values[:, ::-1]
        np.testing.assert_allclose(found[name].values, mirrored, atol=2e-3, err_msg=name)
    middle = found.sel(right=0.0)
    assert float(middle.side_difference.max()) < 1e-3


def test_the_driver_alone_is_judged_without_its_filter_where_it_leads():
    case, _, found = map_of("electrical slopes")
    low, high = found.attrs["own_band"]
    assert 2400 < low < 2700  # the crossover is at 2.5 kHz
    assert high == pytest.approx(10_000.0, rel=0.06)
    alone = replace(case, drivers=case.drivers[1:], crossover=())
    ripple = window_ripple(predict(alone), (low, high))
    spot = found.sel(spot="present")
    assert float(spot.spot_driver_common_ripple) == pytest.approx(
        float(ripple.common_ripple), abs=0.02
    )
    assert float(spot.spot_driver_relative_ripple) == pytest.approx(
        float(ripple.worst_ripple), abs=0.02
    )


def test_windows_are_cta_2034_a_s_or_wider():
    """ANSI/CTA-2034-A: on axis, ±10, ±20, ±30 degrees horizontally, ±10 vertically."""
    assert sorted(window_directions(30.0)) == sorted(LISTENING_WINDOW)
    assert len(window_directions(60.0)) == 15
    for width in (0.0, 15.0, 100.0, float("nan")):
        with pytest.raises(RoundoverError, match="degrees to either side is none"):
            window_directions(width)


@pytest.mark.parametrize(
    ("name", "how", "message"),
    [
        ("twitter", {}, "no driver is called 'twitter'.*did you mean 'tweeter'"),
        ("tweeter", {"by": "ripple"}, "is no metric"),
        ("tweeter", {"band": (20.0, 10_000.0)}, "places cannot be judged"),
        ("tweeter", {"spacing": 1e-4}, "at most 100000 are mapped; take"),
        ("tweeter", {"spacing": 0.3}, "makes no map"),
        ("tweeter", {"spacing": 0.0}, "is none"),
        ("tweeter", {"gap": -0.01}, "a gap of"),
        ("tweeter", {"gap": 0.1}, "there is no place for 'tweeter'"),
    ],
)
def test_what_cannot_be_mapped_is_said_before_solving(monkeypatch, name, how, message):
    def never(*_, **__):
        raise AssertionError("solved before the map was checked")

    monkeypatch.setattr("acoustics.studies.driver_map.study.scene_of", never)
    with pytest.raises(RoundoverError, match=message):
        placement_map(CASES["electrical slopes"], name, **how)
    with pytest.raises(RoundoverError, match="no reflecting floor"):
        placement_map(make_case(DRIVERS, **QUICK, surfaces=()), "tweeter", by="floor_dip")
