"""Checks of [tolerance] against the case: keys, units, and values that stray too far."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from acoustics.case.checks.network_checks import PASSIVE
from acoustics.case.messages.faults import Problem
from acoustics.case.messages.sweep_paths import UnknownKeyError, path_to, value_at
from acoustics.case.messages.why_not import why_not
from acoustics.case.objects.spreads import PARAMETERS
from acoustics.case.tables.sound import Values, sound_entries, sound_values
from acoustics.case.tables.tolerance_table import SpreadTable, ToleranceTable
from acoustics.case.text.lines import Path
from acoustics.case.text.shown import short_name, shortened
from acoustics.case.text.units import SHARE, TEMPERATURE, Amount, UnitError, amount, parse
from acoustics.case.text.written import as_written

AT: Path = ("tolerance",)
NOT_BUILT = ("frequencies", "arcs", "solver")
"""Tables of which nothing is built, so that nothing can stray."""

DIGITS = 9
"""to which the ends of a spread are told"""

COMPONENTS = ("inductor", "capacitor", "second_capacitor", "resistor", "second_resistor")
"""What a part of a passive crossover may be."""


MOST_TRIED = 60
"""keys of which it is tried how far they may stray: places of two dozen drivers, ears and seat; and
wrong keys beside which none is tried, as each trial reads a whole table"""


def tolerance_problems(
    data: Mapping[str, Any], drivers: Mapping[str, Values], faulty: list[Path]
) -> Iterator[Problem]:
    """What is wrong with spreads that by themselves are in order.

    Args:
        data: the whole case as TOML gives it.
        drivers: the sound values of its drivers.
        faulty: keys that are wrong themselves.
    """
    raw = data.get("tolerance")
    if not isinstance(raw, dict):
        return
    table = sound_values(ToleranceTable, raw, AT, faulty)
    case = {key: value for key, value in data.items() if key != "tolerance"}
    taken = dict[str, str]()
    told = set[str]()
    for number, (here, key) in enumerate(_shorthands(table, case)):
        taken[key] = here
        wrong: list[Problem] = []
        if here not in told and number < MOST_TRIED and len(faulty) < MOST_TRIED:
            wrong = list(_too_far(case, key, table[here], (*AT, here), faulty))
        told |= {here} if wrong else set()
        yield from wrong
    taken |= {key: "parts" for key in _part_keys(case) if table.get("parts") is not None}
    taken |= {
        f"drivers.{name}.small_signal.{parameter}": f"drivers.{parameter}"
        for parameter in PARAMETERS
        for name in drivers
        if getattr(table.get("drivers"), parameter, None) is not None
    }
    yield from _nothing_there(table, case, drivers, faulty)
    names = set[str]()
    for path, each in sound_entries(SpreadTable, raw.get("spreads"), (*AT, "spreads")):
        keys: list[tuple[str, Path]] = [(each.key, (*path, "key"))]
        keys += [(key, (*path, "also", i)) for i, key in enumerate(each.also or ())]
        name = each.name or each.key
        if name in names and each.key not in taken:
            yield Problem((*path, "name"), f"'{short_name(name)}' is taken; call it otherwise")
        names.add(name)
        written = raw["spreads"][path[-1]]["within"]
        for key, at in keys:
            if key in taken:
                instead = f", by tolerance.{taken[key]}" if taken[key] else ""
                yield Problem(
                    at, f"'{short_name(key)}' strays already{instead}; keep one of the two"
                )
                continue
            taken[key] = ""
            yield from _key_problems(case, key, at, path, each.within, written, faulty)


def _shorthands(table: Values, case: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Keys of the table, and what strays by them: keys of the case that have units."""
    if table.get("positions") is not None:
        for name in _names(case, "drivers"):
            yield "positions", f"drivers.{name}.position.1"
            yield "positions", f"drivers.{name}.position.2"
    seat = case.get("seat")
    ears = seat.get("ear_heights") if isinstance(seat, dict) else None
    if table.get("ear_height") is not None and isinstance(ears, list):
        yield from (("ear_height", f"seat.ear_heights.{i + 1}") for i in range(len(ears)))
    if table.get("distance") is not None:
        yield "distance", "seat.distance"
    if table.get("temperature") is not None:
        yield "temperature", "air.temperature"


def _names(case: Mapping[str, Any], table: str) -> list[str]:
    there = case.get(table)
    return list(there) if isinstance(there, dict) else []


