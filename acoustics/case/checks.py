"""Checks of meaning across the tables of a case: names, places and bands that must fit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from acoustics.case.aim_table import AimTable, band_of
from acoustics.case.corners import corner_problems
from acoustics.case.extent import count_problems, order_problems, without_ends
from acoustics.case.faults import Problem, choice
from acoustics.case.layout import arc_problems, driver_problems, point_problems
from acoustics.case.lines import Path
from acoustics.case.sound import Values, sound_values
from acoustics.case.tables import (
    MOST_DRIVERS,
    ArcsTable,
    CabinetTable,
    DriverTable,
    FloorTable,
    FrequenciesTable,
    ReferenceTable,
)
from acoustics.case.units import LENGTH, hertz, in_unit, parse


def meaning_problems(data: Mapping[str, Any], faulty: list[Path]) -> Iterator[Problem]:
    """What else is wrong with a case whose keys at `faulty` are known to be wrong."""
    cabinet = sound_values(CabinetTable, data.get("cabinet", {}), ("cabinet",), faulty)
    raw_drivers = data.get("drivers", {})
    drivers = {
        name: sound_values(DriverTable, raw, ("drivers", name), faulty)
        for name, raw in (raw_drivers if isinstance(raw_drivers, dict) else {}).items()
    }
    if len(drivers) > MOST_DRIVERS:  # a fault of its own, and too many to compare
        drivers = {}
    yield from driver_problems(cabinet, drivers)
    if drivers:
        yield from _crossover_problems(data.get("crossover", {}), drivers)
    reference = sound_values(ReferenceTable, data.get("reference", {}), ("reference",), faulty)
    yield from _reference_problems(cabinet, drivers, reference)
    yield from _seat_problems(data.get("seat"), faulty)
    raw_grid = data.get("frequencies", {})
    grid = sound_values(FrequenciesTable, raw_grid, ("frequencies",), faulty)
    disorder = list(order_problems(grid, raw_grid))
    if disorder:
        yield from disorder
        grid = without_ends(grid)
    arcs = sound_values(ArcsTable, data.get("arcs", {}), ("arcs",), faulty)
    yield from count_problems(grid, arcs, len(drivers))
    yield from corner_problems(data.get("crossover"), grid, faulty)
    no_floor = {"reflection": 0.0}
    floor = sound_values(FloorTable, data.get("floor", no_floor), ("floor",), faulty)
    raw_aims = data.get("aims", [])
    for index, raw in enumerate(raw_aims if isinstance(raw_aims, list) else []):
        aim = sound_values(AimTable, raw, ("aims", index), faulty)
        yield from _aim_problems(("aims", index), aim, grid, floor)


def reference_driver(drivers: Mapping[str, Values]) -> str | None:
    """The driver on whose centre the reference axis starts unless the case says otherwise.

    The one called "tweeter", else the one with the smallest piston, the first of equals; None
    where that cannot be told.
    """
    if "tweeter" in drivers:
        return "tweeter"
    if any("piston_diameter" not in driver for driver in drivers.values()):
        return None
    return min(drivers, key=lambda name: drivers[name]["piston_diameter"], default=None)


def _crossover_problems(crossover: object, drivers: Mapping[str, Values]) -> Iterator[Problem]:
    for name in crossover if isinstance(crossover, dict) else ():
        if name not in drivers:
            yield Problem(("crossover", name), f"'{name}' names no driver; {choice(drivers, name)}")


def _reference_problems(
    cabinet: Values, drivers: Mapping[str, Values], reference: Values
) -> Iterator[Problem]:
    point = reference.get("point")
    name = reference.get("driver")
    if drivers and name is not None and name not in drivers:
        yield Problem(
            ("reference", "driver"), f"there is no driver '{name}'; {choice(drivers, name)}"
        )
    if point is not None:
        yield from point_problems(cabinet, point)
    elif name is None:
        name = reference_driver(drivers)
    if point is None and name is not None and name in drivers:
        point = drivers[name].get("position")
    if point is not None and "distance" in reference:
        yield from arc_problems(cabinet, point, reference["distance"])


def _seat_problems(seat: object, faulty: list[Path]) -> Iterator[Problem]:
    """Ear heights that are there twice, whatever is wrong with the others."""
    at = ("seat", "ear_heights")
    written = seat.get("ear_heights") if isinstance(seat, dict) else None
    if not isinstance(written, list) or at in faulty:
        return
    heights = [
        parse(height, LENGTH) for index, height in enumerate(written) if (*at, index) not in faulty
    ]
    twice = [height for height in heights if heights.count(height) > 1]
    if twice:
        yield Problem(at, f"{in_unit(twice[0], 'm')} is there twice; write each height once")


def _aim_problems(path: Path, aim: Values, grid: Values, floor: Values) -> Iterator[Problem]:
    band = band_of(aim["measure"], aim["band"]) if {"measure", "band"} <= aim.keys() else None
    if band is not None and "lowest" in grid and band[0] < grid["lowest"]:
        yield _outside((*path, "band", 0), band[0], "below", "lowest", grid)
    if band is not None and "highest" in grid and band[1] > grid["highest"]:
        yield _outside((*path, "band", 1), band[1], "above", "highest", grid)
    if aim.get("measure") == "floor dip" and floor.get("reflection") == 0.0:
        yield Problem(
            (*path, "measure"),
            "there is no floor to make a dip; add a table [floor] or take the aim out",
        )


def _outside(path: Path, frequency: float, side: str, end: str, grid: Values) -> Problem:
    return Problem(
        path,
        f"{hertz(frequency)} is {side} the {end} frequency of the prediction "
        f"({hertz(grid[end])}); change the band or frequencies.{end}",
    )
