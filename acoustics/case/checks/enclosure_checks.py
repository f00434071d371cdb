"""Checks of the enclosures: their drivers, openings, volumes, tunings and lengths."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np

from acoustics.cabinet.names import face_words
from acoustics.case.checks.brace_checks import duct_problems
from acoustics.case.checks.opening_checks import opening_problems
from acoustics.case.checks.outside import Outside
from acoustics.case.checks.structure_sound import sound_braces, sound_shell
from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.case.geometry.brace_solids import volumes_taken
from acoustics.case.geometry.mouths import port_mouth
from acoustics.case.geometry.shell import Shell
from acoustics.case.messages.faults import Problem
from acoustics.case.objects.enclosures_of import EnclosureError, enclosure_of
from acoustics.case.tables.enclosure_tables import MOST_ENCLOSURES, EnclosureTable
from acoustics.case.tables.sound import Values, sound_values
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import in_unit
from acoustics.conventions import air_at

INSIDE_SLACK = 0.01
"""share of the cabinet's inside by which stated volumes may exceed it: they are rounded"""

BRACES_SLACK = 0.05
"""share by which a stated volume of braces may differ from that of the braces themselves"""

ROOM_TEMPERATURE = 293.15
"""K, where the file's own temperature is at fault"""


def enclosure_problems(
    outside: Outside,
    raw: object,
    drivers: Mapping[str, Values],
    others: Mapping[str, Values],
    faulty: list[Path],
) -> Iterator[Problem]:
    """What is wrong with the enclosures beyond their own tables.

    `raw` is [enclosures] as it stands in the file; `drivers` have the names of their faces;
    `others` holds the sound values of [air], [floor] and [structure].
    """
    structure = others.get("structure", {})
    shell = sound_shell(outside, structure)
    if shell is not None and shell.inside == 0:
        thick = f"walls of {in_unit(shell.wall or 0.0, 'mm')}"
        yield Problem(
            ("structure", "walls") if shell.own else ("cabinet", "wall_thickness"),
            f"{thick if not shell.own else 'walls as thick as that'} leave no room inside the "
            "cabinet; take thinner ones or a larger cabinet",
        )
        shell = None
    if not isinstance(raw, dict) or not raw or len(raw) > MOST_ENCLOSURES:
        return
    if outside.shape == "plate":
        yield Problem(
            ("enclosures",),
            "a plate is an open baffle and has no enclosure; take the enclosures out, or give the "
            "cabinet another shape",
        )
        return
    tables = {
        name: sound_values(EnclosureTable, table, ("enclosures", name), faulty)
        for name, table in raw.items()
    }
    yield from _driver_problems(tables, drivers)
    problems = list(opening_problems(outside, tables, drivers, others.get("floor", {})))
    yield from problems
    if shell is None:
        return
    displaced = {name: driver.get("displaced_volume") for name, driver in drivers.items()}
    air = air_at(others.get("air", {}).get("temperature", ROOM_TEMPERATURE))
    braces = [] if shell.wall is None else [*sound_braces(shell, structure)]
    taken = volumes_taken(shell, [brace for _, brace in braces], [*tables])
    built = []
    for name, values in tables.items():
        at: Path = ("enclosures", name)
        wrong = any(problem.path[:2] == at for problem in problems)
        if wrong or values.keys() != EnclosureTable.model_fields.keys():
            continue
        yield from _stated_braces(at, values["braces"], taken[name])
        try:
            enclosure = enclosure_of(name, values, displaced, shell, air, taken[name])
        except EnclosureError as error:
            yield Problem((*at, *error.keys), str(error))
            continue
        built.append(enclosure)
        for port in enclosure.ports:
            yield from _duct_problems(shell, enclosure, port)
            yield from duct_problems(shell, enclosure, port, braces)
    yield from _volume_problems(shell, tables, built)


def _stated_braces(at: Path, stated: float | None, computed: float) -> Iterator[Problem]:
    """A volume of braces that is not that of the braces in [structure]."""
    if stated and computed and abs(stated - computed) > BRACES_SLACK * computed:
        yield Problem(
            (*at, "braces"),
            f"{in_unit(stated, 'l', digits=3)} are stated, and the braces of [structure] take "
            f"{in_unit(computed, 'l', digits=3)}; leave the key out, or change the braces",
        )


