"""Checks of a passive crossover against the drivers that hang on it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from acoustics.case.checks.short_circuit_check import LEAST, least_way
from acoustics.case.checks.wiring_checks import wiring_problems
from acoustics.case.design.network_model import Element
from acoustics.case.design.network_parts import parts_of
from acoustics.case.messages.faults import Problem
from acoustics.case.objects.network_of import sound_elements
from acoustics.case.tables.case_table import CaseTable
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import listed
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import hertz

PASSIVE = "passive"
TELL_IMPEDANCE = ("small_signal", "rated_impedance", "impedance")
FINEST = 0.01
"""ohm: nobody needs to know a short circuit more exactly"""


def network_problems(
    crossover: object, drivers: Mapping[str, Values], faulty: Collection[Path]
) -> Iterator[Problem]:
    """Drivers whose impedance nothing tells, parts that share a name, and circuits that are none.

    `crossover` is as it stands in the file, whatever it is; keys at `faulty` are wrong themselves.
    """
    yield from _circuit_problems(crossover, drivers, faulty)
    names = set[str]()
    for name, branch in crossover.items() if isinstance(crossover, dict) else ():
        if not isinstance(branch, dict) or branch.get("slopes") != PASSIVE:
            continue
        driver = drivers.get(name, {})
        # Of keys that are wrong themselves nothing is there.
        if all(driver.get(key, 0) is None for key in TELL_IMPEDANCE):
            yield Problem(
                ("crossover", name, "slopes"),
                f"what a passive crossover does depends on the impedance of '{short_name(name)}', "
                f"which nothing tells; add a table [drivers.{short_name(name)}.small_signal], or "
                f'rated_impedance = "8 ohm" under [drivers.{short_name(name)}] for a first look, '
                "or impedance, the file of a measured one",
            )
        for index, called in _names(branch):
            if called in names:
                yield Problem(
                    ("crossover", name, "parts", index, "name"),
                    f"another part is called '{short_name(called)}' too; give each its own name",
                )
            names.add(called)


def _circuit_problems(
    crossover: object, drivers: Mapping[str, Values], faulty: Collection[Path]
) -> Iterator[Problem]:
    """Loose ends, and parts that short the amplifier."""
    branches = crossover if isinstance(crossover, dict) else {}
    sound = dict[str, list[Element]]()
    for name in (name for name in drivers if name in branches):
        raw = branches[name].get("parts") if isinstance(branches[name], dict) else None
        elements = sound_elements(raw, ("crossover", name, "parts"), faulty)
        if elements is None or branches[name].get("slopes") != PASSIVE:
            continue
        wrong = list(wiring_problems(("crossover", name, "parts"), elements))
        yield from wrong
        if not wrong:
            sound[name] = elements
    parts = parts_of(list(sound.values()))
    for row, (name, elements) in enumerate(sound.items()):
        short = least_way(elements)
        if short is None or short.impedance >= LEAST:
            continue
        names = [
            short_name(part.name)
            for number in short.elements
            for part in parts
            if (part.ladder, part.element) == (row, number)
        ]
        one = short.elements[0:1] if len(short.elements) == 1 else ()
        yield Problem(
            ("crossover", name, "parts", *one),
            f"through {listed(names)} the amplifier's terminals are {_ohm(short.impedance)} ohm "
            f"apart at {hertz(float(f'{short.frequency:.3g}'))}, nearly a short circuit "
            f"({LEAST:g} ohm is the least); check place and units, or put a resistor into that way",
        )


def _ohm(impedance: float) -> str:
    return f"only {impedance:.2g}" if impedance >= FINEST else f"less than {FINEST:g}"


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
