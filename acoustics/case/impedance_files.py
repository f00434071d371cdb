"""Tables of drivers' impedances: files that a case or its driver files name."""

from __future__ import annotations

import pathlib
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from acoustics.case.driver_files import Origins
from acoustics.case.faults import Problem
from acoustics.case.fields import FILE_NAME
from acoustics.case.lines import Path
from acoustics.case.model import DriverFile
from acoustics.case.sound import Values
from acoustics.case.tables import MOST_DRIVERS
from acoustics.case.units import UnitError, hertz
from acoustics.conventions import CaseError, Fault
from acoustics.curves import Curve, CurveError, CurveForm, at_frequencies, curve_of
from acoustics.curves.text import text_in

KEY = "impedance"
WRITTEN = CurveForm(magnitude="linear", phase="deg")
"""What a table is taken to hold where it does not say: ohm and degrees."""


class Tables(NamedTuple):
    """The curves of some tables by driver, and what is wrong with the others."""

    curves: dict[str, Curve]
    faults: list[Fault]


def impedance_files(
    case: pathlib.Path, text: str, data: dict[str, Any], files: Sequence[DriverFile]
) -> tuple[DriverFile, ...]:
    """The tables that drivers name, each with its text.

    Args:
        case: the case file. Paths are counted from the folder of the file in which they stand.
        text: of the case file.
        data: what TOML makes of it and of the driver files.
        files: the driver files.

    Raises:
        CaseError: tables that cannot be read, all of them at once.
    """
    origins = Origins(case, text, files)
    found, faults = list[DriverFile](), list[Fault]()
    for name, value in _named(data):
        at: Path = ("drivers", name, KEY)
        path = pathlib.Path(origins.fault(Problem(at, "")).file).parent / value
        try:
            found.append(DriverFile(name, str(path), text_in(path)))
        except CurveError as error:
            problem = Problem(at, f"{error.fault.file}: {error.fault.message}")
            faults.append(origins.fault(problem))
    if faults:
        raise CaseError(list(dict.fromkeys(faults)))
    return tuple(found)


def tables_of(files: Sequence[DriverFile]) -> Tables:
    """What the tables hold."""
    curves, faults = dict[str, Curve](), list[Fault]()
    for file in files:
        try:
            curves[file.driver] = _curve(file.text, file.path)
        except CurveError as error:
            faults.append(error.fault)
    return Tables(curves, faults)


def impedance_problems(
    drivers: Mapping[str, Values], curves: Mapping[str, Curve], grid: Values
) -> Iterator[Problem]:
    """Tables without phase, of something that is no load, or too short for a prediction."""
    for name, curve in curves.items():
        at: Path = ("drivers", name, KEY)
        if not curve.has_phase:
            yield Problem(
                at,
                f"{curve.source} has no phase, without which nobody knows what a crossover does "
                "with it; measure it with its phase, a third column in degrees, or leave it out",
            )
            continue
        if (giving := curve.values.real <= 0).any():
            where = int(np.argmax(giving))
            yield Problem(
                at,
                f"{curve.source}: at {curve.frequency[where]:g} Hz its phase is "
                f"{np.degrees(np.angle(curve.values[where])):.0f} degrees, which no driver has; "
                "check the columns: frequency, ohm, degrees between -90 and 90",
            )
            continue
        wanted = [grid[end] for end in ("lowest", "highest") if end in grid]
        beyond = drivers.get(name, {}).get("extrapolate_impedance", True)
        if len(wanted) == 2 and not beyond:
            _, outside = at_frequencies(curve, np.array(wanted), beyond=True)
            if outside.any():
                yield Problem(
                    at,
                    f"{curve.source} goes from {_band(*curve.frequency[[0, -1]])}, and the "
                    f"case from {_band(*wanted)}; measure further, change frequencies.lowest "
                    "or frequencies.highest, or write extrapolate_impedance = true, with which "
                    "the ends of the table are carried on",
                )


def impedance_warnings(curves: Mapping[str, Curve]) -> Iterator[Problem]:
    """What had to be guessed of a table."""
    for name, curve in curves.items():
        for guess in curve.guesses:
            yield Problem(("drivers", name, KEY), f"{curve.source}: {guess}")


def _band(low: float, high: float) -> str:
    return " to ".join(hertz(float(f"{end:.4g}")) for end in (low, high))


@lru_cache(maxsize=8)
def _curve(text: str, source: str) -> Curve:
    # Every point of a sweep reads the same tables.
    return curve_of(text, source, "impedance", assumed=WRITTEN)


def _named(data: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Drivers and the tables they name; what is wrong with the keys is told elsewhere."""
    drivers = data.get("drivers")
    if not isinstance(drivers, dict) or len(drivers) > MOST_DRIVERS:
        return
    for name, driver in drivers.items():
        if isinstance(driver, dict) and KEY in driver:
            try:
                yield name, FILE_NAME.read(driver[KEY])
            except UnitError:
                continue
