"""Whole figures: a question as title, nothing cut off, no key over a curve, the same every time."""

from __future__ import annotations

import dataclasses
import itertools
from pathlib import Path

import numpy as np
import pytest
from matplotlib.text import Text

from acoustics.case.design.model import Absorber, FrequencyGrid, Placement, Seat, SeatPlace, Surface
from acoustics.conventions import RoundoverError
from acoustics.figures import COMPARISON_SHEETS, SHEETS, save_figure, save_sheets
from acoustics.figures.at_the_seat import FREE, ROOM
from acoustics.figures.ear_height import NAMES
from acoustics.figures.reference_axis import TARGETS
from acoustics.figures.shading import MEANING
from acoustics.figures.style import named_curves
from acoustics.files import complete_file
from acoustics.listening import doubtful_bands, level, listeners
from acoustics.prediction import predict
from acoustics.studies.comparison.compare import compare
from support.limits import with_limits


@pytest.fixture(scope="module")
def in_a_room(case, solve_baffled_piston):
    """The three-way as a toed-in pair, heard from two seats, with every kind of surface."""
    room = dataclasses.replace(
        case,
        placement=Placement(pair=True, spacing=2.0, toe_in=10.0),
        seat=Seat(
            (SeatPlace("main", 2.5, 0.1), SeatPlace("end of the sofa", 2.7, 0.9)), (0.9, 1.1)
        ),
        surfaces=(
            Surface("floor", 0.0, 0.9),
            Surface("ceiling", 2.5, absorber=Absorber(0.05, 10e3)),
            Surface("front wall", 0.7),
            Surface("left wall", 1.8),
        ),
    )
    limits = {("power", driver.name): 20.0 for driver in case.drivers}
    return with_impedance(with_limits(predict(room, solve=solve_baffled_piston), limits))


def with_impedance(prediction):
    """What an amplifier sees of a coil of 1 mH and a resistor of 6 ohm."""
    seen = 6 + 2e-3j * np.pi * prediction.frequency
    return prediction.assign(input_impedance=seen).assign_attrs(lowest_impedance=4.0)


@pytest.fixture(scope="module")
def figures(in_a_room):
    return {name: sheet(in_a_room) for name, sheet in SHEETS.items()}


@pytest.fixture(scope="module")
def comparison(case, solve_baffled_piston):
    moved = dataclasses.replace(case.drivers[2], position=(-0.03, 0.25))
    other = dataclasses.replace(
        case, drivers=(*case.drivers[:2], moved), path="moved.toml", digest="1" * 64
    )
    return compare([case, other], solve=solve_baffled_piston)


def check(figure):
    """Nothing reaches over the figure's edge; no key covers an axes' inside."""
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    drawn, (width, height) = figure.get_tightbbox(renderer), figure.get_size_inches()
    assert min(drawn.x0, drawn.y0) >= 0
    assert drawn.x1 <= width
    assert drawn.y1 <= height
    keys = [*figure.legends, *(a.get_legend() for a in figure.axes if a.get_legend())]
    for key, axes in itertools.product(keys, figure.axes):
        assert not key.get_window_extent(renderer).overlaps(axes.get_window_extent(renderer))
    titles = [a.title for a in figure.axes] + [a._left_title for a in figure.axes]
    titles = [t.get_window_extent(renderer) for t in titles if t.get_text()]
    assert not any(a.overlaps(b) for a, b in itertools.combinations(titles, 2))


@pytest.mark.parametrize("name", SHEETS)
def test_figures_ask_a_question_and_fit_their_page(figures, name):
    figure = figures[name]
    question, subject = figure.get_suptitle().split("\n", 1)
    assert question.endswith("?")
    assert "A three-way made by hand" in subject
    assert figure.get_size_inches()[0] == pytest.approx(6.3)
    check(figure)


