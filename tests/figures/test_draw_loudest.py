"""How loud it can play: each limit's stretch in its own look, the brief's level as a guide."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from acoustics.case.design.brief_model import Brief
from acoustics.figures import SHEETS
from acoustics.figures.loudest import LOW, draw_loudest
from acoustics.figures.style import named_curves
from acoustics.listening import loudest
from acoustics.prediction import predict
from support.limits import with_limits


@pytest.fixture(scope="module")
def limited(prediction):
    """Displacement ends it up to 80 Hz, then the amplifier."""
    f = prediction.frequency.values
    limits = {("displacement", "woofer"): 20.0 * (f / 80) ** 2}
    limits |= {("amplifier", str(name)): 20.0 for name in prediction.driver.values}
    return with_limits(prediction, limits)


def names(axes):
    return [str(line.get_label()) for line in named_curves(axes)]


def test_every_limit_is_drawn_where_it_binds(axes, curve, limited):
    loud = loudest(limited)
    draw_loudest(axes, loud)
    assert names(axes) == ["limit: displacement (woofer)", "limit: amplifier", LOW]
    highest = loud.seat_highest.values
    for limit, label in (
        ("displacement", "limit: displacement (woofer)"),
        ("amplifier", "limit: amplifier"),
    ):
        x, y = curve(axes, label)
        here = loud.binding_limit.values == limit
        assert 0 < here.sum() < here.size
        np.testing.assert_array_equal(x, loud.frequency.values)
        np.testing.assert_array_equal(y[here], highest[here])
        assert np.isfinite(y).sum() <= here.sum() + 1  # one more, so that the stretches meet
    np.testing.assert_array_equal(curve(axes, LOW)[1], loud.seat_level)


def test_limits_differ_in_dashes_too(axes, limited):
    draw_loudest(axes, loudest(limited))
    looks = [line.get_linestyle() + str(line.get_color()) for line in named_curves(axes)]
    assert len(set(looks)) == len(looks)
    ends = named_curves(axes)[:2]
    assert ends[0].is_dashed() != ends[1].is_dashed()


@pytest.mark.parametrize(
    ("wanted", "reach", "label", "corner"),
    [
        (90.0, 45.0, "wanted: 90.0 dB from 45 Hz", ([45.0, 45.0, 20_000.0], [90.0, 90.0])),
        (90.0, None, "wanted: 90.0 dB", ([20.0, 20_000.0], [90.0, 90.0])),
        (None, 45.0, "wanted: from 45 Hz", ([45.0, 45.0], [])),
        (None, None, None, None),
    ],
)
def test_what_the_brief_wants_is_a_guide(axes, curve, limited, wanted, reach, label, corner):
    draw_loudest(axes, loudest(limited), wanted, reach)
    assert (names(axes)[-1] == LOW) == (label is None)
    if label is not None:
        x, y = curve(axes, label)
        assert list(x) == corner[0]
        assert list(y[-2:]) == corner[1] or not corner[1]
        bottom, top = axes.get_ylim()
        assert bottom <= y.min() <= y.max() <= top


def test_a_level_wanted_above_all_curves_is_in_the_picture(axes, limited):
    draw_loudest(axes, loudest(limited), 130.0)
    assert axes.get_ylim()[1] >= 131.0


def test_the_sheet_says_what_it_shows(limited, prediction):
    asked = limited.assign_attrs(wanted_seat_level=90.0, wanted_reach=45.0)
    figure = SHEETS["loudest"](asked)
    title = figure.get_suptitle().replace("\n", " ")
    assert title.startswith("How loud can it play at the seat, 2.5 m away?")
    assert "one sine at a time" in title
    assert "at most" not in title
    (key,) = figure.legends
    assert "wanted: 90.0 dB from 45 Hz" in [text.get_text() for text in key.get_texts()]
    unknown = with_limits(prediction, {("power", "woofer"): 20.0, ("power", "tweeter"): np.nan})
    assert "some limits are not stated" in SHEETS["loudest"](unknown).get_suptitle().replace(
        "\n", " "
    )


def test_the_prediction_hands_on_what_the_brief_wants(case, solve_baffled_piston):
    brief = Brief(seat_level=96.0, reach=45.0)
    asked = predict(dataclasses.replace(case, brief=brief), solve=solve_baffled_piston)
    given = with_limits(asked, {("power", "woofer"): 20.0})
    (key,) = SHEETS["loudest"](given).legends
    assert "wanted: 96.0 dB from 45 Hz" in [text.get_text() for text in key.get_texts()]


def test_without_any_limit_there_is_no_sheet(prediction):
    assert SHEETS["loudest"](with_limits(prediction)) is None
    nothing = {("power", str(name)): np.nan for name in prediction.driver.values}
    assert SHEETS["loudest"](with_limits(prediction, nothing)) is None
    assert SHEETS["loudest"](prediction.drop_vars("input_limit", errors="ignore")) is None
