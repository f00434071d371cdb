"""Layouts on faces that are no rectangles, on both sides of a plate, over a floor that mirrors.

Reference: the placement map at the layout found, which solves the places of each driver its own
way and has tests of its own.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import acoustics as ac
from acoustics.case.design.model import Cabinet, FrequencyGrid, Seat, SeatPlace, Surface
from acoustics.case.design.place_model import Moved, Place, Treatment
from support.cases import make_case, make_driver, pass_branch

BAND = (300.0, 3000.0)
PLACE = Place(band=BAND, smoothing=3.0, window=10.0, against=None)

WOOFER = make_driver("woofer", -0.06, piston_diameter=0.12, frame_diameter=0.15)
CASE = make_case(
    (WOOFER, make_driver("tweeter", 0.10, frame_diameter=0.06)),
    frequencies=FrequencyGrid(lowest=250.0, highest=3500.0, per_octave=6),
    arc_step=10.0,
    accuracy=0.3,
    seat=Seat((SeatPlace("main", 2.5),), (0.9,)),
    crossover=(
        pass_branch("woofer", "low-pass", 2000.0),
        pass_branch("tweeter", "high-pass", 2000.0),
    ),
)
OUTLINE = ((-0.18, -0.225), (0.18, -0.225), (0.12, 0.225), (-0.12, 0.225))
BODIES = {
    "pyramid": {"cabinet": Cabinet(0.30, 0.40, 0.28, 0.6, shape="pyramid", front=(0.22, 0.36))},
    "sloped front": {"cabinet": Cabinet(0.22, 0.38, 0.30, 0.6, shape="sloped front", lean=8.0)},
    "trapezium that sounds on both sides": {
        "cabinet": Cabinet(0.36, 0.45, 0.0, 0.6, shape="plate", outline=OUTLINE),
        "drivers": (replace(WOOFER, both_sides=True), CASE.drivers[1]),
    },
    "over its mirror image": {
        "cabinet": Cabinet(0.22, 0.38, 0.30, 0.0),
        "surfaces": (Surface("floor", 0.0, mirrors_cabinet=True),),
    },
}


@pytest.mark.slow
@pytest.mark.parametrize("body", BODIES)
def test_figures_of_the_best_are_those_of_a_map_there(body):
    case = replace(CASE, **BODIES[body])
    found = ac.search_layout(case, PLACE)
    assert found.gain > 0
    assert found.deviation < 0.1  # places are few on faces that are no rectangle
    drivers = tuple(
        replace(each, position=found.best.positions[each.name]) for each in case.drivers
    )
    mapped = ac.placement_map(
        replace(case, drivers=drivers), "tweeter", spacing=0.03, band=BAND, smoothing=3.0,
        window=10.0,
    ).sel(spot="present")  # fmt: skip
    for quality, name in (
        ("ripple off axis", "relative_ripple"),
        ("common ripple", "common_ripple"),
        ("sides", "side_difference"),
        ("seat level", "seat_level"),
    ):
        there = float(np.ravel(mapped[f"spot_{name}"].values)[0])
        assert found.best.figures[quality] == pytest.approx(there, abs=0.005)


@pytest.mark.slow
def test_a_treatment_may_take_the_present_place_away():
    """The tweeter, 80 mm right, does not fit on the 70 mm that rounds of 40 mm leave."""
    tweeter = replace(CASE.drivers[1], position=(0.08, 0.10))
    rounds = Treatment("round", rounds=(("front left", 0.04), ("front right", 0.04)))
    found = ac.search_layout(
        replace(CASE, drivers=(WOOFER, tweeter)),
        replace(PLACE, moved=(Moved("tweeter"),), treatments=(rounds,)),
    )
    treated = found.archive[found.archive_treatment == 1]
    assert len(treated)
    assert np.abs(treated[:, 0]).max() <= 0.070 - 0.030
