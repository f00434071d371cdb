"""Checks of a passive crossover against the drivers that hang on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from acoustics.case.faults import Problem
from acoustics.case.phrases import listed
from acoustics.case.shown import short_name
from acoustics.case.sound import Values
from acoustics.case.tables import CaseTable

PASSIVE = "passive"


def network_problems(crossover: object, drivers: Mapping[str, Values]) -> Iterator[Problem]:
    """Drivers whose impedance nothing tells, and parts that share a name.

    `crossover` is as it stands in the file, whatever it is.
    """
    names = set[str]()
    for name, branch in crossover.items() if isinstance(crossover, dict) else ():
        if not isinstance(branch, dict) or branch.get("slopes") != PASSIVE:
            continue
        driver = drivers.get(name, {})
        # Of keys that are wrong themselves nothing is there.
        if all(driver.get(key, 0) is None for key in ("small_signal", "rated_impedance")):
            yield Problem(
                ("crossover", name, "slopes"),
                f"what a passive crossover does depends on the impedance of '{short_name(name)}', "
                f"which nothing tells; add a table [drivers.{short_name(name)}.small_signal], or "
                f'rated_impedance = "8 ohm" under [drivers.{short_name(name)}] for a first look',
            )
        for index, called in _names(branch):
            if called in names:
                yield Problem(
                    ("crossover", name, "parts", index, "name"),
                    f"another part is called '{short_name(called)}' too; give each its own name",
                )
            names.add(called)


def network_warnings(text: CaseTable) -> Iterator[Problem]:
    """Drivers beside a passive crossover that are taken not to hang on it."""
    passive = [name for name, branch in text.crossover.items() if branch.slopes == PASSIVE]
    for name in text.drivers:
        if passive and name not in text.crossover:
            yield Problem(
                ("drivers", name),
                f"it has no crossover, so it gets the full signal from an amplifier of its own; "
                f"if it hangs on the same one as {listed(passive)}, add [crossover."
                f'{short_name(name)}] with slopes = "passive" and its parts, or parts = []',
            )


def _names(branch: Mapping[str, Any]) -> Iterator[tuple[int, str]]:
    parts = branch.get("parts")
    for index, part in enumerate(parts if isinstance(parts, list) else ()):
        name = part.get("name") if isinstance(part, dict) else None
        if isinstance(name, str):
            yield index, name
