"""Checks of what a digital processor does, and of what stands before a passive crossover."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from acoustics.case.messages.faults import Problem
from acoustics.case.tables.case_table import CaseTable
from acoustics.case.tables.digital_tables import ProcessorTable
from acoustics.case.tables.section_tables import (
    AllPassTable,
    BandPassTable,
    ParametricTable,
    PassTable,
)
from acoustics.case.tables.sound import Values, sound_values
from acoustics.case.tables.table import Table
from acoustics.case.text.lines import Path
from acoustics.case.text.units import hertz

_TABLES: dict[str, type[Table]] = {
    "low-pass": PassTable,
    "high-pass": PassTable,
    "band-pass": BandPassTable,
    "peak": ParametricTable,
    "low-shelf": ParametricTable,
    "high-shelf": ParametricTable,
    "all-pass": AllPassTable,
}
_CORNERS = ("frequency", "low_frequency", "high_frequency")
_DIGITAL = ("biquad", "fir")
_BEFORE = ("sections", "gain", "delay", "polarity")
"""Keys of [amplifier] that are about the signal before it."""

FINE = 12
"""Frequencies per octave: a fourth-order slope is then followed to 0.015 dB between them."""


def processor_problems(
    data: Mapping[str, Any], grid: Values, faulty: list[Path]
) -> Iterator[Problem]:
    """What does not go with the processor, or takes one; what stands before no passive crossover.

    Args:
        data: the case as it stands in the file, whatever it is.
        grid: sound values of [frequencies].
        faulty: keys that are known to be wrong.
    """
    stated = "processor" in data or ("processor",) in faulty
    processor = sound_values(ProcessorTable, data.get("processor"), ("processor",), faulty)
    slopes = _slopes(data.get("crossover"))
    rate = processor.get("sampling_rate")
    if rate is not None and grid.get("highest", 0.0) >= rate / 2:
        yield Problem(
            ("processor", "sampling_rate"),
            f"nothing at or above half the sampling rate ({hertz(rate / 2)}) passes, and the "
            f"prediction goes up to {hertz(grid['highest'])}; lower frequencies.highest or take a "
            "higher rate",
        )
    for path, section in _sections(data):
        kind = section.get("type")
        if not isinstance(kind, str):
            continue
        acoustic = path[0] == "crossover" and slopes.get(str(path[1])) == "acoustic"
        if kind in _DIGITAL:
            yield from _digital_problems(path, kind, stated, acoustic)
        elif rate is not None and kind in _TABLES and not acoustic:
            values = sound_values(_TABLES[kind], section, path, faulty)
            for key in _CORNERS:
                if values.get(key, 0.0) >= rate / 2:
                    yield Problem(
                        (*path, key),
                        f"{hertz(values[key])} is not below half the sampling rate "
                        f"({hertz(rate / 2)}); write a lower frequency or take a higher "
                        "processor.sampling_rate",
                    )
    yield from _amplifier_problems(data.get("amplifier"), slopes)


def processor_warnings(text: CaseTable) -> Iterator[Problem]:
    """Taps for no filter; frequencies too far apart for taps to follow what lies between."""
    if text.processor is None or text.processor.taps is None:
        return
    if all(branch.slopes != "acoustic" for branch in text.crossover.values()):
        yield Problem(
            ("processor", "taps"),
            "no branch has acoustic slopes, whose filters these taps would be; leave taps out, or "
            'write slopes = "acoustic" and a level in a branch',
        )
    elif text.frequencies.per_octave < FINE:
        yield Problem(
            ("frequencies", "per_octave"),
            f"the taps of computed filters follow the predicted frequencies, and between them a "
            f"straight line; take {FINE} per octave or more for what is to be played",
        )


def _digital_problems(path: Path, kind: str, stated: bool, acoustic: bool) -> Iterator[Problem]:
    if acoustic:
        yield Problem(
            (*path, "type"),
            f"what sound is to follow is not said by a {kind}; say it by low-, high- and "
            'band-passes, peaks, shelves and all-passes, or write slopes = "electrical"',
        )
    elif not stated:
        yield Problem(
            (*path, "type"),
            f"a {kind} means something at a sampling rate only; add [processor] with "
            'sampling_rate = "48 kHz", say',
        )


def _amplifier_problems(amplifier: object, slopes: Mapping[str, str]) -> Iterator[Problem]:
    if not isinstance(amplifier, dict) or "passive" in slopes.values():
        return
    for key in _BEFORE:
        if key in amplifier:
            yield Problem(
                ("amplifier", key),
                "this is for the passive crossover behind the amplifier, and there is none; write "
                "it into the branches [crossover.NAME], or give them passive slopes",
            )


def _slopes(crossover: object) -> dict[str, str]:
    """Of every branch, as far as they are readable."""
    branches = crossover.items() if isinstance(crossover, dict) else ()
    found = {name: each.get("slopes", "electrical") for name, each in branches if _is_table(each)}
    return {name: slopes for name, slopes in found.items() if isinstance(slopes, str)}


def _is_table(value: object) -> bool:
    return isinstance(value, dict)


def _sections(data: Mapping[str, Any]) -> Iterator[tuple[Path, Values]]:
    """Every section of the file that is a table, with its path."""
    crossover = data.get("crossover")
    tables: list[tuple[Path, object]] = [(("amplifier",), data.get("amplifier"))]
    for name, branch in crossover.items() if isinstance(crossover, dict) else ():
        tables.append((("crossover", name), branch))
    for path, table in tables:
        sections = table.get("sections") if isinstance(table, dict) else None
        for index, section in enumerate(sections if isinstance(sections, list) else ()):
            if isinstance(section, dict):
                yield (*path, "sections", index), section
