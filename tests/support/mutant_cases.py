"""Designs whose data are changed with knowledge of what stands where: units, choices, names."""

from __future__ import annotations

import copy
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, datetime, time
from random import Random
from typing import Any, NamedTuple

from acoustics.case.messages.schema import case_schema, resolved
from support.mutant_toml import Verbatim

UNITS = (
    "mm", "m", "in", "km", "Hz", "kHz", "us", "ms", "s", "degC", "K", "degF", "deg", "rad", "GiB",
    "kPa s/m2", "l", "ml", "cm3", "cm2", "g", "kg", "oz", "mm/N", "T m", "T*m", "N/A", "ohm",
    "kohm", "uF", "mH", "V", "W", "GPa", "kg/m3", "%", "dB", "N/m", "", "mm mm", "m/0", "/", "ｍm",
)  # fmt: skip
AMOUNTS = (
    "0", "-0", "1e-400", "1e-300", "1e308", "1e999", "-1e308", "1e99999999", "nan", "inf", "-inf",
    "9" * 500, "0." + "0" * 5000 + "1", "1,5", "1.2.3", "1_0", "0x10", "٣", "½", "++1", "1e", "",
)  # fmt: skip
TEXTS = (
    "", " ", "\0", "\n", "\x1b[31mred", "\x7f", "\u202egnp", "\u2028", "\ufeff", "🔊" * 40,
    "x" * 5000, "x" * 200_000, "%s%n", "{0.__class__}", "\ud800", "nan", "0 mm", "mirrored pair",
    "front", "rear", "tweeter", "woofer", "passive", "acoustic", "box", "plate", "corners",
)  # fmt: skip
PATHS = (
    "/etc/passwd", "../../../etc/passwd", "..", ".", "/", "~", "/dev/zero", "/dev/stdin",
    "/proc/self/mem", "/dev/full", "case.toml", "a/" * 3000, "x" * 300, "con", "a\0b", "file://x",
    "C:\\x", "//host/x", "-", "pipe", "loop", "folder", "",
)  # fmt: skip
VALUES: tuple[Any, ...] = (
    0, 1, -1, 2, 3, 10**30, 2**63, 10**400, 0.0, -0.0, 1e-320, 1e308, -1e308, math.nan, math.inf,
    -math.inf, True, False, date(2024, 2, 29), time(7, 32), datetime(2024, 2, 29, 7, 32),
    [], {}, [[]], [{}], {"x": 1}, {"": {}}, [1, "a", None.__class__.__name__, {}],
    Verbatim("0x" + "f" * 20_000), Verbatim("9" * 5000), Verbatim("1e999999"), Verbatim("0o7_7"),
    Verbatim("1979-05-27T07:32:00.999999-23:59"), Verbatim("9999-12-31"), Verbatim("'''a\nb'''"),
    Verbatim("0001-01-01T00:00:00+14:00"), Verbatim("_1"), Verbatim("{ a = 1, a = 2 }"),
)  # fmt: skip
LENGTHS = (2, 10, 300, 3000)
DEPTHS = (3, 18, 21, 400, 3000)
_AMOUNT = re.compile(r"\s*[+-]?[\d.]+(?:[eE][+-]?\d+)?")
_FILES = (
    "file", "taps_file", "impedance", "response", "sweep_file", "calibration", "far", "near",
)  # fmt: skip

Path = tuple[str | int, ...]


class Place(NamedTuple):
    """What stands where in a design, and what the schema says of it."""

    holder: Any
    key: Any
    path: Path
    schema: Mapping[str, Any]

    @property
    def value(self) -> Any:
        return self.holder[self.key]

    def put(self, value: Any) -> None:
        self.holder[self.key] = value


def edited(data: Mapping[str, Any], others: Sequence[Mapping[str, Any]], rng: Random) -> Any:
    """A design with one to four edits; `others` are designs from which values may be taken."""
    design = copy.deepcopy(dict(data))
    for _ in range(rng.choice((1, 1, 1, 2, 2, 3, 4))):
        places = list(_places(design, resolved(case_schema())))
        if not places:
            break
        rng.choice(_EDITS)(places, others, rng)
    return design


