"""Checks of meaning across the tables of a case: names, places and bands that must fit."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from acoustics.cabinet.names import face_words
from acoustics.case.checks.aim_checks import trust_problems, trusted_drivers
from acoustics.case.checks.corner_checks import corner_problems
from acoustics.case.checks.driver_checks import source_problems, with_pistons
from acoustics.case.checks.enclosure_checks import enclosure_problems
from acoustics.case.checks.face_checks import (
    arc_problems,
    driver_problems,
    face_problems,
    front_point,
    named_faces,
    point_problems,
)
from acoustics.case.checks.fit_checks import fit_problems
from acoustics.case.checks.grid_checks import count_problems, order_problems, without_ends
from acoustics.case.checks.measured_checks import measured_problems
from acoustics.case.checks.measurement_checks import measurement_problems
from acoustics.case.checks.network_checks import network_problems
from acoustics.case.checks.outside import Outside, outside_of
from acoustics.case.checks.place_checks import place_table_problems
from acoustics.case.checks.processor_checks import processor_problems
from acoustics.case.checks.room_checks import receivers_in, room_of, room_problems
from acoustics.case.checks.structure_checks import structure_problems
from acoustics.case.checks.tolerance_checks import tolerance_problems
from acoustics.case.checks.verification_checks import verification_problems
from acoustics.case.files.impedance_files import impedance_problems
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.aim_table import AimTable, band_of
from acoustics.case.tables.cabinet_table import CabinetTable
from acoustics.case.tables.case_table import (
    AirTable,
    ArcsTable,
    FrequenciesTable,
    ReferenceTable,
)
from acoustics.case.tables.driver_table import DriverTable
from acoustics.case.tables.fit_table import FitTable
from acoustics.case.tables.profile_rows import profile_from, row_faults
from acoustics.case.tables.room_tables import FloorTable, PlacementTable
from acoustics.case.tables.sound import Values, sound_values
from acoustics.case.tables.structure_table import StructureTable
from acoustics.case.tables.table import Table
from acoustics.case.text.limits import MOST_DRIVERS
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import hertz
from acoustics.conventions import GeometryError
from acoustics.curves import Curve


def meaning_problems(
    data: Mapping[str, Any],
    faulty: list[Path],
    curves: Mapping[str, Curve],
    heard: Mapping[str, Curve],
) -> Iterator[Problem]:
    """What else is wrong with a case whose keys at `faulty` are known to be wrong.

    `curves` are the impedances that its drivers' tables hold, `heard` the responses (Pa).
    """

    def table(of: type[Table], key: str) -> Values:
        return sound_values(of, data.get(key, {}), (key,), faulty)

    outside, problems = outside_of(table(CabinetTable, "cabinet"))
    yield from problems
    tables = _drivers(data.get("drivers"), faulty)
    yield from source_problems(tables)
    drivers, problems = named_faces(outside, with_pistons(tables))
    yield from problems
    yield from driver_problems(outside, drivers)
    yield from face_problems(outside, drivers, table(FloorTable, "floor"))
    structure = table(StructureTable, "structure") if data.get("structure") else {}
    around = {
        "air": table(AirTable, "air"),
        "floor": table(FloorTable, "floor"),
        "structure": structure,
    }
    yield from enclosure_problems(outside, data.get("enclosures"), drivers, around, faulty)
    if structure:
        enclosures = data.get("enclosures")
        names = [*enclosures] if isinstance(enclosures, dict) else []
        yield from structure_problems(outside, structure, drivers, names)
    yield from _profile_problems(drivers)
    if drivers:
        yield from _crossover_problems(data.get("crossover", {}), drivers)
        yield from network_problems(data.get("crossover"), drivers, faulty)
    yield from _reference_problems(outside, drivers, table(ReferenceTable, "reference"))
    room = room_of(data, outside, table(PlacementTable, "placement"), faulty)
    yield from room_problems(room)
    raw_grid = data.get("frequencies", {})
    grid = table(FrequenciesTable, "frequencies")
    disorder = list(order_problems(grid, raw_grid))
    if disorder:
        yield from disorder
        grid = without_ends(grid)
    yield from count_problems(grid, table(ArcsTable, "arcs"), receivers_in(room), len(drivers))
    yield from corner_problems(data.get("crossover"), grid, faulty)
    if data.get("fit"):
        yield from fit_problems(table(FitTable, "fit"), drivers, grid)
    yield from place_table_problems(data, outside, drivers, grid, faulty)
    yield from tolerance_problems(data, drivers, faulty)
    yield from measurement_problems(data, drivers, faulty)
    yield from verification_problems(data, drivers, grid, faulty)
    yield from processor_problems(data, grid, faulty)
    yield from impedance_problems(drivers, curves, grid)
    yield from measured_problems(outside, drivers, heard, grid)
    no_floor = "floor" not in data and ("floor",) not in faulty
    trusted = trusted_drivers(table(AirTable, "air"), drivers)
    raw_aims = data.get("aims", [])
    for index, raw in enumerate(raw_aims if isinstance(raw_aims, list) else []):
        path = ("aims", index)
        aim = sound_values(AimTable, raw, path, faulty)
        yield from _aim_problems(path, aim, grid, no_floor)
        yield from trust_problems(path, aim, trusted)


def _drivers(raw: object, faulty: list[Path]) -> dict[str, Values]:
    if not isinstance(raw, dict) or len(raw) > MOST_DRIVERS:  # a fault of its own
        return {}
    return {
        name: sound_values(DriverTable, driver, ("drivers", name), faulty)
        for name, driver in raw.items()
    }


def _profile_problems(drivers: Mapping[str, Values]) -> Iterator[Problem]:
    """Rows that make no profile of a piston."""
    for name, driver in drivers.items():
        rows = driver.get("profile")
        if rows is None:
            continue
        at: Path = ("drivers", name, "profile")
        diameter = driver.get("piston_diameter")
        faults = list(row_faults(rows, diameter))
        yield from (Problem((*at, *place), words) for place, words in faults)
        if diameter is not None and not faults:
            try:
                profile_from(rows, diameter / 2)
            except GeometryError as error:
                yield Problem(at, str(error))


def reference_driver(drivers: Mapping[str, Values]) -> str | None:
    """The driver on whose centre the reference axis starts unless the case says otherwise.

    Of those on the front face the one called "tweeter", else the one with the smallest piston, the
    first of equals; None where that cannot be told.
    """
    if any("face" not in driver for driver in drivers.values()):
        return None
    front = {name: driver for name, driver in drivers.items() if driver["face"] == "front"}
    if "tweeter" in front:
        return "tweeter"
    if any("piston_diameter" not in driver for driver in front.values()):
        return None
    return min(front, key=lambda name: front[name]["piston_diameter"], default=None)


def _crossover_problems(crossover: object, drivers: Mapping[str, Values]) -> Iterator[Problem]:
    for name in crossover if isinstance(crossover, dict) else ():
        if name not in drivers:
            yield Problem(
                ("crossover", name),
                f"'{short_name(name)}' names no driver; {choice(drivers, name)}",
            )


def _reference_problems(
    outside: Outside, drivers: Mapping[str, Values], reference: Values
) -> Iterator[Problem]:
    point = reference.get("point")
    name = reference.get("driver")
    if drivers and name is not None and name not in drivers:
        yield Problem(
            ("reference", "driver"),
            f"there is no driver '{short_name(name)}'; {choice(drivers, name)}",
        )
    elif name is not None and drivers.get(name, {}).get("face", "front") != "front":
        yield Problem(
            ("reference", "driver"),
            f"'{name}' is on the {face_words(drivers[name]['face'])}, and the reference axis "
            "starts on the front face; name a driver on the front, or give a point",
        )
        return
    if point is not None:
        yield from point_problems(outside, point)
    elif name is None and {"point", "driver"} <= reference.keys():
        name = reference_driver(drivers)
        if drivers and all(driver.get("face", "front") != "front" for driver in drivers.values()):
            yield Problem(
                ("reference", "point"),
                "no driver is on the front face, where the reference axis starts; add a point, "
                'for example point = ["0 mm", "0 mm"]',
            )
    if point is None and name is not None and name in drivers:
        point = drivers[name].get("position")
    if point is not None and "distance" in reference:
        yield from arc_problems(outside, front_point(outside, point), reference["distance"])


def _aim_problems(path: Path, aim: Values, grid: Values, no_floor: bool) -> Iterator[Problem]:
    band = band_of(aim["measure"], aim["band"]) if {"measure", "band"} <= aim.keys() else None
    if band is not None and "lowest" in grid and band[0] < grid["lowest"]:
        yield _outside((*path, "band", 0), band[0], "below", "lowest", grid)
    if band is not None and "highest" in grid and band[1] > grid["highest"]:
        yield _outside((*path, "band", 1), band[1], "above", "highest", grid)
    if aim.get("measure") == "floor dip" and no_floor:
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
