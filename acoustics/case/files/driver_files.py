"""Driver files: what a case leaves unsaid of its drivers, and where it stands."""

from __future__ import annotations

import pathlib
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from acoustics.case.design.files_model import DriverFile
from acoustics.case.messages.faults import Problem, key_text
from acoustics.case.tables.fields import FILE_NAME
from acoustics.case.text.limits import MOST_DRIVERS
from acoustics.case.text.lines import Path, line_index, line_of
from acoustics.case.text.shown import printable, short_name
from acoustics.case.text.toml_text import FileKind, data_of, text_of
from acoustics.case.text.units import UnitError
from acoustics.conventions import CaseError, Fault

OF_THE_CASE = frozenset({"file", "position", "face", "both_sides", "polarity", "measured"})
"""Keys of [drivers.NAME] that are the case's alone: where a driver sits, how it is wired, and what
was measured of it there."""

MERGED = ("small_signal", "voice_coil")
"""Tables whose keys come from the case and the driver file, one by one."""

DRIVER_FILE = FileKind(
    "driver file",
    "give a driver file (TOML text), its path counted from the case file's folder",
    "write a driver's keys into it, as they would stand in [drivers.NAME]",
)


def driver_files(case: pathlib.Path, text: str, data: dict[str, Any]) -> tuple[DriverFile, ...]:
    """The driver files that a case names, each with its text.

    Args:
        case: the case file, from whose folder paths are counted.
        text: of the case file.
        data: what TOML makes of it.

    Raises:
        CaseError: what is wrong with them as files, all of them at once.
    """
    found, faults = list[DriverFile](), list[Fault]()
    for name, value in _named(data):
        path = case.parent / value
        try:
            content = text_of(path, DRIVER_FILE)
            data_of(path, content, DRIVER_FILE)
        except CaseError as error:
            at: Path = ("drivers", name, "file")
            faults += [at_the_case(case, text, at, fault) for fault in error.faults]
        else:
            found.append(DriverFile(name, str(path), content))
    if faults:
        raise CaseError(list(dict.fromkeys(faults)))
    return tuple(found)


def merged(data: dict[str, Any], files: Sequence[DriverFile]) -> dict[str, Any]:
    """The data of a case with the keys of its driver files; those of the case win."""
    if not files:
        return data
    drivers = dict(data["drivers"])
    for file in files:
        own = drivers[file.driver]
        defaults = {key: value for key, value in _data_of(file).items() if key not in OF_THE_CASE}
        drivers[file.driver] = defaults | own
        for key in MERGED:
            if isinstance(defaults.get(key), dict) and isinstance(own.get(key), dict):
                drivers[file.driver][key] = defaults[key] | own[key]
    return {**data, "drivers": drivers}


def misplaced_keys(files: Iterable[DriverFile]) -> Iterator[Fault]:
    """Keys in driver files that only a case may say."""
    for file in files:
        for key in _data_of(file).keys() & OF_THE_CASE:
            yield Fault(
                "a driver file does not say this; write it into the case, in "
                f"[drivers.{short_name(file.driver)}]",
                file.path,
                line_of(line_index(file.text), (key,)),
                key,
            )


class Origins:
    """Where the keys of a case stand: in its own file or in a driver file."""

    def __init__(self, case: pathlib.Path, text: str, files: Iterable[DriverFile]) -> None:
        self._case = str(case)
        self._lines = line_index(text)
        self._files = {file.driver: file for file in files}
        self._file_lines = {name: line_index(file.text) for name, file in self._files.items()}

    def fault(self, problem: Problem) -> Fault:
        """A problem with its file, line and key, its words such as a terminal may be given."""
        path, said = problem.path, printable(problem.message)
        name = str(path[1]) if len(path) > 2 and path[0] == "drivers" else None
        if name in self._files and self._stands_in_file(name, path):
            line = line_of(self._file_lines[name], path[2:])
            # In a driver file the driver's keys stand at the top.
            message = said.replace(f"[drivers.{short_name(name)}.", "[")
            return Fault(message, self._files[name].path, line, key_text(path[2:]))
        return Fault(said, self._case, line_of(self._lines, path), key_text(path))

    def _stands_in_file(self, name: str, path: Path) -> bool:
        """Whether a driver's key comes from its file; a missing one is its table's."""
        if path[2] in OF_THE_CASE:
            return False
        places = [path[:4], path[:3]] if path[2] in MERGED else [path[:3]]
        for place in places:
            if place in self._lines:
                return False
            if place[2:] in self._file_lines[name]:
                return True
        return False


def _named(data: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Drivers and the files they name; what is wrong with the tables is told elsewhere."""
    drivers = data.get("drivers")
    if not isinstance(drivers, dict) or len(drivers) > MOST_DRIVERS:
        return
    for name, driver in drivers.items():
        if isinstance(driver, dict) and "file" in driver:
            try:
                yield name, FILE_NAME.read(driver["file"])
            except UnitError:
                continue


def at_the_case(case: pathlib.Path, text: str, path: Path, fault: Fault) -> Fault:
    """A fault of another file as a whole, told where the case names it."""
    if fault.line is not None:
        return fault
    message = f"{fault.file}: {fault.message}"
    return Fault(message, str(case), line_of(line_index(text), path), key_text(path))


def _data_of(file: DriverFile) -> dict[str, Any]:
    return data_of(pathlib.Path(file.path), file.text, DRIVER_FILE)