@pytest.mark.parametrize("name", COMPARISON_SHEETS)
def test_comparison_figures_overlay_every_design(comparison, name):
    figure = COMPARISON_SHEETS[name](comparison)
    assert "?" in figure.get_suptitle()
    names = [text.get_text() for key in figure.legends for text in key.get_texts()]
    assert names == list(comparison.labels)
    check(figure)


def test_letters_have_six_points_at_half_the_width_of_a4(figures):
    """A4 is 210 mm wide; half of it less the margins of a page is 90 mm (common practice)."""
    shrink = 90 / (6.3 * 25.4)
    sizes = [
        text.get_fontsize()
        for figure in figures.values()
        for text in figure.findobj(Text)
        if text.get_text()
    ]
    assert min(sizes) * shrink >= 6.0


def test_difference_panel_is_the_other_minus_the_first(comparison):
    figure = COMPARISON_SHEETS["reference-axis"](comparison)
    levels, apart = figure.axes[:2]
    first, other = (line.get_ydata() for line in levels.lines)
    np.testing.assert_allclose(apart.lines[0].get_ydata(), other - first)
    assert apart.lines[0].get_color() == levels.lines[1].get_color()


def test_left_and_right_are_not_swapped(comparison):
    figure = COMPARISON_SHEETS["left-and-right"](comparison)
    for axes, angle in zip(figure.axes, (-30, 30, -60, 60), strict=True):
        side = "left" if angle < 0 else "right"
        assert axes.get_title(loc="left") == f"{abs(angle)}° to the {side}"
        pressure = comparison.predictions[1].arc_total.sel(plane="horizontal", angle=angle)
        expected = 20 * np.log10(np.abs(pressure) / 20e-6)
        np.testing.assert_allclose(axes.lines[1].get_ydata(), expected, rtol=0, atol=1e-9)


def test_nothing_to_show_no_figure(case, solve_baffled_piston):
    one = dataclasses.replace(case, drivers=case.drivers[:1], crossover=(), surfaces=())
    prediction = predict(one, solve=solve_baffled_piston)
    for name in ("hand-over", "ear-height", "at-the-seat", "filters", "input-impedance", "seats"):
        assert SHEETS[name](prediction) is None, name
    for sheet in SHEETS.values():
        if (figure := sheet(prediction)) is not None:
            check(figure)


@pytest.mark.parametrize("lowest", [4900.0, 6000.0])
def test_no_figure_of_the_room_for_high_frequencies_alone(case, solve_baffled_piston, lowest):
    """Above 5 kHz the room is not drawn, and one frequency below makes no curve."""
    grid = FrequencyGrid(lowest, 20_000.0, 12)
    high = dataclasses.replace(case, frequencies=grid)
    assert SHEETS["at-the-seat"](predict(high, solve=solve_baffled_piston)) is None
    other = dataclasses.replace(high, path="other.toml", digest="1" * 64)
    compared = compare([high, other], solve=solve_baffled_piston)
    assert COMPARISON_SHEETS["at-the-seat"](compared) is None


def test_every_curve_is_in_the_key_though_the_first_panel_lacks_it(case, solve_baffled_piston):
    """From 350 Hz up, half an octave below the crossover at 400 Hz was not predicted."""
    short = dataclasses.replace(case, frequencies=FrequencyGrid(350.0, 20_000.0, 12))
    figure = SHEETS["ear-height"](predict(short, solve=solve_baffled_piston))
    assert len(named_curves(figure.axes[0])) == 2
    (key,) = figure.legends
    assert [text.get_text() for text in key.get_texts()] == list(NAMES.values())
    check(figure)


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["one", "several"])
def test_names_with_dollars_and_underscores(case, solve_baffled_piston, kind, tmp_path):
    """Two dollar signs are no formula, nor is a leading underscore a name to leave out."""
    odd = dataclasses.replace(
        case,
        title="a $x_$ b",
        drivers=tuple(dataclasses.replace(d, name=f"_{d.name} $^$") for d in case.drivers),
        crossover=tuple(dataclasses.replace(b, driver=f"_{b.driver} $^$") for b in case.crossover),
        path="_$x_$/case.toml",
    )
    other = dataclasses.replace(odd, path="_$^$/case.toml", digest="1" * 64)
    if kind == "one":
        limits = {("power", odd.drivers[0].name): 20.0}
        prediction = with_limits(predict(odd, solve=solve_baffled_piston), limits)
        sheets, data = SHEETS, with_impedance(prediction)
    else:
        sheets, data = COMPARISON_SHEETS, compare([odd, other], solve=solve_baffled_piston)
    drawn = {name: figure for name, sheet in sheets.items() if (figure := sheet(data))}
    assert save_sheets(sheets, data, tmp_path) == len(drawn) >= len(sheets) - 1
    for name, figure in drawn.items():
        figure.draw_without_rendering()
        texts = [text for text in figure.findobj(Text) if "$" in text.get_text()]
        assert texts, name
        assert not any(text.get_parse_math() for text in texts), name
        if kind == "several":
            assert len(figure.legends[0].get_texts()) == 2


