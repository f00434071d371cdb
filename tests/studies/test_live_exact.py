"""Exact curves of a draft are those of its case file, predicted by itself."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import acoustics as ac
from acoustics.case import read_case
from acoustics.case.design.place_model import Moved, Place
from acoustics.listening import standard_curves
from acoustics.listening.crossovers import crossovers
from acoustics.listening.height_window import height_window
from acoustics.listening.levels import level
from acoustics.listening.listeners import heard
from acoustics.studies.driver_map import face_places
from acoustics.studies.driver_map.study import placement_map
from acoustics.studies.layout_search.question import checked_question
from acoustics.studies.layout_search.variant import variant_of
from acoustics.studies.live.draft import Edges
from acoustics.studies.live.drafts import draft_of, drafted
from acoustics.studies.live.exact import exact_curves, heard_case
from acoustics.studies.live.grid import AXIS_ANGLES, page_frequencies, page_heights
from acoustics.studies.live.saving import saved_text
from acoustics.studies.live.stopping import Stopped
from acoustics.studies.live.under import map_under
from support.cases import CASES
from support.live import narrow_case

FINE = {"atol": 1e-4, "rtol": 0.0}
"""dB: receivers that are solved for together with others share their rounding only"""


@pytest.fixture(scope="module")
def narrow(tmp_path_factory):
    """A draft in a narrow band, its curves, and the prediction of its file."""
    folder = tmp_path_factory.mktemp("narrow")
    case = narrow_case(folder)
    draft = replace(
        draft_of(case),
        places=((0.02, 0.125), (0.0, -0.02)),
        ear_height=1.1,
        distance=2.2,
        corners=(2000.0,),
        delays=(2e-5, 0.0),
    )
    text = saved_text(Path(case.path).read_text("utf-8"), case, draft, (folder, folder))
    text = text.replace('["0.85 m", "1.1 m", "1.05 m"]', '["1.1 m"]')
    text = text.replace("[frequencies]", '[arcs]\nstep = "5 deg"\n\n[frequencies]')
    (folder / "again.toml").write_text(text, encoding="utf-8")
    again = read_case(folder / "again.toml")
    assert again.seat.ear_heights == (1.1,)
    return case, draft, exact_curves(case, draft), ac.predict(again)


def test_curves_are_those_of_the_written_file(narrow):
    _, _, found, prediction = narrow
    assert found.state == "exact"
    assert found.missing == ""
    np.testing.assert_allclose(found.frequency, prediction.frequency)
    arc = prediction.arc_total.sel(plane="horizontal")
    np.testing.assert_allclose(found.axis, level(arc.sel(angle=0.0)).values, **FINE)
    alone = prediction.arc_pressure.sel(plane="horizontal", angle=0.0)
    np.testing.assert_allclose(found.each, level(alone).values, **FINE)
    window = standard_curves(prediction).listening_window
    np.testing.assert_allclose(found.window, window.values, **FINE)
    aside = level(arc.sel(angle=list(AXIS_ANGLES))).transpose("angle", "frequency")
    np.testing.assert_allclose(found.aside, aside.values, **FINE)
    first = prediction.isel(speaker=0).sel(seat="main")
    seat = level(first.seat_total.isel(ear_height=0)).transpose("surroundings", "frequency")
    np.testing.assert_allclose(found.seat, seat.values, **FINE)
    assert list(found.heights) == pytest.approx(np.arange(3, 21) / 10)
    lobes = level(first.height_total.sel(height=found.heights, method="nearest"))
    there = lobes.transpose("frequency", "height").sel(frequency=found.looks, method="nearest")
    np.testing.assert_allclose(found.lobes, there, **FINE)
    np.testing.assert_allclose(found.crossovers, crossovers(prediction).crossover_frequency)
    np.testing.assert_allclose(found.looks[0], found.crossovers)


def test_the_lobe_span_is_that_of_the_height_window(narrow):
    _, _, found, prediction = narrow
    # The page has half of the heights: what lies between them follows to a millimetre.
    window = height_window(heard(prediction))
    assert found.figures["lobe low"] == pytest.approx(float(window.window_low.max()), abs=1e-3)
    assert found.figures["lobe high"] == pytest.approx(float(window.window_high.min()), abs=1e-3)
    assert float(window.window_high.min()) < found.heights[-1]  # so that it does tell something


def test_a_band_that_is_not_covered_has_no_ripple(narrow):
    figures = narrow[2].figures
    assert np.isnan([figures["ripple off axis"], figures["sides"]]).all()
    assert np.isfinite([figures["seat level"], figures["floor dip"]]).all()


def test_it_stops_when_it_is_to(narrow):
    case, draft, *_ = narrow
    with pytest.raises(Stopped):
        exact_curves(case, draft, lambda: True)
    asked = []

    def after_the_first() -> bool:
        asked.append(True)
        return len(asked) > 1

    with pytest.raises(Stopped):
        exact_curves(case, draft, after_the_first)


def test_a_draft_is_heard_on_few_frequencies_with_its_own_ears():
    case = read_case(CASES / "compact-centred")
    one = heard_case(case, replace(draft_of(case), ear_height=1.31))
    assert 190 <= one.frequencies.values().size <= 210
    assert one.seat.ear_heights == (1.31,)
    assert [place.name for place in one.seat.places] == ["main"]
    assert page_heights(case)[[0, -1]] == pytest.approx((0.3, 2.0))


FIGURES = ("ripple off axis", "common ripple", "ripple on axis", "sides", "seat level", "floor dip")


@pytest.mark.slow
def test_figures_are_those_of_a_search_for_the_same_layout():
    case = read_case(CASES / "compact-offset")
    case = replace(case, frequencies=replace(case.frequencies, per_octave=12))
    draft = replace(
        draft_of(case),
        corners=(2000.0,),
        places=((0.02, 0.12), (0.0, -0.05)),
        edges=Edges("chamfered", 0.006),
    )
    figures = exact_curves(case, draft).figures
    found = replace(drafted(case, draft), frequencies=page_frequencies(case))
    asked = checked_question(found, Place(moved=(Moved("tweeter"),)))
    stand = variant_of(found, asked, None, FIGURES)
    same = stand.exactly(np.array([draft.places[0]]), FIGURES)
    for name in FIGURES:
        # Sources act where the drivers are, or listeners in their place: alike to the accuracy.
        assert figures[name] == pytest.approx(float(same[name][0]), abs=0.05), name
    assert figures["sides"] > 0.1  # so that it does tell something


@pytest.mark.slow
def test_the_map_beneath_is_the_placement_map_of_the_drafted_case(monkeypatch):
    monkeypatch.setattr(
        face_places, "SPACING", 0.04
    )  # a map every 5 mm takes longer and says no more
    case = read_case(CASES / "compact-centred")
    few = replace(case.frequencies, per_octave=12, lowest=280.0, highest=10_100.0)
    case = replace(case, frequencies=few)
    draft = replace(draft_of(case), corners=(2000.0,), places=((0.01, 0.12), (0.0, -0.03)))
    told = list[float]()
    under = map_under(case, draft, "tweeter", "seat_level", lambda: False, told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    one = replace(drafted(case, draft), frequencies=page_frequencies(case))
    same = placement_map(one, "tweeter", by="seat_level")
    np.testing.assert_array_equal(under.right, same.right)
    np.testing.assert_array_equal(under.up, same.up)
    allowed = same.zone.values == face_places.ALLOWED
    levels = same.seat_level.isel(speaker=0, seat=0).values
    np.testing.assert_allclose(under.values[allowed], levels[allowed])
    assert np.isnan(under.values[~allowed]).all()
    assert under.best == (float(same.spot_right[1]), float(same.spot_up[1]))


def test_a_map_stops_when_it_is_to(narrow):
    case, draft, *_ = narrow
    with pytest.raises(Stopped):
        map_under(case, draft, "tweeter", "relative_ripple", lambda: True, lambda share: None)
