"""The text of a case with other values or another crossover, comments kept."""

from __future__ import annotations

import pathlib
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.items import Array, InlineTable, Table

from acoustics.case.design.network_model import Element
from acoustics.case.design.place_model import Treatment
from acoustics.case.tables.cabinet_table import EDGES
from acoustics.case.tables.edge_tables import edge_tables
from acoustics.case.text.led_on import led_on_text
from acoustics.case.text.toml_put import (
    add_key,
    before_the_next,
    put_value,
    take_entry_out,
    take_out,
)

REMOVED = ("sweep",)
"""Tables that are laid round the design that was."""

_DIGITS = 3
"""of a coil's resistance and the like: nobody knows them better"""


def with_passive_crossover(
    text: str,
    ladders: Mapping[str, Sequence[Element]],
    inverted: Mapping[str, bool],
    title: str,
    folders: tuple[pathlib.Path, pathlib.Path],
) -> str:
    """A case file's text with other passive branches, a title of its own, and paths that lead on.

    Args:
        text: of the case file.
        ladders: by driver, the elements from the amplifier on.
        inverted: by driver, whether its branch turns the polarity round.
        title: of the new case.
        folders: of the case file and of the new one.
    """
    document = _begun(text, title)
    _forget(document, "crossover")
    for key in ("corners", "delays"):  # of the crossover that was
        take_out(document.get("place"), key)
    if "crossover" not in document:
        document["crossover"] = tomlkit.table(is_super_table=True)
    crossover: Any = document["crossover"]
    for driver, ladder in ladders.items():
        branch = _branch(ladder, inverted[driver])
        for item in before_the_next(crossover.get(driver)):
            branch.add(item)
        crossover[driver] = branch
    return led_on_text(document, *folders)


def with_values(
    text: str,
    values: Mapping[str, str | float],
    title: str,
    folders: tuple[pathlib.Path, pathlib.Path],
    *,
    edges: Treatment | None = None,
) -> str:
    """A case file's text with other values, a title of its own, and paths that lead on.

    A sweep is left out, as it was laid round the design that was; [place] and [tolerance] stay,
    but for what strays of edges that are replaced.

    Args:
        text: of the case file.
        values: path of a key, as messages write it → value as it is to stand in the file. Tables
            are made where they are missing; so a key that stands in a driver's file goes into the
            case, which overrules the file.
        title: of the new case.
        folders: of the case file and of the new one.
        edges: in place of the cabinet's rounds and chamfers, None to leave them.

    Raises:
        RoundoverError: an entry of a list that the file does not have.
    """
    document = _begun(text, title)
    named: Any = document["title"]
    if not named.trivia.comment:
        named.comment("with other values; comments may tell of those before")
    _put(document, values, edges)
    return led_on_text(document, *folders)


def edited_text(
    text: str, values: Mapping[str, str | float], *, edges: Treatment | None = None
) -> str:
    """A case file's text with other values in the place where it is: it stays the same design.

    As `with_values`, but title, sweep and paths stay.
    """
    document = tomlkit.parse(text)
    _put(document, values, edges)
    return tomlkit.dumps(document)


def _put(
    document: tomlkit.TOMLDocument, values: Mapping[str, str | float], edges: Treatment | None
) -> None:
    for key, value in values.items():
        put_value(document, key, value)
    if edges is not None:
        for key in EDGES:
            _forget(document, f"cabinet.{key}")
        _treat(document["cabinet"], edges)


def _begun(text: str, title: str) -> tomlkit.TOMLDocument:
    """The file with a title of its own, without what names the design that was."""
    document = tomlkit.parse(text)
    document["title"] = title
    for name in REMOVED:
        take_out(document, name)
    return document


def _forget(document: Any, below: str) -> None:
    """Take out the spreads of keys below one, which are not there any more."""
    tolerance = document.get("tolerance", {})
    spreads = tolerance.get("spreads", [])

    def stays(spread: Any) -> bool:
        keys = [spread["key"], *spread.get("also", ())]
        return not any(key == below or key.startswith(f"{below}.") for key in keys)

    if not any(map(stays, spreads)):
        take_out(tolerance, "spreads")
        return
    for index in reversed(range(len(spreads))):
        if not stays(spreads[index]):
            take_entry_out(spreads, index)


def _treat(cabinet: Any, edges: Treatment) -> None:
    """Write edges into the table of the cabinet, in place of those it has."""
    for key in EDGES:
        take_out(cabinet, key)
    for key, tables in edge_tables(edges).items():
        if tables:
            listed: Array = tomlkit.array()
            for each in tables:
                table = tomlkit.inline_table()
                table.update(each)
                listed.append(table)
            add_key(cabinet, key, listed.multiline(True))


def _branch(ladder: Sequence[Element], inverted: bool) -> Table:
    table = tomlkit.table()
    table.add(tomlkit.comment("Fitted; a comment above may tell of what was here before."))
    table["slopes"] = "passive"
    table["polarity"] = "inverted" if inverted else "normal"
    parts: Array = tomlkit.array()
    for element in ladder:
        parts.append(_part(element))
    table["parts"] = parts.multiline(True)
    return table


def _part(element: Element) -> InlineTable:
    """An element as it is written in a list of parts."""
    part = tomlkit.inline_table()
    if element.place is not None:
        part["place"] = element.place
    if element.between is not None:
        part["between"] = list(element.between)
    for key, factor, unit in (
        ("inductor", 1e3, "mH"),
        ("capacitor", 1e6, "uF"),
        ("second_capacitor", 1e6, "uF"),
        ("resistor", 1.0, "ohm"),
        ("second_resistor", 1.0, "ohm"),
    ):
        value = getattr(element, key)
        if value is not None:
            part[key] = f"{factor * value:.6g} {unit}"
    if element.resistance:
        part["resistance"] = f"{element.resistance:.{_DIGITS}g} ohm"
    if element.core_resistance is not None:
        part["core_resistance"] = f"{element.core_resistance:.6g} ohm"
    if element.joined != "one after the other":
        part["joined"] = element.joined
    if element.name:
        part["name"] = element.name
    return part