def test_long_names_fit(case, solve_baffled_piston):
    """A driver's name has at most 40 letters."""
    named = {d.name: f"{d.name} of a rather long name indeed xx"[:40] for d in case.drivers}
    wordy = dataclasses.replace(
        case,
        drivers=tuple(dataclasses.replace(d, name=named[d.name]) for d in case.drivers),
        crossover=tuple(dataclasses.replace(b, driver=named[b.driver]) for b in case.crossover),
    )
    limits = {("power", driver.name): 20.0 for driver in wordy.drivers}
    prediction = with_limits(predict(wordy, solve=solve_baffled_piston), limits)
    for name in ("filters", "reference-axis", "hand-over", "ear-height", "at-the-seat", "loudest"):
        check(SHEETS[name](prediction))


@pytest.mark.slow
def test_three_and_five_designs_fit(case, solve_baffled_piston):
    cases = [
        dataclasses.replace(case, path=f"a design of some length {i}.toml", digest=str(i) * 64)
        for i in range(5)
    ]
    for count in (3, 5):
        compared = compare(cases[:count], solve=solve_baffled_piston)
        for sheet in COMPARISON_SHEETS.values():
            check(sheet(compared))


def test_equal_figures_give_equal_files(prediction, tmp_path):
    first, second = (
        save_figure(SHEETS["reference-axis"](prediction), tmp_path / folder / "axis")
        for folder in ("a", "b")
    )
    for one, other in zip(first, second, strict=True):
        assert one.read_bytes() == other.read_bytes()
    assert first[0].read_bytes().startswith(b"\x89PNG")
    assert b"<svg" in first[1].read_bytes()


def test_outdated_figures_go(tmp_path):
    stale = tmp_path / "gone.png"
    stale.write_text("old")
    assert save_sheets({"gone": lambda _: None}, None, tmp_path) == 0
    assert not stale.exists()


def test_no_half_written_file(tmp_path):
    target = tmp_path / "text.txt"

    def fail(part: Path) -> None:
        part.write_text("half")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError), complete_file(target) as part:
        fail(part)
    assert list(tmp_path.iterdir()) == []


