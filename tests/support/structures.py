"""Cabinets with a [structure] for tests, from a shipped design."""

import shutil
from pathlib import Path

import acoustics as ac

CASES = Path(__file__).parents[2] / "cases"


def case_text(structure: str, *, wall: str = "18 mm") -> str:
    """The compact two-way with walls of another thickness and a table [structure]."""
    text = (CASES / "compact-centred" / "case.toml").read_text("utf-8")
    text = text.replace('wall_thickness = "18 mm"', f'wall_thickness = "{wall}"')
    # What braces take follows from those of the table.
    text = text.replace('braces = "0.4 l"\n', "")
    return f"{text}\n{structure}"


def read_text(folder: Path, text: str) -> ac.Case:
    """The case of a text, its driver files beside it as where it was shipped."""
    if not (folder / "drivers").exists():
        shutil.copytree(CASES / "drivers", folder / "drivers")
    (folder / "case").mkdir(exist_ok=True)
    (folder / "case" / "case.toml").write_text(text, "utf-8")
    return ac.read_case(folder / "case")
