"""What stands on the bench with one thing changed, all else left as it is, the very same objects.

Faults follow each other. So what they change is scaled or moved by as much as the design's value
would be, and things are told by their number, which no fault changes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from acoustics.case.design.enclosure_model import Enclosure, PassiveRadiator, Port, port_part
from acoustics.case.design.model import Branch, Driver
from acoustics.case.design.network_model import Element
from acoustics.studies.verification.bench.built import Built

T = TypeVar("T")


def scaled(now: float, design: float, size: float) -> float:
    """A value after a fault that makes `size` of the design's: exactly that if nothing else did."""
    return size if now == design else now * (size / design)


def moved(now: float, design: float, size: float) -> float:
    """Likewise by a difference."""
    return size if now == design else now + (size - design)


def with_driver(built: Built, number: int, change: Callable[[Driver], Driver]) -> Built:
    """With one driver changed, by its number."""
    case = built.case
    return replace(built, case=replace(case, drivers=_at(case.drivers, number, change)))


def with_branch(built: Built, number: int, change: Callable[[Branch], Branch]) -> Built:
    """With one branch of the crossover changed, by its place in it, whichever driver it feeds."""
    case = built.case
    return replace(built, case=replace(case, crossover=_at(case.crossover, number, change)))


def with_element(
    built: Built, branch: int, place: int, change: Callable[[Element], Element]
) -> Built:
    """With one element of a passive branch changed, by its place in it."""
    return with_branch(
        built, branch, lambda own: replace(own, elements=_at(own.elements, place, change))
    )


def with_enclosure(built: Built, number: int, change: Callable[[Enclosure], Enclosure]) -> Built:
    """With one enclosure changed, by its number."""
    case = built.case
    return replace(built, case=replace(case, enclosures=_at(case.enclosures, number, change)))


def with_port(enclosure: Enclosure, number: int, change: Callable[[Port], Port]) -> Enclosure:
    """An enclosure with one of its ports changed."""
    return replace(enclosure, ports=_at(enclosure.ports, number, change))


def with_duct_scaled(enclosure: Enclosure, port: Port, by: float) -> Enclosure:
    """An enclosure in which what a port takes of the volume is scaled."""
    duct = port_part(port.name)
    taken = tuple((what, part * by if what == duct else part) for what, part in enclosure.taken)
    return replace(enclosure, taken=taken)


def with_radiator(
    built: Built, enclosure: int, number: int, change: Callable[[PassiveRadiator], PassiveRadiator]
) -> Built:
    """With one passive radiator changed, by the numbers of its enclosure and its own."""
    return with_enclosure(
        built,
        enclosure,
        lambda own: replace(own, passive_radiators=_at(own.passive_radiators, number, change)),
    )


def with_feeds_swapped(built: Built, one: str, other: str) -> Built:
    """Two drivers, each fed by what was to feed the other."""
    swapped = {one: other, other: one}
    crossover = tuple(
        replace(branch, driver=swapped[branch.driver]) if branch.driver in swapped else branch
        for branch in built.case.crossover
    )
    return replace(built, case=replace(built.case, crossover=crossover))


def strayed(values: tuple[float, ...], number: int, count: int, by: float) -> tuple[float, ...]:
    """Levels or delays of `count` drivers with one of them moved; empty where none is off."""
    full = values or (0.0,) * count
    found = _at(full, number, lambda now: now + by)
    return found if any(found) else ()


def _at(things: tuple[T, ...], number: int, change: Callable[[T], T]) -> tuple[T, ...]:
    return (*things[:number], change(things[number]), *things[number + 1 :])
