"""Exact curves of a draft are those of its case file, predicted by itself."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import acoustics as ac
from acoustics.case import read_case
from acoustics.listening import standard_curves
from acoustics.listening.height_window import height_window
from acoustics.listening.levels import level
from acoustics.listening.listeners import heard
from acoustics.studies.ground import ALLOWED
from acoustics.studies.live.draft import Edges
from acoustics.studies.live.drafts import draft_of, drafted
from acoustics.studies.live.exact import exact_curves, heard_case
from acoustics.studies.live.grid import AXIS_ANGLES, page_frequencies, page_heights
from acoustics.studies.live.saving import saved_text
from acoustics.studies.live.stopping import Stopped
from acoustics.studies.live.under import map_under
from acoustics.studies.placement import placement_map
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
    np.testing.assert_allclose(found.lobes, lobes.transpose("height", "frequency"), **FINE)


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


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "driver"), [("compact-offset", "tweeter"), ("open-baffle", "woofer")]
)
def test_figures_and_map_are_those_of_a_placement_map(name, driver):
    case = read_case(CASES / name)
    case = replace(case, frequencies=replace(case.frequencies, per_octave=12))
    draft = replace(draft_of(case), corners=(2000.0,), places=((0.01, 0.12), (0.0, -0.05)))
    if name != "open-baffle":
        draft = replace(draft, edges=Edges("chamfered", 0.006))
    told = list[float]()
    under = map_under(case, draft, driver, "side_difference", lambda: False, told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
    found = drafted(case, draft)
    same = placement_map(
        replace(found, frequencies=page_frequencies(case)), driver, by="side_difference"
    )
    np.testing.assert_array_equal(under.right, same.right)
    np.testing.assert_array_equal(under.up, same.up)
    allowed = same.zone.values == ALLOWED
    np.testing.assert_allclose(under.values[allowed], same.side_difference.values[allowed])
    assert np.isnan(under.values[~allowed]).all()
    assert under.best == (float(same.spot_right[1]), float(same.spot_up[1]))

    figures = exact_curves(case, draft).figures
    present = same.sel(spot="present").isel(speaker=0, seat=0)
    for figure, metric in {
        "ripple off axis": "relative_ripple",
        "common ripple": "common_ripple",
        "sides": "side_difference",
        "seat level": "seat_level",
        "floor dip": "floor_dip",
    }.items():
        assert figures[figure] == pytest.approx(float(present[f"spot_{metric}"]), abs=0.02), figure
