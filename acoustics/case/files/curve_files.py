"""Tables that drivers name: files of curves, their texts, and what is wrong with them."""

from __future__ import annotations

import pathlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from acoustics.case.design.files_model import DriverFile
from acoustics.case.files.driver_files import Origins
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.fields import FILE_NAME
from acoustics.case.text.limits import MOST_DRIVERS
from acoustics.case.text.lines import Path
from acoustics.case.text.units import UnitError, hertz
from acoustics.conventions import CaseError, Fault
from acoustics.curves import Curve, CurveError
from acoustics.curves.text import text_in


class Tables(NamedTuple):
    """The curves of some tables by driver, and what is wrong with the others."""

    curves: dict[str, Curve]
    faults: list[Fault]


def curve_files(
    case: pathlib.Path,
    text: str,
    data: dict[str, Any],
    files: Sequence[DriverFile],
    key: tuple[str, ...],
) -> tuple[DriverFile, ...]:
    """The tables that drivers name under a key, each with its text.

    Args:
        case: the case file. Paths are counted from the folder of the file in which they stand.
        text: of the case file.
        data: what TOML makes of it and of the driver files.
        files: the driver files.
        key: within the table of a driver.

    Raises:
        CaseError: tables that cannot be read, all of them at once.
    """
    origins = Origins(case, text, files)
    found, faults = list[DriverFile](), list[Fault]()
    for name, value in _named(data, key):
        at: Path = ("drivers", name, *key)
        path = pathlib.Path(origins.fault(Problem(at, "")).file).parent / value
        try:
            found.append(DriverFile(name, str(path), text_in(path)))
        except CurveError as error:
            problem = Problem(at, f"{error.fault.file}: {error.fault.message}")
            faults.append(origins.fault(problem))
    if faults:
        raise CaseError(list(dict.fromkeys(faults)))
    return tuple(found)


def tables_of(files: Sequence[DriverFile], read: Callable[[DriverFile], Curve]) -> Tables:
    """What the tables hold, each as `read` has it, which may raise CurveError."""
    curves, faults = dict[str, Curve](), list[Fault]()
    for file in files:
        try:
            curves[file.driver] = read(file)
        except CurveError as error:
            faults.append(error.fault)
    return Tables(curves, faults)


def guess_warnings(curves: Mapping[str, Curve], key: tuple[str, ...]) -> Iterator[Problem]:
    """What had to be guessed of tables that drivers name under a key, one warning for each."""
    for name, curve in curves.items():
        if curve.guesses:
            yield Problem(("drivers", name, *key), f"{curve.source}: {' '.join(curve.guesses)}")


def band_words(low: float, high: float) -> str:
    """A band (Hz) in words."""
    return " to ".join(hertz(float(f"{end:.4g}")) for end in (low, high))


def _named(data: Mapping[str, Any], key: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    """Drivers and the tables they name; what is wrong with the keys is told elsewhere."""
    drivers = data.get("drivers")
    if not isinstance(drivers, dict) or len(drivers) > MOST_DRIVERS:
        return
    for name, driver in drivers.items():
        here = driver
        for part in key:
            here = here.get(part) if isinstance(here, dict) else None
        if here is not None:
            try:
                yield name, FILE_NAME.read(here)
            except UnitError:
                continue
