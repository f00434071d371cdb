"""Keys of a case by their path in words: "cabinet.width", "drivers.tweeter.position.1"."""

from __future__ import annotations

from typing import Any

from acoustics.case.messages.schema import case_schema, resolved
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice
from acoustics.case.text.shown import short_name

NOT_SWEPT = (
    "title",
    "note",
    "brief",
    "aims",
    "fit",
    "measurement",
    "sweep",
    "place",
    "tolerance",
    "verification",
)
"""Tables and keys on which no prediction rests."""


class UnknownKeyError(ValueError):
    """A path that leads to no numeric key of the case; the text says what there is."""


def path_to(key: str, data: dict[str, Any]) -> tuple[Path, dict[str, Any]]:
    """Find a numeric key of a case.

    Args:
        key: as messages write it.
        data: the case as TOML gives it; drivers, branches, seats and entries of lists must be
            there, other keys may be left to their defaults.

    Returns:
        Its path, and the part of the schema that describes it.

    Raises:
        UnknownKeyError: no such key, or one that holds no number.
    """
    node, here, path = resolved(case_schema()), data, Path()
    for part in key.split("."):
        step, node = _step(part, node, here, path)
        path = (*path, step)
        here = _inside(here, step)
    if not _is_number(node):
        keys = list(_keys(node, here, path))
        more = f"; write one of its keys, such as {_words(path)}.{keys[0]}" if keys else ""
        raise UnknownKeyError(f"'{short_name(key)}' does not hold a number{more}")
    if path == ("solver", "memory"):
        raise UnknownKeyError(f"no prediction rests on '{short_name(key)}'; leave it out")
    return path, node


def value_at(data: dict[str, Any], where: Path, node: dict[str, Any]) -> object:
    """What stands at a path that `path_to` has found, or the default there; None for neither."""
    here: object = data
    for step in where:
        here = _inside(here, step)
    return node.get("default") if here is None else here


def put(data: dict[str, Any], key: str, value: object) -> None:
    """Set the value of a key that `path_to` has found; tables on its way are made."""
    *way, last = key.split(".")
    here: Any = data
    for part in way:
        here = here[int(part) - 1] if isinstance(here, list) else here.setdefault(part, {})
    if isinstance(here, list):
        here[int(last) - 1] = value
    else:
        here[last] = value


def _step(
    part: str, node: dict[str, Any], here: object, path: Path
) -> tuple[str | int, dict[str, Any]]:
    """One part of a path, and what the schema says there."""
    wanted = list if node.get("type") == "array" else dict
    is_table = wanted is list or "properties" in node or "additionalProperties" in node
    if is_table and here is not None and not isinstance(here, wanted):
        raise UnknownKeyError(f"{_words(path)} is not as it should be, see there")
    known = _keys(node, here, path)
    if node.get("type") == "array":
        count = len(here) if isinstance(here, list) else 0
        if not (part.isdecimal() and 1 <= int(part) <= count):
            there = f"it has {count}" if count else "the file has no such list"
            raise UnknownKeyError(
                f"'{short_name(part)}' is no entry of {_words(path)}: {there}, counted from 1"
            )
        index = int(part) - 1
        inner = node.get("items", {})
        if "discriminator" in inner:
            entry = here[index] if isinstance(here, list) else {}
            kind = entry.get("type") if isinstance(entry, dict) else None
            kinds = inner["discriminator"]["mapping"]
            inner = {"$ref": kinds[kind]} if isinstance(kind, str) and kind in kinds else {}
        return index, resolved(inner)
    if part not in known:
        where = f" in [{_words(path)}]" if path else ""
        if not known:
            raise UnknownKeyError(f"there is nothing below {_words(path) or 'the case'}")
        raise UnknownKeyError(
            f"there is no '{short_name(part)}'{where} to vary; {choice(known, part)}"
        )
    inner = node.get("properties", {}).get(part, node.get("additionalProperties"))
    return part, resolved(inner)


def _keys(node: dict[str, Any], here: object, path: Path) -> list[str]:
    """The keys at a place: those of a table, or the names in the file."""
    if "properties" in node:
        return [key for key in node["properties"] if path or key not in NOT_SWEPT]
    if isinstance(node.get("additionalProperties"), dict):
        return list(here) if isinstance(here, dict) else []
    if node.get("type") == "array":
        return [str(i + 1) for i in range(len(here))] if isinstance(here, list) else []
    return []


def _inside(here: object, step: str | int) -> Any:
    if isinstance(here, dict):
        return here.get(str(step))
    return here[step] if isinstance(here, list) and isinstance(step, int) else None


def _is_number(node: dict[str, Any]) -> bool:
    return node.get("type") in ("number", "integer") or "pattern" in node


def _words(path: Path) -> str:
    return ".".join(str(part + 1) if isinstance(part, int) else short_name(part) for part in path)