def _driver_problems(
    tables: Mapping[str, Values], drivers: Mapping[str, Values]
) -> Iterator[Problem]:
    """Drivers that are not there, or in two enclosures."""
    owners: dict[str, str] = {}
    for enclosure, values in tables.items():
        for index, name in enumerate(values.get("drivers", ())):
            at: Path = ("enclosures", enclosure, "drivers", index)
            if drivers and name not in drivers:
                yield Problem(
                    at, f"there is no driver '{short_name(name)}'; {choice(drivers, name)}"
                )
            elif name in owners:
                yield Problem(
                    at,
                    f"'{name}' is in the enclosure '{owners[name]}' already; a driver is in one of "
                    "them",
                )
            owners.setdefault(name, enclosure)


def _volume_problems(
    shell: Shell, tables: Mapping[str, Values], built: list[Enclosure]
) -> Iterator[Problem]:
    """Enclosures that do not fit into the cabinet, each alone, else all together."""
    if shell.inside is None:
        return
    most = shell.inside * (1 + INSIDE_SLACK)
    inside = in_unit(shell.inside, "l", digits=3)
    large = [enclosure for enclosure in built if enclosure.gross > most]
    for enclosure in large:
        taken = enclosure.gross - enclosure.volume
        left = math.floor((shell.inside - taken) * 1e4) / 10
        write = f'write at most "{left:g} l", or ' if left > 0 else "put less into it, or "
        yield Problem(
            ("enclosures", enclosure.name, "volume"),
            f"{in_unit(enclosure.volume, 'l', digits=3)} of air and "
            f"{in_unit(taken, 'l', digits=3)} taken by what is in it do not fit into the cabinet, "
            f"which has {inside} inside; {write}take a larger cabinet",
        )
    if large:
        return
    shares = [name for name, values in tables.items() if values.get("volume", 0.0) is None]
    total = sum(enclosure.gross for enclosure in built)
    if total <= most:
        return
    figures = ", ".join(f"{each.name} {in_unit(each.gross, 'l', digits=3)}" for each in built)
    yield Problem(
        ("enclosures", shares[-1], "share") if shares else ("enclosures", built[-1].name, "volume"),
        f"together the enclosures ({figures}) are larger than the cabinet's inside of {inside}; "
        + ("write shares that come to 1 at most" if shares else "make them smaller"),
    )


def _duct_problems(shell: Shell, enclosure: Enclosure, port: Port) -> Iterator[Problem]:
    """A duct that does not fit behind its mouth."""
    at: Path = ("enclosures", enclosure.name, "ports", port.name)
    wall = shell.wall_behind(port.face)
    if port.length < wall * (1 - 1e-9):
        yield Problem(
            (*at, "length"),
            f"the duct ({in_unit(port.length, 'mm')}) is shorter than the wall it goes through "
            f"({in_unit(wall, 'mm')}), which its length includes; write at least that",
        )
        return
    depth = float(shell.depths(port.face, port_mouth(port).rim).min())
    if np.isnan(depth):
        yield Problem(
            (*at, "position"),
            f"behind the {face_words(port.face)} the duct runs into a wall of the cabinet "
            f"({in_unit(shell.wall or 0.0, 'mm')} thick); move it away from the edge",
        )
        return
    room = min(port.size) / 2
    if port.length > depth - room + 1e-9:
        most = in_unit(max(depth - room, 0.0), "mm", digits=3)
        yield Problem(
            (*at, "length"),
            f"the duct takes a length of {in_unit(port.length, 'mm', digits=4)}, and behind its "
            f"mouth there is room for {most}: {in_unit(depth, 'mm', digits=3)} to the opposite "
            f"wall less {in_unit(room, 'mm', digits=3)} for its inner end. Bends are not modelled: "
            "take a port of less area, a higher tuning or more volume, or a face with more room "
            "behind it",
        )
