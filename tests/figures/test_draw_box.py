"""The figures of a box study show what the study says."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.figures import save_figure, save_sheets
from acoustics.figures.box_sheets import box_sheets
from acoustics.studies import box_study
from support.boxes import FS, boxed, parameters, vented


@pytest.fixture(scope="module")
def case():
    made = vented(parameters(FS, 1 / math.sqrt(4 + 2 * math.sqrt(2))), math.sqrt(2), 1.0)
    driver = replace(made.drivers[0], most_displacement=0.005, power=60.0, rated_impedance=8.0)
    return replace(made, drivers=(driver,))


@pytest.fixture(scope="module")
def study(case):
    return box_study(case, load=False)


def sheets(study):
    return {name: sheet(study) for name, sheet in box_sheets(study).items()}


def names(figure):
    return [text.get_text() for text in figure.legends[0].get_texts()]


def test_response_cone_and_port_apart(study):
    figure = sheets(study)["box"]
    key = ["driver (cone)", "port (port)", "all that moves"]
    limits = ["cone's displacement", "driver's power", "air speed in the port"]
    assert names(figure) == [*key, *limits]
    top = figure.axes[0]
    curves = {line.get_label(): line.get_ydata() for line in top.lines}
    assert np.array_equal(curves["all that moves"], study.response[0])
    assert np.array_equal(curves["port (port)"], study.radiator_level[1])
    assert top.get_xlim() == (10.0, 500.0)


def test_thick_lines_show_what_binds(study):
    figure = sheets(study)["box"]
    thick = [line for line in figure.axes[1].lines if line.get_linewidth() > 3]
    drawn = np.array([np.isfinite(line.get_ydata()) for line in thick])
    assert drawn.any(axis=0).all()  # the highest level, everywhere
    assert len(thick) == len(np.unique(study.binding))
    for line in thick:
        shown = np.isfinite(line.get_ydata())
        assert np.array_equal(line.get_ydata()[shown], study.highest_level[0].values[shown])


def test_impedance_movement_and_delay(study):
    figure = sheets(study)["impedance-and-movement"]
    said = {axes.get_ylabel().replace("\n", " ") for axes in figure.axes}
    assert said == {
        "Impedance in ohm",
        "Phase in °",
        "Displacement in mm, peak",
        "Air speed in m/s, peak",
        "Group delay in ms",
    }
    panels = {axes.get_ylabel().split("\n")[0]: axes for axes in figure.axes}
    assert panels["Impedance"].lines[0].get_ydata() == pytest.approx(np.abs(study.impedance[0]))
    limit = panels["Displacement"].lines[-1]
    assert set(limit.get_ydata()) == {5.0}
    assert set(panels["Air speed"].lines[-1].get_ydata()) == {17.0}


def test_a_closed_box_without_limits_has_no_port_panel():
    study = box_study(boxed(parameters(FS, 0.35), 3.0), load=False)
    drawn = sheets(study)
    assert len(drawn["impedance-and-movement"].axes) == 4  # two of them the impedance's
    assert len(drawn["box"].axes) == 1
    assert names(drawn["box"]) == ["all that moves"]
    assert names(drawn["impedance-and-movement"]) == ["driver (cone)", "for 2.83 V"]


def test_the_present_box_is_not_drawn_twice():
    driver = replace(boxed(parameters(FS, 0.35), 3.1), note="")
    loud = replace(driver.drivers[0], most_displacement=0.004)
    study = box_study(replace(driver, drivers=(loud,)), find="loud", load=False)
    assert "present box" not in names(sheets(study)["box"])


def test_a_null_below_the_reach_does_not_set_the_axis_of_the_delay(study):
    """A passive radiator's own resonance turns the phase at once."""
    delay = study.group_delay.copy(deep=True)
    delay[0, 5] = -1.0  # at 10.7 Hz, 46 dB down
    drawn = sheets(study.assign(group_delay=delay))["impedance-and-movement"].axes
    panel = next(axes for axes in drawn if axes.get_ylabel().startswith("Group delay"))
    assert panel.get_ylim()[0] == 0.0
    delay[0, 90] = -0.03  # at 36.7 Hz, in what is heard
    drawn = sheets(study.assign(group_delay=delay))["impedance-and-movement"].axes
    panel = next(axes for axes in drawn if axes.get_ylabel().startswith("Group delay"))
    assert panel.get_ylim()[0] == -30.0


def test_the_present_box_is_drawn_beside_the_one_found(case):
    found = box_study(case, find="deep", most_volume=0.02, load=False)
    figure = sheets(found)["box"]
    assert "present box" in names(figure)
    curves = {line.get_label(): line.get_ydata() for line in figure.axes[0].lines}
    assert np.array_equal(curves["present box"], found.present_response[0])


def test_two_enclosures_have_files_of_their_own(case, tmp_path):
    first, box = case.drivers[0], case.enclosures[0]
    second = replace(first, name="second")
    other = replace(box, name="other", kind="closed", drivers=("second",), ports=())
    both = replace(case, drivers=(first, second), enclosures=(box, other))
    study = box_study(both, load=False)
    sheets_of = ("box", "impedance-and-movement")
    expected = {f"{sheet}-{name}" for sheet in sheets_of for name in ("box", "other")}
    assert set(box_sheets(study)) == expected
    one = {"box-other": box_sheets(study)["box-other"]}
    assert save_sheets(one, study, tmp_path) == 1
    assert {path.name for path in tmp_path.iterdir()} == {"box-other.png", "box-other.svg"}


def test_a_figure_is_laid_out_once_for_both_files(study, tmp_path, monkeypatch):
    figure = sheets(study)["box"]
    layout, counted = figure.get_layout_engine(), []
    execute = layout.execute
    monkeypatch.setattr(layout, "execute", lambda fig: counted.append(1) or execute(fig))
    png, svg = save_figure(figure, tmp_path / "box")
    assert len(counted) == 1
    assert png.stat().st_size > 1000
    assert svg.stat().st_size > 1000
    assert figure.get_layout_engine() is layout
