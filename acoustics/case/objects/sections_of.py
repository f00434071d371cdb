"""From checked tables to a filter's sections."""

from __future__ import annotations

from collections.abc import Sequence

from acoustics.case.design.files_model import FileText
from acoustics.case.design.section_model import (
    AllPass,
    Biquad,
    Fir,
    ParametricSection,
    PassFilter,
    Section,
)
from acoustics.case.files.taps_file import taps_of
from acoustics.case.tables.digital_tables import BiquadTable, FirTable
from acoustics.case.tables.section_tables import (
    AllPassTable,
    AnySectionTable,
    BandPassTable,
    ParametricTable,
)


def sections_of(
    tables: Sequence[AnySectionTable], texts: Sequence[FileText]
) -> tuple[Section, ...]:
    """The sections of a list; `texts` are the files of numbers that the case names."""
    return tuple(_section(table, texts) for table in tables)


def _section(text: AnySectionTable, texts: Sequence[FileText]) -> Section:
    if isinstance(text, ParametricTable):
        return ParametricSection(text.type, text.frequency, text.gain, text.q)
    if isinstance(text, AllPassTable):
        return AllPass(text.order, text.frequency, text.q)
    if isinstance(text, BiquadTable):
        b0, b1, b2 = text.b
        a0, a1, a2 = text.a
        return Biquad((b0, b1, b2), (a0, a1, a2))
    if isinstance(text, FirTable):
        return Fir(tuple(text.taps) if text.taps_file is None else taps_of(text.taps_file, texts))  # type: ignore[arg-type]
    if isinstance(text, BandPassTable):
        low, high = text.low_frequency, text.high_frequency
        return PassFilter(text.type, text.alignment, text.order, low, high)
    if text.type == "high-pass":
        return PassFilter(text.type, text.alignment, text.order, text.frequency, None)
    return PassFilter(text.type, text.alignment, text.order, None, text.frequency)
