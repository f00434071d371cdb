"""Cases for the live page that take little to predict."""

from __future__ import annotations

from pathlib import Path

from acoustics.case import read_case
from acoustics.case.design.model import Case
from support.cases import shipped_text

NARROW = """
[frequencies]
lowest = "1 kHz"
highest = "2.8 kHz"
per_octave = 8
"""
"""a band round the crossover of the compact designs"""


def written(folder: Path) -> Case:
    """A shipped case, written into a folder and read."""
    return _read(folder, shipped_text("compact-centred"))


def narrow_case(folder: Path, highest: str = "2.8 kHz") -> Case:
    """The same in a narrow band, without its aims, which ask for more."""
    band = NARROW.replace("2.8 kHz", highest)
    return _read(folder, shipped_text("compact-centred").split("[[aims]]")[0] + band)


def _read(folder: Path, text: str) -> Case:
    (folder / "case.toml").write_text(text, encoding="utf-8")
    return read_case(folder)
