"""What a layout must keep to: each rule by itself, with its words and by how much it is broken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np

from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Place
from acoustics.case.geometry.shape import flat_body_of, pistons_of
from acoustics.conventions import RoundoverError
from acoustics.studies.compatibility.ways import ways_of
from acoustics.studies.driver_map.face_places import MEETS
from acoustics.studies.layout_search.face_rules import (
    behind_the_front,
    beside_others,
    between_moved,
    on_the_face,
)
from acoustics.studies.layout_search.rule import AT, Rule, in_mm
from acoustics.studies.layout_search.sites import Site

FARTHER = ("a larger distance in [place] apart",)


def rules_of(case: Case, place: Place, sites: Sequence[Site]) -> tuple[Rule, ...]:
    """Every rule that a question and a cabinet put on the moved drivers.

    Raises:
        RoundoverError: an ear height for a driver that does not move and is not there.
    """
    solid = flat_body_of(case.cabinet)
    found = list[Rule]()
    for number, site in enumerate(sites):
        found += on_the_face(solid, number, site, place.gap)
        found += beside_others(case, solid, number, site, sites, place.gap)
        found += _within_spans(number, site)
        found += behind_the_front(case, number, site)
    found += _at_ear_height(case, place, sites)
    found += between_moved(solid, sites, place.gap)
    found += _not_far_apart(case, place, sites)
    return tuple(found)


def axis_driver(case: Case) -> int:
    """The driver of the reference axis; of none, the one that plays highest (index)."""
    point = np.array(case.reference.point)
    for index, piston in enumerate(pistons_of(case)):
        if np.hypot(*(np.array(piston.centre[:2]) - point)) <= AT:
            return index
    bands = ways_of(case).bands
    return max(range(len(bands)), key=lambda n: (bands[n].low, -case.drivers[n].piston_diameter))


def _within_spans(number: int, site: Site) -> Iterator[Rule]:
    for axis, (way, span) in enumerate((("right", site.asked.right), ("up", site.asked.up))):
        if span is None:
            continue
        low, high = span
        lines: list[tuple[float, ...]] = [(), ()]
        lines[axis] = (low, (low + high) / 2, high)

        def shortfall(
            right: np.ndarray, up: np.ndarray, axis: int = axis, span: tuple[float, float] = span
        ) -> np.ndarray:
            value = (right, up)[axis]
            return np.maximum(span[0] - value, value - span[1]) - MEETS

        key = f"[place.drivers.{site.driver.name}] {way}"
        words = f"{key} allows {in_mm(low)} to {in_mm(high)}"
        yield Rule((f"a wider span in {key}",), (number,), words, shortfall, (lines[0], lines[1]))


def _at_ear_height(case: Case, place: Place, sites: Sequence[Site]) -> Iterator[Rule]:
    if place.ear_height is None:
        return
    low, high = place.ear_height
    index = axis_driver(case)
    name = case.drivers[index].name
    number = next((n for n, site in enumerate(sites) if site.index == index), None)
    level = case.cabinet.floor_level
    if number is None:
        height = pistons_of(case)[index].centre[1] - level
        if low - MEETS <= height <= high + MEETS:
            return
        raise RoundoverError(
            f"{case.path or case.title}: the ear height asks for {in_mm(low)} to "
            f"{in_mm(high)}, and '{name}', which does not move, is {in_mm(height)} above the "
            f"floor; name '{name}' among the drivers of [place], so that it may move, or take "
            "another cabinet.base_height"
        )
    frame = sites[number].frame

    def shortfall(right: np.ndarray, up: np.ndarray) -> np.ndarray:
        height = frame.points(right, up)[..., 1] - level
        return np.maximum(low - height, height - high) - MEETS

    if abs(frame.up[1]) < AT:
        said, lines = "", tuple[float, ...]()
    else:
        lines = tuple(
            float((at + level - frame.centre[1]) / frame.up[1])
            for at in (low, (low + high) / 2, high)
        )
        said = f", which is {in_mm(lines[0])} to {in_mm(lines[-1])} up from the face's middle"
    words = (
        f"the ear height asks that '{name}' is {in_mm(low)} to {in_mm(high)} above the floor{said}"
    )
    ways = ("a wider span in [place] ear_height", "another cabinet.base_height")
    yield Rule(ways, (number,), words, shortfall, ((), lines))


def _not_far_apart(case: Case, place: Place, sites: Sequence[Site]) -> Iterator[Rule]:
    if place.apart is None:
        return
    numbers = {site.index: n for n, site in enumerate(sites)}
    pistons, most = pistons_of(case), place.apart
    for lower, upper in _handing_over(case):
        # The moved ones in their order, so that rules about the same two have them alike.
        inside = sorted(numbers[index] for index in (lower, upper) if index in numbers)
        names = [case.drivers[index].name for index in (lower, upper)]
        words = f"apart allows at most {in_mm(most)} between '{names[0]}' and '{names[1]}'"
        if len(inside) == 2:
            frames = sites[inside[0]].frame, sites[inside[1]].frame

            def both(
                right: np.ndarray,
                up: np.ndarray,
                other_right: np.ndarray,
                other_up: np.ndarray,
                frames: tuple[FaceFrame, FaceFrame] = frames,
            ) -> np.ndarray:
                away = frames[1].points(other_right, other_up) - frames[0].points(right, up)
                answer: np.ndarray = np.linalg.norm(away, axis=-1) - most - MEETS
                return answer

            yield Rule(FARTHER, (inside[0], inside[1]), words, both)
        elif inside:
            still = lower if upper in numbers else upper

            def single(
                right: np.ndarray,
                up: np.ndarray,
                frame: FaceFrame = sites[inside[0]].frame,
                centre: tuple[float, float, float] = pistons[still].centre,
            ) -> np.ndarray:
                away = frame.points(right, up) - np.asarray(centre)
                answer: np.ndarray = np.linalg.norm(away, axis=-1) - most - MEETS
                return answer

            yield Rule(FARTHER, (inside[0],), words, single)


def _handing_over(case: Case) -> list[tuple[int, int]]:
    """Pairs of drivers, lower and upper; without corners that tell, neighbours by size."""
    pairs = [(pair.lower, pair.upper) for pair in ways_of(case).pairs]
    if pairs:
        return pairs
    order = sorted(range(len(case.drivers)), key=lambda n: -case.drivers[n].piston_diameter)
    return list(pairwise(order))
