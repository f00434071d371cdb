"""The figures of a search for a layout: faces to scale, the front, how flat the best is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.figures import LAYOUT_SHEETS, Shown
from acoustics.figures.layout_places import places_in
from acoustics.prediction import predict
from acoustics.studies.layout_search import layout_dataset
from support.cases import make_case
from support.layouts import START, found_of


@pytest.fixture(scope="module")
def shown(solve_baffled_piston):
    """`shown(**changes)`: what was found, and the same prediction before and after."""
    case = make_case()
    prediction = predict(case, solve=solve_baffled_piston)
    return lambda **changes: Shown(
        layout_dataset(case, found_of(**changes)), prediction, prediction
    )


def words_of(figure):
    return [text.get_text() for legend in figure.legends for text in legend.get_texts()]


def test_both_layouts_are_drawn_to_scale_with_their_freedom(shown):
    figure = LAYOUT_SHEETS["layout"](shown())
    before, after = figure.axes
    assert before.get_aspect() == after.get_aspect() == 1.0
    assert before.get_title(loc="left") == "as it is: 2.00 dB"
    assert after.get_title(loc="left") == "best: 1.20 dB"
    centres = {
        tuple(np.round(circle.center, 6)) for circle in after.patches if hasattr(circle, "center")
    }
    assert {(30.0, 120.5), (0.0, -50.0)} == centres
    ends = [sorted(line.get_xdata()) for line in after.lines if line.get_marker() == "|"]
    assert [27.0, 32.5] in [np.round(each, 6).tolist() for each in ends]
    assert "tweeter 30 mm right and 120.5 mm up (now 100 mm up)" in words_of(figure)
    # Where it may be: 50 mm to either side, whatever the spacing of the places.
    (region,) = {
        round(float(np.abs(path.vertices[:, 0]).max()), 3)
        for drawn in after.collections
        for path in drawn.get_paths()
        if len(path.vertices) > 50
    }
    assert region == pytest.approx(50.0, abs=0.5)


def test_a_layout_that_stays_is_drawn_once(shown):
    figure = LAYOUT_SHEETS["layout"](shown(best=START, gain=0.0))
    assert len(figure.axes) == 1


def test_drivers_on_other_faces_are_not_on_the_front(shown):
    given = shown()
    face = given.before.driver_face.copy(data=np.array(["front", "back"], dtype=object))
    places = places_in(given.before.assign_coords(driver_face=face), given.found, "best", "front")
    names = list(given.before.driver.values)
    assert np.isnan(places[names.index("tweeter")]).all()
    assert places[names.index("woofer")].tolist() == [0.0, -50.0]


def test_the_front_shows_start_best_and_knee_each_with_its_layout(shown):
    figure = LAYOUT_SHEETS["trade-off"](shown())
    panel = next(axes for axes in figure.axes if axes.get_xlabel() == "Ripple off axis in dB")
    at = {str(line.get_label()): line.get_xydata() for line in panel.lines}
    assert at["best"].tolist() == [[1.2, 0.7]]
    assert at["as it is"].tolist() == [[2.0, 0.0]]
    assert at["knee"].tolist() == [[1.5, 0.2]]
    assert at["none beats these in both"].tolist() == [[1.2, 0.7], [1.5, 0.2], [1.9, 0.0]]
    titles = [axes.get_title(loc="left") for axes in figure.axes]
    assert "best\n1.20 / 0.70" in titles
    question = replace(found_of().question, against=None)
    alone = shown(
        question=question, front=(), knee=None, archive_aims=found_of().archive_aims[:, :1]
    )
    assert LAYOUT_SHEETS["trade-off"](alone) is None


def test_values_that_are_held_have_no_panel(shown):
    figure = LAYOUT_SHEETS["how-exactly"](shown())
    titles = [axes.get_title(loc="left") for axes in figure.axes if axes.get_title(loc="left")]
    assert titles == ["tweeter right in mm", "tweeter up in mm", "woofer up in mm"]
    x, y = figure.axes[0].lines[0].get_data()
    assert x[np.argmin(y)] == pytest.approx(30.0, abs=2.5)
    held = tuple(replace(each, line=((each.value, 1.2),) * 3) for each in found_of().freedom)
    assert LAYOUT_SHEETS["how-exactly"](shown(freedom=held)) is None