def test_unwritable_place_is_named(prediction, tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(RoundoverError, match="cannot be written"):
        save_figure(SHEETS["layout"](prediction), tmp_path / "file" / "layout")


def test_what_is_shaded_is_said(figures, in_a_room):
    """Every figure of sound over frequency tells of the grey in it; those over height have none."""
    bands = doubtful_bands(in_a_room)
    assert bands
    for name, figure in figures.items():
        over_frequency = any("Frequency" in axes.get_xlabel() for axes in figure.axes)
        over_frequency &= name != "input-impedance"
        said = MEANING.split(",")[0] in figure.get_suptitle().replace("\n", " ")
        assert said == over_frequency, name
        if not over_frequency:
            continue
        for axes in figure.axes:
            if axes.get_xscale() != "log":
                continue
            grey = [p.get_extents().x0 for p in (patch.get_path() for patch in axes.patches)]
            assert len(grey) == len(bands), name


def test_differences_of_seats_are_to_the_first(figures, in_a_room):
    levels, apart = figures["seats"].axes
    labels = [line.get_label() for line in levels.lines]
    assert labels == [one.label for one in listeners(in_a_room)]
    for line, difference in zip(levels.lines[1:], apart.lines, strict=True):
        expected = line.get_ydata() - levels.lines[0].get_ydata()
        np.testing.assert_allclose(difference.get_ydata(), expected)


def test_both_cabinets_are_shown_where_they_sound_apart(figures, in_a_room):
    figure = figures["at-the-seat"]
    titles = [axes.get_title(loc="left") for axes in figure.axes]
    assert titles == ["ears at 0.90 m", "ears at 1.10 m"]
    (key,) = figure.legends
    names = [FREE, f"{ROOM}, left cabinet", f"{ROOM}, right cabinet"]
    assert [text.get_text() for text in key.get_texts()] == names
    for axes, ear in zip(figure.axes, (0.9, 1.1), strict=True):
        for side in ("left", "right"):
            (line,) = [each for each in axes.lines if each.get_label() == f"{ROOM}, {side} cabinet"]
            total = in_a_room.seat_total.sel(
                surroundings="with reflections", speaker=side, seat="main", ear_height=ear
            )
            np.testing.assert_array_equal(line.get_ydata(), level(total)[: line.get_xdata().size])


def test_labels_of_dips_do_not_touch_one_another_or_a_curve(figures):
    figure = figures["at-the-seat"]
    figure.draw_without_rendering()
    for axes in figure.axes:
        boxes = [text.get_window_extent() for text in axes.texts]
        assert len(boxes) > 1
        assert not any(a.overlaps(b) for a, b in itertools.combinations(boxes, 2))
        frame = axes.get_window_extent()
        assert all(frame.x0 <= box.x0 and box.x1 <= frame.x1 for box in boxes)
        for line, box in itertools.product(axes.lines, boxes):
            drawn = axes.transData.transform(line.get_xydata())
            inside = (drawn[:, 0] > box.x0) & (drawn[:, 0] < box.x1)
            assert not (drawn[inside, 1] > box.y0).any()


@pytest.mark.parametrize("name", ["over-height", "sideways", "ear-height", "hand-over"])
def test_the_cabinet_heard_is_named_where_it_matters(figures, prediction, name):
    assert "left cabinet" in figures[name].get_suptitle().replace("\n", " ")
    assert "cabinet" not in SHEETS[name](prediction).get_suptitle()


def test_targets_are_drawn_with_acoustic_slopes_alone(case, prediction, solve_baffled_piston):
    asked = dataclasses.replace(case.crossover[2], slopes="acoustic", level=84.0, most_gain=6.0)
    acoustic = dataclasses.replace(case, crossover=(*case.crossover[:2], asked))
    drawn = {
        "Which filter does each driver need?": predict(acoustic, solve=solve_baffled_piston),
        "What does the filter do?": prediction,
    }
    for question, data in drawn.items():
        assert SHEETS["filters"](data).get_suptitle().startswith(question)
        (key,) = SHEETS["reference-axis"](data).legends
        said = TARGETS in [text.get_text() for text in key.get_texts()]
        assert said == (data is not prediction)


def test_the_input_impedance_is_drawn_with_phase_and_limit(figures):
    """At the last frequency, 19.03 kHz, the coil has 119.6 ohm: 119.7 ohm at 87.1° in all."""
    size, phase = figures["input-impedance"].axes
    assert size.lines[0].get_ydata()[0] == pytest.approx(6.0, abs=0.01)
    assert size.lines[0].get_ydata()[-1] == pytest.approx(119.7, abs=0.1)
    assert size.lines[1].get_ydata()[0] == 4.0
    assert phase.lines[0].get_ydata()[-1] == pytest.approx(87.1, abs=0.1)
    assert "4 ohm" in figures["input-impedance"].get_suptitle()