def _places(value: Any, schema: Mapping[str, Any], path: Path = ()) -> Iterator[Place]:
    """Everything inside `value`."""
    if not isinstance(value, dict | list):
        return
    for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
        below = _below(schema, key, inner)
        yield Place(value, key, (*path, key), below)
        yield from _places(inner, below, (*path, key))


def _below(schema: Mapping[str, Any], key: str | int, inner: Any) -> Mapping[str, Any]:
    if isinstance(key, int):
        node = schema.get("items", {})
    else:
        node = schema.get("properties", {}).get(key, schema.get("additionalProperties"))
    if not isinstance(node, dict):
        return {}
    node = resolved(node)
    if "discriminator" in node and isinstance(inner, dict):
        known = node["discriminator"]["mapping"]
        name = inner.get(node["discriminator"]["propertyName"])
        node = resolved({"$ref": known[name if name in list(known) else next(iter(known))]})
    return node


Edit = Callable[[list[Place], Sequence[Mapping[str, Any]], Random], None]


def _any_value(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    rng.choice(places).put(copy.deepcopy(rng.choice(VALUES)))


def _other_amount(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    """A quantity or number of another size; often still a value that the range allows."""
    numbers = [place for place in places if _size(place.value) is not None]
    if not numbers:
        return
    place = rng.choice(numbers)
    value, factor = (
        place.value,
        10 ** rng.uniform(-1, 1) if rng.random() < 0.6 else 10 ** rng.uniform(-9, 9),
    )
    sign = rng.choice((1, 1, 1, -1))
    if isinstance(value, str):
        unit = _AMOUNT.sub("", value, count=1)
        place.put(f"{sign * factor * (_size(value) or 1.0):.6g}{unit}")
    elif isinstance(value, int):
        place.put(value + rng.choice((-3, -2, -1, 1, 2, 5, 100, 10_000)))
    else:
        place.put(sign * factor * value)


def _hard_quantity(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    """A hard amount, or the amount with a unit that is another one or none."""
    texts = [
        place for place in places if isinstance(place.value, str) and _size(place.value) is not None
    ]
    if not texts:
        return
    place = rng.choice(texts)
    if rng.random() < 0.5:
        place.put(rng.choice(AMOUNTS) + _AMOUNT.sub("", place.value, count=1))
    else:
        amount = _AMOUNT.match(place.value)
        assert amount is not None
        place.put(f"{amount[0]}{rng.choice((' ', ' ', '', '  ', chr(160)))}{rng.choice(UNITS)}")


def _other_text(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    texts = [place for place in places if isinstance(place.value, str)]
    if texts:
        place = rng.choice(texts)
        choices = place.schema.get("enum")
        place.put(rng.choice(choices if choices and rng.random() < 0.7 else TEXTS))


def _other_file(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    files = [place for place in places if place.key in _FILES and isinstance(place.value, str)]
    if files:
        rng.choice(files).put(rng.choice(PATHS))


def _left_out(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    place = rng.choice(places)
    del place.holder[place.key]


def _renamed(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    """A key, often a driver's or an enclosure's name, under another name."""
    keys = [place for place in places if isinstance(place.key, str)]
    named = [
        place for place in keys if "additionalProperties" in place.schema or len(place.path) == 2
    ]
    if not keys:
        return
    place = rng.choice(named or keys) if rng.random() < 0.5 else rng.choice(keys)
    letters = list(place.key)
    rng.shuffle(letters)
    new = rng.choice((place.key[:-1], place.key + "s", "".join(letters), *TEXTS, *PATHS))
    place.holder[new] = place.holder.pop(place.key)


def _key_added(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    """A key that is known there, with an example of the schema, or one that is not."""
    tables = [place for place in places if isinstance(place.value, dict)]
    if not tables:
        return
    place = rng.choice(tables)
    missing = [key for key in place.schema.get("properties", {}) if key not in place.value]
    if not missing or rng.random() < 0.1:
        place.value[rng.choice(TEXTS)] = rng.choice(VALUES)
        return
    key = rng.choice(missing)
    place.value[key] = _example(_below(place.schema, key, None), rng)


def _example(schema: Mapping[str, Any], rng: Random, depth: int = 0) -> Any:
    """A value that a part of the schema lets pass, more or less."""
    schema = resolved(dict(schema))
    if some := schema.get("examples") or schema.get("enum"):
        return copy.deepcopy(rng.choice(some))
    if "const" in schema or "default" in schema:
        return copy.deepcopy(schema.get("const", schema.get("default")))
    if "discriminator" in schema:
        mapping = schema["discriminator"]["mapping"]
        return _example({"$ref": mapping[rng.choice(list(mapping))]}, rng, depth)
    match schema.get("type"):
        case "object" if depth < 4:
            keys = schema.get("properties", {})
            needed = schema.get("required", [])
            taken = [key for key in keys if key in needed or rng.random() < 0.4]
            if not keys and isinstance(schema.get("additionalProperties"), dict):
                return {"woofer": _example(schema["additionalProperties"], rng, depth + 1)}
            return {key: _example(keys[key], rng, depth + 1) for key in taken}
        case "array":
            count = max(schema.get("minItems", 1), 1)
            return [_example(schema.get("items", {}), rng, depth + 1) for _ in range(count)]
        case "boolean":
            return rng.random() < 0.5
        case "integer" | "number":
            return rng.choice((0, 1, 2, 4, schema.get("minimum", 1), schema.get("maximum", 3)))
        case "string":
            return "woofer"
    return {}


def _borrowed(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    """What another design has under the same key, or under any."""
    place = rng.choice([place for place in places if isinstance(place.key, str)] or places)
    taken = list(_places(rng.choice(others), resolved(case_schema())))
    alike = [other for other in taken if other.key == place.key]
    source = rng.choice(alike or taken) if rng.random() < 0.85 else rng.choice(taken)
    place.put(copy.deepcopy(source.value))


def _table_borrowed(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    """A whole table of another design, beside or in place of the own one."""
    other = rng.choice(others)
    key = rng.choice(list(other))
    holder = next(place.holder for place in places if len(place.path) == 1)
    holder[key] = copy.deepcopy(other[key])


def _swapped(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    one, other = rng.choice(places), rng.choice(places)
    if one.path[: len(other.path)] != other.path and other.path[: len(one.path)] != one.path:
        first, second = one.value, other.value
        one.put(second)
        other.put(first)


def _many(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    """A list, or a table of tables by name, with far more in it."""
    lists = [place for place in places if isinstance(place.value, list | dict) and place.value]
    if not lists:
        return
    place = rng.choice(lists)
    count = rng.choice(LENGTHS)
    if isinstance(place.value, list):
        place.put([copy.deepcopy(rng.choice(place.value)) for _ in range(count)])
    else:
        some = rng.choice(list(place.value.values()))
        place.put({**place.value, **{f"n{number}": copy.deepcopy(some) for number in range(count)}})


def _nested(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    place, depth = rng.choice(places), rng.choice(DEPTHS)
    if depth > 100:
        place.put(Verbatim("[" * depth + "]" * depth))
        return
    value = place.value
    for _ in range(depth):
        value = [value] if rng.random() < 0.5 else {"x": value}
    place.put(value)


def _emptied(places: list[Place], others: Sequence[Mapping[str, Any]], rng: Random) -> None:
    lists = [place for place in places if isinstance(place.value, list | dict) and place.value]
    if lists:
        place = rng.choice(lists)
        place.put(type(place.value)() if isinstance(place.value, dict) else place.value[:-1])


def _size(value: Any) -> float | None:
    if isinstance(value, str):
        found = _AMOUNT.match(value)
        try:
            return float(found[0]) if found else None
        except ValueError:
            return None
    return (
        float(value)
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300
        else None
    )


_EDITS: tuple[Edit, ...] = (
    _any_value, _any_value, _other_amount, _other_amount, _other_amount, _hard_quantity,
    _other_text, _other_file, _left_out, _renamed, _key_added, _key_added, _borrowed, _borrowed,
    _table_borrowed, _swapped, _many, _nested, _emptied,
)  # fmt: skip
