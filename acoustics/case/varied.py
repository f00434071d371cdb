"""A case with some of its keys changed, through the reading that the file went through."""

from __future__ import annotations

import pathlib
import tomllib
from collections.abc import Mapping

from acoustics.case.driver_files import merged
from acoustics.case.model import Case
from acoustics.case.read import checked_case
from acoustics.case.sweep_paths import put


def varied_case(case: Case, changes: Mapping[str, float | int | str]) -> Case:
    """The case of the same file with other values.

    Args:
        case: with a sweep, which holds its text and those of the files it names.
        changes: path of a key, as messages write it → value as it would stand in the file.

    Raises:
        CaseError: what `read_case` would find wrong with that file.
    """
    assert case.sweep is not None
    text, others = case.sweep.text, case.sweep.files
    data = merged(tomllib.loads(text), others.drivers)
    data.pop("sweep", None)
    for key, value in changes.items():
        put(data, key, value)
    return checked_case(pathlib.Path(case.path), text, data, others)
