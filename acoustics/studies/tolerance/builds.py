"""The case of one build: the design with some of its values a little off."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from acoustics.case.design.model import Branch, Case
from acoustics.case.design.tolerance_model import Spread
from acoustics.case.text.written import with_unit
from acoustics.case.varied import home_of, varied_case
from acoustics.conventions import RoundoverError, air_at
from acoustics.studies.tolerance.fixed_once import fixed_once


def built_case(design: Case, spreads: Sequence[Spread], amounts: Sequence[float]) -> Case:
    """The case of a build.

    What was fixed on the design stays, see `fixed_once`: the reference axis, lengths of ports,
    masses added to passive radiators. A pair is built alike: the right cabinet stays the mirror
    image of the left one. Where drivers were measured, that was done on the design.

    Args:
        design: the case.
        spreads: what strays; levels and delays are not the case's, see `factor_of`.
        amounts: by how much each does, in its base unit or as a share.

    Raises:
        RoundoverError: a value that nothing can have.
        CaseError: what is wrong with a case in which other keys stray.
    """
    case = design
    keys = {
        key: with_unit(_strayed(spread, value, amount), spread.unit)
        for spread, amount in zip(spreads, amounts, strict=True)
        if spread.kind == "key"
        for key, value in zip(spread.keys, spread.values, strict=True)
    }
    if keys:
        settled, without = fixed_once(design, keys)
        case = varied_case(design, {**settled, **keys}, without)
        # What is solved exactly is so at fewer frequencies, which the file does not say.
        case = replace(case, frequencies=design.frequencies, measured_in=None)
        if not any(key.startswith("reference.point") for key in keys):
            case = replace(case, reference=replace(case.reference, point=design.reference.point))
    for spread, amount in zip(spreads, amounts, strict=True):
        change = _CHANGES.get(spread.kind)
        if change is None:
            continue
        for key, value in zip(spread.keys, spread.values, strict=True):
            case = change(case, key, _strayed(spread, value, amount))
    if any(driver.measured is not None for driver in design.drivers):
        case = replace(case, measured_in=home_of(design))
    return case


def factor_of(
    design: Case, spreads: Sequence[Spread], amounts: Sequence[float], frequency: np.ndarray
) -> np.ndarray:
    """What levels (dB) and delays (s) that stray multiply each driver's sound by.

    Returns:
        Complex, shape (driver, frequency).
    """
    names = [driver.name for driver in design.drivers]
    factor = np.ones((len(names), frequency.size), dtype=complex)
    for spread, amount in zip(spreads, amounts, strict=True):
        for key in spread.keys:
            if spread.kind == "level":
                factor[names.index(key)] *= 10 ** (amount / 20)
            elif spread.kind == "delay":
                factor[names.index(key)] *= np.exp(-2j * np.pi * frequency * amount)
    return factor


def _strayed(spread: Spread, value: float, amount: float) -> float:
    answer = value * (1 + amount) if spread.relative else value + amount
    if spread.kind in _POSITIVE and answer <= 0:
        raise RoundoverError(
            f"{spread.name} strays from {value:g} to {answer:g}, which nothing can have; state a "
            "smaller spread, or a uniform one"
        )
    return answer


def _moved(case: Case, key: str, value: float) -> Case:
    _, name, _, entry = key.rsplit(".", 3)

    def moved(position: tuple[float, float]) -> tuple[float, float]:
        return (value, position[1]) if entry == "1" else (position[0], value)

    drivers = tuple(
        replace(driver, position=moved(driver.position)) if driver.name == name else driver
        for driver in case.drivers
    )
    return replace(case, drivers=drivers)


def _with_ears(case: Case, key: str, value: float) -> Case:
    heights = list(case.seat.ear_heights)
    heights[int(key.rsplit(".", 1)[1]) - 1] = value
    return replace(case, seat=replace(case.seat, ear_heights=tuple(heights)))


def _at_distance(case: Case, key: str, value: float) -> Case:
    """Other seats that are as far away as the main one move with it: they share a sofa."""
    main = case.seat.main.distance
    places = tuple(
        replace(place, distance=value) if place.distance == main else place
        for place in case.seat.places
    )
    return replace(case, seat=replace(case.seat, places=places))


def _at_temperature(case: Case, key: str, value: float) -> Case:
    return replace(case, temperature=value, air=air_at(value))


def _with_part(case: Case, key: str, value: float) -> Case:
    _, driver, _, number, what = key.rsplit(".", 4)

    def other(branch: Branch) -> Branch:
        if branch.driver != driver:
            return branch
        elements = list(branch.elements)
        place = int(number) - 1
        changed: dict[str, Any] = {what: value}
        elements[place] = replace(elements[place], **changed)
        return replace(branch, elements=tuple(elements))

    return replace(case, crossover=tuple(other(branch) for branch in case.crossover))


def _with_parameter(case: Case, key: str, value: float) -> Case:
    name, parameter = key.rsplit(".", 1)
    changed: dict[str, Any] = {parameter: value}
    drivers = tuple(
        replace(driver, small_signal=replace(driver.small_signal, **changed))
        if driver.name == name and driver.small_signal is not None
        else driver
        for driver in case.drivers
    )
    return replace(case, drivers=drivers)


_CHANGES: dict[str, Callable[[Case, str, float], Case]] = {
    "position": _moved,
    "ear height": _with_ears,
    "distance": _at_distance,
    "temperature": _at_temperature,
    "part": _with_part,
    "driver parameter": _with_parameter,
}

_POSITIVE = ("distance", "ear height", "temperature", "part", "driver parameter")

MOVES_FIELD = ("position", "ear height", "distance", "temperature", "key")
"""Kinds of spreads that may move what the field solver is asked."""
