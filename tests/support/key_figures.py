"""Key figures of the shipped cases: what a builder would quote, how close, and why so close.

Each case keeps them in key-figures.toml. After a change that is meant to move them,

    python tests/support/key_figures.py            shows what has moved
    python tests/support/key_figures.py --write    writes the values anew

for all cases or for those named by folder; names, tolerances and reasons stay as they are.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

import acoustics as ac
from acoustics.files import write_text
from support.key_readings import READINGS, Scene

CASES = Path(__file__).parents[2] / "cases"
FILE = "key-figures.toml"
NEEDED, FREE = {"read", "value", "unit", "tolerance", "reason"}, {"at"}


@dataclass(frozen=True)
class KeyFigure:
    """A figure of a case: `read` says how, `at` where; equal within `tolerance`, by `reason`."""

    name: str
    read: str
    at: Mapping[str, Any]
    value: float
    unit: str
    tolerance: float
    reason: str

    def got(self, scene: Scene) -> float:
        """The figure as it is now."""
        return READINGS[self.read].read(scene, **self.at)

    def holds(self, got: float) -> bool:
        """Whether a value counts as equal; one that is not known never does."""
        return abs(got - self.value) <= self.tolerance


def cases() -> list[str]:
    """Names of the shipped cases."""
    return sorted(file.parent.name for file in CASES.glob("*/case.toml"))


def read_figures(file: Path) -> list[KeyFigure]:
    """The figures of one file, in its order; a slip in it is a ValueError that says where."""
    tables = tomlkit.parse(file.read_text(encoding="utf-8")).unwrap().get("figures", {})
    return [_checked(file, name, table) for name, table in tables.items()]


def _checked(file: Path, name: str, table: Mapping[str, Any]) -> KeyFigure:
    where = f"{file.parent.name}/{file.name}: '{name}'"
    if lacking := NEEDED - table.keys():
        raise ValueError(f"{where} lacks {', '.join(sorted(lacking))}")
    if unknown := table.keys() - NEEDED - FREE:
        raise ValueError(f"{where} has unknown {', '.join(sorted(unknown))}")
    reading = READINGS.get(table["read"])
    if reading is None:
        raise ValueError(f"{where}: no reading '{table['read']}'; there are {', '.join(READINGS)}")
    if table["unit"] != reading.unit:
        raise ValueError(f"{where}: '{table['read']}' is read in {reading.unit}")
    if not table["tolerance"] > 0:
        raise ValueError(f"{where}: the tolerance must be above 0")
    if len(table["reason"].split()) < 4:
        raise ValueError(f"{where}: the reason should say why the tolerance is what it is")
    return KeyFigure(name, at=table.get("at", {}), **{key: table[key] for key in NEEDED})


def line(case: str, figure: KeyFigure, got: float) -> str:
    """One figure, as a person compares it."""
    digits = decimals(figure.tolerance)
    return (
        f"{case}: {figure.name}: got {got:.{digits}f} {figure.unit}, "
        f"expected {figure.value:.{digits}f} ± {figure.tolerance:g} {figure.unit} "
        f"({got - figure.value:+.{digits}f})"
    )


def decimals(tolerance: float) -> int:
    """Decimals that show a tenth of a tolerance."""
    return max(0, math.ceil(1 - math.log10(tolerance)))


def renewed(text: str, values: Mapping[str, float]) -> str:
    """The file with other values; all else stays."""
    document = tomlkit.parse(text)
    for name, value in values.items():
        table: Any = document["figures"][name]  # type: ignore[index]
        table["value"] = round(value, decimals(table["tolerance"]))
    return tomlkit.dumps(document)


def main(arguments: list[str]) -> None:
    """Show what has moved, and write it with --write."""
    write = "--write" in arguments
    for case in [name for name in arguments if name != "--write"] or cases():
        folder = CASES / case
        scene, figures = Scene(ac.read_case(folder)), read_figures(folder / FILE)
        values = {figure.name: figure.got(scene) for figure in figures}
        for figure in figures:
            mark = "  " if figure.holds(values[figure.name]) else "! "
            print(mark + line(case, figure, values[figure.name]), flush=True)
        if write:
            text = (folder / FILE).read_text(encoding="utf-8")
            write_text(renewed(text, values), folder / FILE)


if __name__ == "__main__":
    main(sys.argv[1:])
