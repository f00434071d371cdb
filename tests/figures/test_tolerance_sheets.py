"""Figures of builds show what the answer holds, at names of any length."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.colors import to_hex

from acoustics.figures import TOLERANCE_SHEETS, save_sheets, style
from acoustics.figures.tolerance_aims import draw_aim
from acoustics.figures.tolerance_weights import Row, draw_weights
from support.tolerances import AIM, WIDE, answer

LONG = "Tweeter of forty letters with its blanks"


@pytest.fixture(scope="module")
def found(solve_free_field):
    return answer(solve_free_field, builds=60)[1]


def titles(figure):
    return [panel.get_title(loc="left") for panel in figure.axes]


def texts(figure):
    return " ".join(text.get_text() for text in figure.findobj(lambda a: hasattr(a, "get_text")))


def test_bands_are_those_of_the_answer_and_the_design_lies_in_them(found, curve):
    figure = TOLERANCE_SHEETS["bands"](found)
    assert titles(figure)[:3] == [
        "on the reference axis", "in the listening window", "estimated in-room",
    ]  # fmt: skip
    _, own = curve(figure.axes[0], "the design")
    np.testing.assert_array_equal(own, found.design_on_axis)
    (band,) = figure.axes[0].collections
    heights = band.get_paths()[0].vertices[:, 1]
    assert heights.max() == pytest.approx(float(found.on_axis.max()))
    assert heights.min() == pytest.approx(float(found.on_axis.min()))
    _, half = curve(figure.axes[3], "in the listening window")
    ends = found.listening_window.values[[0, -1]]
    np.testing.assert_allclose(half, (ends[1] - ends[0]) / 2, rtol=1e-5)
    assert figure.axes[3].get_ylim()[1] > half.max()
    assert "90 of 100 builds" in texts(figure)


def test_the_seat_has_a_panel_for_every_ear_height(found, curve):
    figure = TOLERANCE_SHEETS["seat"](found)
    assert titles(figure)[:2] == ["ears at 0.90 m", "ears at 1.10 m"]
    _, own = curve(figure.axes[1], "the design")
    heard = found.design_seat_level.isel(listener=0, ear_height=1)
    np.testing.assert_array_equal(own, heard.sel(surroundings="with reflections"))


def test_heights_run_up_with_the_ears_marked(found, curve):
    figure = TOLERANCE_SHEETS["ear-height"](found)
    levels, heights = curve(figure.axes[0], "the design")
    np.testing.assert_array_equal(heights, found.height)
    np.testing.assert_array_equal(levels, found.design_height_level[0])
    assert "ear 0.90" in texts(figure)


def test_bars_are_the_indices_and_kinds_hold_their_spreads(found):
    figure = TOLERANCE_SHEETS["what-matters"](found)
    panel = figure.axes[0]
    assert panel.get_title(loc="left") == "smooth"
    labels = [tick.get_text().replace("\xa0", " ") for tick in panel.get_yticklabels()]
    assert labels == ["both parts", "upper L1 ±5 %", "upper C1 ±5 %", "upper up (place) ±1 mm"]
    blue = [bar for bar in panel.patches if to_hex(bar.get_facecolor()) == style.SERIES[0]]
    # 0.4² and 0.3² of 0.5².
    np.testing.assert_allclose([bar.get_width() for bar in blue], [64.0, 36.0], atol=1.0)
    (grey,) = [bar for bar in panel.patches if to_hex(bar.get_facecolor()) == style.QUIET]
    assert grey.get_width() == pytest.approx(100.0, abs=0.5)


def test_why_there_are_no_bars_is_told(found):
    lost = found.copy()
    for name in ("first_order", "total_order"):
        lost[name] = found[name].where(found.figure != "wide")
    lost["index_note"] = found.index_note.where(found.figure != "wide", "the figure has kinks")
    figure = TOLERANCE_SHEETS["what-matters"](lost)
    assert 'No bars for "wide": the figure has kinks.' in " ".join(texts(figure).split())
    assert titles(figure)[0] == "smooth"
    none = found.assign(total_order=found.total_order * np.nan)
    assert TOLERANCE_SHEETS["what-matters"](none) is None


def test_every_build_is_in_the_histogram_of_an_aim(found):
    figure = TOLERANCE_SHEETS["aims"](found)
    panel = figure.axes[0]
    met, missed = panel.containers
    values, limit = found.figure_value.values[:, -2], 1.5
    assert sum(bar.get_height() for bar in met) == (values <= limit).sum()
    assert sum(bar.get_height() for bar in missed) == (values > limit).sum()
    for bar in met:
        if bar.get_height():
            assert bar.get_x() + bar.get_width() <= limit + 1e-9
    marks = sorted(float(line.get_xdata()[0]) for line in panel.lines)
    assert marks == [1.0, 1.5]  # the design and the limit
    assert panel.get_title(loc="left").startswith("smooth\n")


def test_a_limit_far_away_is_told_and_does_not_flatten_the_builds(axes):
    values = np.linspace(120.0, 121.0, 50)
    how = {"title": "wide", "unit": "degree", "units": "degrees"}
    draw_aim(axes, values, values > 0, 120.5, (90.0, np.nan), **how)
    low, high = axes.get_xlim()
    assert low > 110
    assert high > 121
    assert [text.get_text() for text in axes.texts] == ["← limit 90"]


def test_builds_all_alike_are_one_bar(axes):
    values = np.full(9, 1.0)
    draw_aim(axes, values, values < 2, 1.0, (np.nan, 2.0), title="", unit="dB", units="dB")
    heights = [bar.get_height() for bar in axes.containers[0]]
    assert sorted(heights)[-1] == 9
    assert sum(heights) == 9


def test_the_impedance_is_drawn_where_there_is_one(found, curve):
    figure = TOLERANCE_SHEETS["impedance"](found)
    _, own = curve(figure.axes[0], "the design")
    np.testing.assert_allclose(own, 8.0)
    assert TOLERANCE_SHEETS["impedance"](found.drop_vars("input_impedance")) is None


def test_without_aims_or_crossovers_there_are_no_such_figures(solve_free_field):
    found = answer(solve_free_field, aims=(), builds=30)[1]
    assert TOLERANCE_SHEETS["aims"](found) is None
    assert TOLERANCE_SHEETS["ear-height"](found.isel(crossover=[])) is None


def test_labels_of_any_length_stay_inside_and_apart(solve_free_field):
    strange = replace(AIM, name="$x_1$ " + "an aim that has a long name " * 3)
    found = answer(solve_free_field, builds=40, names=("lower", LONG), aims=(strange, WIDE))[1]
    for name in ("what-matters", "aims", "ear-height"):
        figure = TOLERANCE_SHEETS[name](found)
        figure.canvas.draw()
        width = figure.bbox.width
        for panel in figure.axes:
            boxes = [
                tick.get_window_extent() for tick in panel.get_yticklabels() if tick.get_text()
            ]
            assert all(box.x0 >= 0 for box in boxes)
            boxes.sort(key=lambda box: box.y0)
            for below, above in itertools.pairwise(boxes):
                assert below.y1 <= above.y0 + 1
            assert panel.title.get_window_extent().x1 <= width
            assert panel._left_title.get_window_extent().x1 <= width
    assert "$x_1$" in texts(TOLERANCE_SHEETS["aims"](found)).replace("\n", " ")


def test_a_row_of_nothing_draws_no_bar(axes):
    rows = [Row("idle", False, (0.0,), (0.001,)), Row("busy", False, (0.5,), (0.6,))]
    draw_weights(axes, rows, 0, title="", named=True)
    assert sorted(bar.get_width() for bar in axes.patches) == pytest.approx([50.0, 60.0])


def test_figures_are_written(found, tmp_path):
    some = {name: TOLERANCE_SHEETS[name] for name in ("impedance",)}
    assert save_sheets(some, found, tmp_path) == 1
    assert {path.name for path in tmp_path.iterdir()} == {"impedance.png", "impedance.svg"}
