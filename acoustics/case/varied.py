"""A case with some of its keys changed, through the reading that the file went through."""

from __future__ import annotations

import pathlib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from acoustics.case.build import digest
from acoustics.case.design.model import Case
from acoustics.case.files.driver_files import merged
from acoustics.case.messages.sweep_paths import put
from acoustics.case.read import checked_case

Value = float | int | str | list[dict[str, Any]]
"""as it would stand in the file: of one key, or the tables of a list"""

ABOUT_THE_CASE = ("sweep", "place", "tolerance")
"""Tables that ask for variations of the case, and are no part of these."""


def varied_case(
    case: Case, changes: Mapping[str, Value], without: Iterable[tuple[str, str]] = ()
) -> Case:
    """The case of the same file with other values.

    Args:
        case: read from a file, whose text and those of the files it names it holds; or such a case
            varied, whose changes then hold too.
        changes: path of a key, as messages write it → value as it would stand in the file.
        without: keys that are left out, as (enclosure, key of its table); a case varied further
            has them again.

    Returns:
        The case. Drivers that were measured were so in the case as it stands in the file, which
        the variation then knows as `measured_in`.

    Raises:
        CaseError: what `read_case` would find wrong with that file.
    """
    written = case.text
    assert written is not None
    changed = {**dict(written.changes), **changes}
    data = values_with(case, changed)
    for enclosure, key in without:
        data["enclosures"][enclosure].pop(key, None)
    varied = checked_case(pathlib.Path(case.path), written.case, data, written.others)
    varied = replace(varied, text=replace(written, changes=tuple(changed.items())))
    return with_home(varied, case.measured_in or case)


def values_with(case: Case, changes: Mapping[str, Value]) -> dict[str, Any]:
    """What TOML makes of a case's file and of driver files, some keys having other values."""
    assert case.text is not None
    data = merged(tomllib.loads(case.text.case), case.text.others.drivers)
    for table in ABOUT_THE_CASE:
        data.pop(table, None)
    for key, value in changes.items():
        put(data, key, value)
    return data


def with_home(varied: Case, case: Case) -> Case:
    """A variation that knows where its drivers were measured: in the design it varies.

    That design is the variation itself where nothing differs that the measurement rests on.
    """
    heard = {driver.name: driver.measured for driver in varied.drivers}
    if not any(heard.values()) or _ground(varied) == _ground(case):
        return varied
    # What a table means may be swept too, as the distance of its microphone.
    drivers = tuple(replace(each, measured=heard.get(each.name)) for each in case.drivers)
    home = replace(home_of(case), drivers=drivers)
    found = replace(varied, measured_in=home)
    return replace(found, digest=digest(found))


def home_of(case: Case) -> Case:
    """A case as the design in which drivers were measured: without what it is called or asked."""
    return replace(
        case,
        title="",
        note="",
        path="",
        digest="",
        aims=(),
        sweep=None,
        brief=None,
        fit=None,
        place=None,
        tolerance=None,
        verification=None,
        structure=None,
        text=None,
        warnings=(),
    )


def _ground(case: Case) -> tuple[object, ...]:
    """What the field at a microphone and the model of a driver rest on."""
    drivers = tuple(replace(driver, inverted=False, measured=None) for driver in case.drivers)
    return case.cabinet, drivers, case.enclosures, case.air, case.reference.point
