"""The table of a Dataset's variables, as a page of text has it."""

from __future__ import annotations

from collections.abc import Mapping

from acoustics.conventions import Variable


def rows_of(variables: Mapping[str, Variable]) -> list[str]:
    """A row of a table in Markdown for each variable: name, unit, dimensions, meaning."""
    return [
        f"| `{name}` | {each.units} | {', '.join(each.dims)} | {each.long_name} |"
        for name, each in variables.items()
    ]
