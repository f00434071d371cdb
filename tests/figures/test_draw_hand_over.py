"""How drivers hand over, drawn; and a design before and after its crossover was changed."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from acoustics.figures import SHEETS, draw_lobe_change, save_figure
from acoustics.figures.crossover_change import crossover_change
from acoustics.figures.lobe_change import OFF
from acoustics.figures.phase_tracking import unbroken
from acoustics.figures.style import named_curves
from acoustics.listening import level, lobe_levels, phase_tracking, standard_curves
from acoustics.prediction import predict
from support.cases import make_case, make_driver, pass_branch


@pytest.fixture(scope="module")
def changed(case, solve_baffled_piston):
    """The three-way with its upper crossover at 1.8 kHz and of second order."""
    lower, _, _ = case.crossover
    middle, upper = (
        dataclasses.replace(
            branch,
            sections=tuple(
                dataclasses.replace(section, **{name: 1800.0}) for section in branch.sections
            ),
        )
        for branch, name in zip(case.crossover[1:], ("high_corner", "low_corner"), strict=True)
    )
    other = dataclasses.replace(case, crossover=(lower, middle, upper), digest="1" * 64)
    return predict(other, solve=solve_baffled_piston)


def test_the_sheet_draws_what_listening_found(prediction, curve):
    levels, phases = SHEETS["hand-over"](prediction).axes
    tracking = phase_tracking(prediction)
    for place, name in (("reference axis", "phase, reference axis"), ("main seat", "at 0.90 m")):
        lines = [
            line.get_ydata()
            for line in phases.lines
            if line.get_xdata()[0] == prediction.frequency.values[0]
        ]
        wanted = tracking.phase_difference.sel(place=place).isel(crossover=0).values
        assert any(np.array_equal(line, wanted, equal_nan=True) for line in lines)
        assert any(name in str(line.get_label()) for line in phases.lines)
    _, reversed_sum = curve(levels, "tweeter reversed")
    axis = prediction.arc_pressure.sel(plane="horizontal", angle=0.0)
    turned = axis.sum("driver") - 2 * axis.sel(driver="tweeter")
    drawn = np.isfinite(reversed_sum)
    assert drawn.any()
    np.testing.assert_allclose(reversed_sum[drawn], level(turned).values[drawn], atol=1e-9)
    assert any(line.get_label() == "midrange and above reversed" for line in levels.lines)


def test_the_depth_is_written_at_the_dip_if_there_is_one(prediction, solve_baffled_piston):
    levels, _ = SHEETS["hand-over"](prediction).axes
    assert [text.get_text().split("\n")[0][0] for text in levels.texts] == ["−", "−"]
    # Second-order slopes of like polarity are in opposite phase: reversed they do not dip.
    case = make_case(
        [make_driver("woofer"), make_driver("tweeter")],
        crossover=(
            pass_branch("woofer", "low-pass", 2500.0, order=2),
            pass_branch("tweeter", "high-pass", 2500.0, order=2),
        ),
    )
    levels, _ = SHEETS["hand-over"](predict(case, solve=solve_baffled_piston)).axes
    assert not levels.texts
    # Reversed they add up, and the panel holds that.
    drawn = [line.get_ydata() for line in levels.lines if len(line.get_ydata()) > 2]
    assert max(np.nanmax(y) for y in drawn) < levels.get_ylim()[1]


def test_jumps_of_a_wrapped_phase_are_not_drawn():
    phase = np.array([np.nan, 170.0, 179.0, -175.0, -160.0, 20.0])
    assert unbroken(phase).tolist()[1:3] == [170.0, 179.0]
    assert np.isnan(unbroken(phase)[[0, 3]]).all()
    assert unbroken(phase)[4:].tolist() == [-160.0, 20.0]


def test_the_lobe_before_is_thin_and_the_one_after_strong(prediction, changed, axes):
    old, new = (lobe_levels(one).isel(crossover=1) for one in (prediction, changed))
    draw_lobe_change(axes, old, new)
    lines = {str(line.get_label()): line for line in named_curves(axes)}
    assert set(lines) == {"before", "after", OFF}
    assert lines["before"].get_linewidth() < lines["after"].get_linewidth()
    for state, one in (("before", old), ("after", new)):
        np.testing.assert_array_equal(lines[state].get_xdata(), one.arc_level.sel(offset=0.0))
    assert "2.5" in axes.get_title(loc="left")
    assert "→" in axes.get_title(loc="left")
    ears = [line.get_ydata()[0] for line in axes.lines if len(line.get_ydata()) == 2]
    assert ears == pytest.approx(new.seat_angle.values.tolist())


def test_the_sheet_of_a_change_has_what_there_is(prediction, changed, tmp_path):
    figure = crossover_change(prediction, changed)
    titles = [axes.get_title(loc="left") for axes in figure.axes]
    assert [title.split("\n")[0] for title in titles] == [
        "on the reference axis",
        "listening window",
        "estimated in-room",
        "phase apart (green: ±45°)",
        "woofer to midrange",
        "midrange to tweeter",
    ]
    before, after = figure.axes[1].lines
    for line, one in ((before, prediction), (after, changed)):
        np.testing.assert_array_equal(line.get_ydata(), standard_curves(one).listening_window)
    (key,) = figure.legends
    assert {text.get_text() for text in key.get_texts()} == {"before", "after", OFF}
    seen = 6 + 2e-3j * np.pi * changed.frequency
    passive = changed.assign(input_impedance=seen).assign_attrs(lowest_impedance=4.0)
    panels = crossover_change(prediction, passive).axes
    assert panels[6].get_title(loc="left") == "impedance (dotted: least)"
    assert panels[6].lines[0].get_ydata()[0] == pytest.approx(6.0, abs=0.01)
    assert not panels[7].axison
    for path in save_figure(figure, tmp_path / "change"):
        assert path.stat().st_size > 10_000


def test_a_crossover_that_was_not_there_before(changed, solve_baffled_piston):
    """From one driver to a three-way: the lobes after stand alone."""
    single = predict(make_case([make_driver("wide")]), solve=solve_baffled_piston)
    figure = crossover_change(single, changed)
    lobe = figure.axes[4]
    assert "before" not in [line.get_label() for line in lobe.lines]
    # And back: no lobes, and the phase before alone.
    titles = [axes.get_title(loc="left") for axes in crossover_change(changed, single).axes]
    assert titles[3:] == ["phase apart (green: ±45°)"]
    assert len(crossover_change(single, single).axes) == 4