def _part_keys(case: Mapping[str, Any]) -> Iterator[str]:
    """Every value of a part of the passive crossover, by its path."""
    for name in _names(case, "crossover"):
        branch = case["crossover"][name]
        passive = isinstance(branch, dict) and branch.get("slopes") == PASSIVE
        parts = branch.get("parts") if passive else None
        for index, part in enumerate(parts if isinstance(parts, list) else ()):
            for key in COMPONENTS:
                if isinstance(part, dict) and key in part:
                    yield f"crossover.{name}.parts.{index + 1}.{key}"


def _nothing_there(
    table: Values, case: Mapping[str, Any], drivers: Mapping[str, Values], faulty: list[Path]
) -> Iterator[Problem]:
    """Spreads of parts or parameters where no driver has any."""
    wrong = any(path[0] in ("crossover", "drivers") for path in faulty)
    if table.get("parts") is not None and not wrong and not any(_part_keys(case)):
        yield Problem(
            (*AT, "parts"),
            "no driver has a passive crossover with parts that could stray; leave the key out, or "
            "use levels for drivers with amplifiers of their own",
        )
    stated = [key for key in PARAMETERS if getattr(table.get("drivers"), key, None) is not None]
    # Of keys that are wrong themselves nothing is there.
    if drivers and all(driver.get("small_signal", 0) is None for driver in drivers.values()):
        for key in stated:
            yield Problem(
                (*AT, "drivers", key),
                "no driver has small-signal parameters; add a table "
                f"[drivers.{short_name(next(iter(drivers)))}.small_signal], or leave the key out",
            )


def _key_problems(
    case: dict[str, Any],
    key: str,
    at: Path,
    path: Path,
    within: Amount,
    written: object,
    faulty: Collection[Path],
) -> Iterator[Problem]:
    """A key, written at `at`, that is none or cannot stray, and a spread that does not suit it."""
    if key.split(".")[0] in NOT_BUILT:
        yield Problem(
            at,
            f"'{short_name(key)}' is nothing that is built; name a key of the cabinet, the "
            "drivers, the crossover, the seat or the room",
        )
        return
    try:
        where, node = path_to(key, case)
    except UnknownKeyError as error:
        yield Problem(at, str(error))
        return
    if node.get("type") == "integer":
        yield Problem(at, f"'{short_name(key)}' is a count and cannot stray; name another key")
        return
    there = value_at(case, where, node)
    if there is None:
        yield Problem(
            at,
            f"'{short_name(key)}' has no value in this design from which it could stray; write it "
            "into its table first",
        )
    if there is None or where in faulty:
        return
    value, at = amount(there), (*path, "within")
    reason = _misfit(key, node, value, within, written)
    if reason:
        yield Problem(at, reason)
        return
    relative = within.dimension is SHARE
    reach = abs(value.value) * within.value if relative else within.interval
    yield from _too_far(case, key, float(reach), at, faulty)


def _misfit(
    key: str, node: Mapping[str, Any], value: Amount, within: Amount, written: object
) -> str:
    """Why a spread is none of a key: its unit, or per cent of nothing; empty if it is one."""
    name, dimension = short_name(key), value.dimension
    decibels = node.get("$comment", "") if dimension is None else ""
    no_share = dimension is TEMPERATURE or decibels.startswith("dB")
    if within.dimension is SHARE and no_share:
        unit = decibels or "K"
        example = "a bare number, such as 0.5" if decibels else '"5 K"'
        return f"'{name}' is in {unit}, of which per cent mean nothing; write {example}"
    if within.dimension is SHARE:
        if value.value != 0:
            return ""
        like = "a bare number" if dimension is None else f"a number with {dimension.choice}"
        return f"'{name}' is 0, and {shortened(written)} of that is nothing; write {like}"
    share = "" if no_share else ', or a share of it such as "5 %"'
    if dimension is None and within.dimension is not None:
        return (
            f"'{name}' is a bare number, and {shortened(written)} has a unit; write a bare number "
            f"without quotes{share}"
        )
    if dimension is not None and within.dimension is not dimension:
        try:
            parse(written, dimension)
        except UnitError as error:
            return f"{error}{share}"
    return ""


def _too_far(
    case: dict[str, Any], key: str, reach: float, at: Path, faulty: Collection[Path]
) -> Iterator[Problem]:
    """Builds that could not be: whose value the key cannot have."""
    try:
        where, node = path_to(key, case)
    except UnknownKeyError:
        return  # told there
    there = value_at(case, where, node)
    if there is None or where in faulty:
        return
    try:
        value = amount(there)
    except UnitError:
        return  # likewise
    for end in (float(value.value) - reach, float(value.value) + reach):
        written = as_written(float(f"{end:.{DIGITS}g}"), value.dimension)
        if reason := why_not(case, key, where, written):
            yield Problem(
                at,
                f"some builds would have a '{short_name(key)}' that cannot be: {reason}; write a "
                "smaller spread",
            )
            return
