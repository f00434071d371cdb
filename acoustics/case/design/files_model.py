"""The texts of the files that a case names besides itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class DriverFile:
    """A file that a case names for a `driver`: its path, and its text."""

    driver: str
    path: str
    text: str


@dataclass(frozen=True)
class FileText:
    """A file of numbers that a case names: by which key and name, its path, and its text."""

    key: str
    name: str
    path: str
    text: str


@dataclass(frozen=True)
class OtherFiles:
    """The texts of all files that a case names.

    Of drivers, of their impedances, of numbers, and of drivers' measured responses.
    """

    drivers: tuple[DriverFile, ...] = ()
    impedances: tuple[DriverFile, ...] = ()
    numbers: tuple[FileText, ...] = ()
    responses: tuple[DriverFile, ...] = ()


NO_FILES = OtherFiles()


@dataclass(frozen=True)
class CaseText:
    """What a case was read from, so that it can be varied where the files are not.

    `case` is the text of its file, `others` are those of the files it names. `changes` are what
    the case has in other values than these: paths of keys and values, as they would stand in the
    file.
    """

    case: str
    others: OtherFiles = NO_FILES
    changes: tuple[tuple[str, Any], ...] = ()
