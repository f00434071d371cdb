"""Files of numbers that a case names, such as impulse responses: their texts, read once."""

from __future__ import annotations

import pathlib
from collections.abc import Iterator
from typing import Any

from acoustics.case.design.files_model import FileText
from acoustics.case.files.driver_files import at_the_case
from acoustics.case.tables.fields import FILE_NAME
from acoustics.case.text.lines import Path
from acoustics.case.text.toml_text import FileKind, text_of
from acoustics.case.text.units import UnitError
from acoustics.conventions import CaseError, Fault

KINDS: dict[str, FileKind] = {
    "taps_file": FileKind(
        "file of taps",
        "give a text file with one number a line, its path counted from the case file's folder",
        "write one number a line",
    ),
}
"""By the key that names them, wherever it stands."""


def file_texts(case: pathlib.Path, text: str, data: dict[str, Any]) -> tuple[FileText, ...]:
    """The files of numbers that a case names, each once.

    Args:
        case: the case file, from whose folder paths are counted.
        text: of the case file.
        data: what TOML makes of it.

    Raises:
        CaseError: what is wrong with them as files, all of them at once.
    """
    found, faults = dict[tuple[str, str], FileText](), list[Fault]()
    for path, key, name in _named(data, ()):
        if (key, name) in found:
            continue
        file = case.parent / name
        try:
            found[key, name] = FileText(key, name, str(file), text_of(file, KINDS[key]))
        except CaseError as error:
            faults += [at_the_case(case, text, path, fault) for fault in error.faults]
    if faults:
        raise CaseError(list(dict.fromkeys(faults)))
    return tuple(found.values())


def _named(here: object, path: Path) -> Iterator[tuple[Path, str, str]]:
    """Where files are named, by which key, and their names; what is wrong is told elsewhere."""
    if isinstance(here, list):
        for index, entry in enumerate(here):
            yield from _named(entry, (*path, index))
    for key, value in here.items() if isinstance(here, dict) else ():
        if key in KINDS and isinstance(value, str):
            try:
                yield (*path, key), key, FILE_NAME.read(value)
            except UnitError:
                continue
        else:
            yield from _named(value, (*path, key))
