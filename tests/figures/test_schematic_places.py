"""Where a schematic says that its parts stand: there are their words, and nobody else's."""

from __future__ import annotations

import functools

import pytest

from acoustics.case.design.network_parts import Part
from acoustics.crossover.connections import ladders_of
from acoustics.figures.schematic import schematic_of
from acoustics.figures.schematic_words import wrapped
from support.cases import make_case
from support.crossovers import DESIGNS


@functools.cache
def drawn(name):
    return schematic_of(DESIGNS[name])


def name_of(place):
    return place.what.name if isinstance(place.what, Part) else place.what.driver.name


def middles(figure):
    """Of every text in the axes: its words, and its middle in the axes' inches."""
    (axes,) = figure.axes
    renderer = figure.canvas.get_renderer()
    to_inches = axes.transData.inverted()
    for text in axes.texts:
        box = text.get_window_extent(renderer)
        middle = to_inches.transform(((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2))
        yield text.get_text(), middle


@pytest.mark.parametrize("name", DESIGNS)
def test_every_part_and_driver_has_one_place(name):
    ladders = ladders_of(DESIGNS[name])
    parts = [part.name for ladder in ladders for rung in ladder.rungs for part in rung.parts]
    drivers = [ladder.driver.name for ladder in ladders]
    assert sorted(map(name_of, drawn(name).places)) == sorted(parts + drivers)


@pytest.mark.parametrize("name", DESIGNS)
def test_a_name_stands_in_the_place_that_is_said(name):
    figure, places = drawn(name)
    texts = list(middles(figure))
    for place in places:
        inside = [
            words
            for words, (x, y) in texts
            if place.left <= x <= place.right and place.bottom <= y <= place.top
        ]
        assert set(wrapped(name_of(place))) <= set(inside), (name_of(place), inside)


@pytest.mark.parametrize("name", DESIGNS)
def test_places_keep_clear_of_each_other(name):
    places = drawn(name).places
    for i, one in enumerate(places):
        for other in places[i + 1 :]:
            beside = one.right <= other.left + 0.02 or other.right <= one.left + 0.02
            above = one.top <= other.bottom + 0.02 or other.top <= one.bottom + 0.02
            assert beside or above, (name_of(one), name_of(other))


def test_without_a_passive_crossover_there_is_none():
    assert schematic_of(make_case()) is None
