"""The schematic: everything is named, nothing covers anything else."""

from __future__ import annotations

import functools
import html
import io
import itertools
import re

import numpy as np
import pytest
from matplotlib.transforms import Bbox

from acoustics.crossover.connections import ladders_of
from acoustics.figures.schematic import schematic_sheet
from support.cases import make_case
from support.crossovers import BRIDGE, DESIGNS, LATTICE, passive_case


@functools.cache
def sheet(name):
    return schematic_sheet(DESIGNS[name])


@functools.cache
def boxes_of(figure):
    """Every text and the box it fills, in pixels."""
    renderer = figure.canvas.get_renderer()
    (axes,) = figure.axes
    texts = [*axes.texts, figure._suptitle]
    return [(text.get_text(), text.get_window_extent(renderer)) for text in texts]


@pytest.mark.slow
@pytest.mark.parametrize("name", DESIGNS)
def test_no_two_texts_overlap_and_all_are_on_the_paper(name):
    figure = sheet(name)
    boxes = boxes_of(figure)
    for (one, first), (two, second) in itertools.combinations(boxes, 2):
        # Lines of one label stand as close as lines of text do.
        touch = min(first.y1, second.y1) - max(first.y0, second.y0)
        apart = first.x1 <= second.x0 or second.x1 <= first.x0
        assert apart or touch < 1.0, (one, two)
    for text, box in boxes:
        assert figure.bbox.x0 <= box.x0, text
        assert box.x1 <= figure.bbox.x1, text
        assert figure.bbox.y0 <= box.y0, text
        assert box.y1 <= figure.bbox.y1, text


@pytest.mark.parametrize("name", DESIGNS)
def test_no_line_runs_through_words(name):
    figure = sheet(name)
    boxes = boxes_of(figure)
    (axes,) = figure.axes
    paths = [line.get_path().transformed(axes.transData) for line in axes.lines]
    for text, box in boxes:
        inner = Bbox.from_extents(box.x0 + 1, box.y0 + 2, box.x1 - 1, box.y1 - 2)
        assert not any(path.intersects_bbox(inner, filled=False) for path in paths), text


@pytest.mark.parametrize("name", DESIGNS)
def test_every_part_is_named_with_its_value(name):
    case = DESIGNS[name]
    file = io.StringIO()
    sheet(name).savefig(file, format="svg")
    # Letters are drawn as outlines; each line of words stands before its own as a remark.
    said = [html.unescape(text) for text in re.findall(r"<!-- (.*?) -->", file.getvalue())]
    flat = " ".join(said)
    assert flat.count("amplifier") >= 1
    for ladder in ladders_of(case):
        for part in (part for rung in ladder.rungs for part in rung.parts):
            figures = {"resistor": (1.0, "Ω"), "capacitor": (1e6, "µF"), "inductor": (1e3, "mH")}
            scale, unit = figures[part.kind]
            if part.pieces:
                assert f"{part.name} {part.pieces[0] * scale:g} " in flat
                continue
            assert f"{part.name} {part.value * scale:g} {unit}" in flat
            if part.kind == "inductor" and part.resistance:
                assert f"{part.value * scale:g} mH {part.resistance:g} Ω" in flat
        assert ladder.driver.name in flat


@pytest.mark.parametrize("network", [(), LATTICE, BRIDGE])
def test_an_inverted_driver_has_its_terminals_swapped(network):
    for inverted, upper in ((False, "+"), (True, "−")):
        figure = schematic_sheet(passive_case(network, inverted=(inverted,)))
        (axes,) = figure.axes
        marks = [text for text in axes.texts if text.get_text() in "+−"]
        right = max(text.get_position()[0] for text in marks)
        own = sorted(
            (text for text in marks if text.get_position()[0] == right),
            key=lambda text: -text.get_position()[1],
        )
        assert [text.get_text() for text in own] == [upper, {"+": "−", "−": "+"}[upper]]
        words = " ".join(text.get_text() for text in axes.texts)
        assert ("polarity inverted" in words) == inverted


def test_a_long_ladder_goes_on_below_under_the_same_letter():
    (axes,) = sheet("forty parts with long names").axes
    letters = [text.get_text() for text in axes.texts if re.fullmatch("[a-z]", text.get_text())]
    assert letters == sorted(letters)
    assert len(letters) > 4
    assert all(letters.count(letter) == 2 for letter in letters)
    width = axes.figure.get_size_inches()[0]
    assert width < 13.0


def test_two_pieces_are_one_sign_with_both_values():
    (axes,) = sheet("values of two pieces").axes
    words = " ".join(text.get_text() for text in axes.texts)
    assert "C in 10 + 2.2 µF side by side" in words
    assert "R1 4.7 + 0.33 Ω one after the other" in words
    assert "10 µF + 47 nF side by side" in words


def test_scale_is_one_to_one():
    """A unit is an inch both ways, so signs keep their shape and words their room."""
    figure = sheet("two ways")
    (axes,) = figure.axes
    figure.canvas.draw()
    origin, across, up = axes.transData.transform([(0, 0), (1, 0), (0, 1)])
    assert np.hypot(*(across - origin)) == pytest.approx(figure.dpi, rel=1e-6)
    assert np.hypot(*(up - origin)) == pytest.approx(figure.dpi, rel=1e-6)


def test_without_passive_branches_there_is_nothing_to_draw():
    assert schematic_sheet(make_case()) is None
