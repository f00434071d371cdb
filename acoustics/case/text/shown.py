"""What stands in a case file as it may stand in a message: in TOML spelling, and short."""

from __future__ import annotations

from datetime import date, datetime, time

_LONGEST = 60
_LONGEST_NAME = 40
_DEEPEST = 4


def shortened(value: object) -> str:
    """`value` as TOML spells it, quoted if it is text, and not longer than a line."""
    return _cut(_spelt(value), _LONGEST)


def short_name(name: str) -> str:
    """A key or a driver's name on one line, cut after forty characters."""
    return _cut(printable(name), _LONGEST_NAME)


def printable(text: str) -> str:
    """`text` as a terminal may be given it: what would steer one is spelt out."""
    if text.isprintable():
        return text
    return "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in text)


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[:longest]}…"


def _spelt(value: object, depth: int = 0) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, dict):
        if not value or depth == _DEEPEST:
            return "{…}" if value else "{}"
        pairs = [f"{short_name(key)} = {_spelt(part, depth + 1)}" for key, part in value.items()]
        return f"{{ {', '.join(pairs)} }}"
    if isinstance(value, list):
        if value and depth == _DEEPEST:
            return "[…]"
        return f"[{', '.join([_spelt(part, depth + 1) for part in value])}]"
    return repr(value)
