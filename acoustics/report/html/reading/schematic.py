"""What a schematic tells of its parts and drivers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import xarray as xr
from matplotlib.figure import Figure

from acoustics.case.design.model import Case
from acoustics.case.design.network_parts import Part, pieces_of
from acoustics.crossover.connections import Ladder, Rung, ladders_of
from acoustics.figures.schematic_places import Place
from acoustics.figures.schematic_words import plain_ohm, value_words
from acoustics.report.html.reading.panel import Reading, Thing, panel_of
from acoustics.report.parts_list import Listed, must_stand, parts_list


def schematic_reading(
    figure: Figure, places: Sequence[Place], case: Case, prediction: xr.Dataset
) -> Reading:
    """Of a schematic as `schematic_of` draws it."""
    ratings = {each.part.name: each for each in parts_list(case, prediction)}
    rungs = {
        part.name: (ladder, rung)
        for ladder in ladders_of(case)
        for rung in ladder.rungs
        for part in rung.parts
    }
    return (panel_of(figure.axes[0], things=tuple(_things(places, rungs, ratings))),)


def _things(
    places: Sequence[Place],
    rungs: Mapping[str, tuple[Ladder, Rung]],
    ratings: Mapping[str, Listed],
) -> Iterator[Thing]:
    for place in places:
        middle = (place.left + place.right) / 2, (place.bottom + place.top) / 2
        size = place.right - place.left, place.top - place.bottom
        if isinstance(place.what, Part):
            part = place.what
            words = ", ".join(_part(part, *rungs[part.name], ratings))
            yield Thing(part.name, words, middle, size)
        else:
            words = ", ".join(_driver(place.what))
            yield Thing(place.what.driver.name, words, middle, size)


def _part(part: Part, ladder: Ladder, rung: Rung, ratings: Mapping[str, Listed]) -> Iterator[str]:
    yield f"{part.kind} {value_words(part)}"
    pieces = pieces_of(part)
    if len(pieces) > 1:
        joined = "side by side" if part.kind == "capacitor" else "one after the other"
        yield f"{' and '.join(value_words(piece) for piece in pieces)} {joined}"
    if part.resistance:
        own = "wire" if part.kind == "inductor" else "with"
        yield f"{own} {plain_ohm(part.resistance)}{'' if own == 'wire' else ' of its own'}"
    if part.core_resistance:
        yield f"core {plain_ohm(part.core_resistance)}"
    yield f"{_where(ladder, rung)} {ladder.driver.name}"
    told = [must_stand(ratings[piece.name]) for piece in pieces]
    yield f"to stand {told[0] if len(set(told)) == 1 else ' and '.join(told)}"


def _where(ladder: Ladder, rung: Rung) -> str:
    if ladder.free:
        return f"between {rung.ends[0]} and {rung.ends[1]}, for"
    return "in series with" if rung.element.place == "series" else "across, for"


def _driver(ladder: Ladder) -> Iterator[str]:
    driver = ladder.driver
    yield "driver"
    yield "polarity inverted" if ladder.swapped else "polarity normal"
    if driver.power is not None:
        yield f"{driver.power:.4g} W"
    if driver.rated_impedance is not None:
        yield f"rated impedance {plain_ohm(driver.rated_impedance)}"
