"""The part of a report that holds what was built and measured against what was predicted."""

from __future__ import annotations

from collections.abc import Iterator

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.figures.verification_sheets import causes_sheet, impedance_sheet, response_sheet
from acoustics.report.html.content import Picture, Section, section
from acoustics.report.html.pictures import picture_of
from acoustics.report.html.plain_parts import blocks_of_text
from acoustics.report.verification import verification_text
from acoustics.studies.verification.whole import is_whole

NAME, TITLE = "verification", "Is it what was designed?"


def verification_section(case: Case, found: xr.Dataset) -> Section:
    """What a verification says, and its figures.

    Args:
        case: the design.
        found: as `verify_design` makes it.
    """
    text = verification_text(case, found)
    return section(NAME, TITLE, list(_pictures(found)), blocks_of_text(text))


def _pictures(found: xr.Dataset) -> Iterator[Picture]:
    """Causes, then every reading with what its band says of it."""
    yield picture_of(
        "verified-causes",
        "What is it, and how likely?",
        f"By the measurements: {found.attrs['verdict']}.",
        causes_sheet(found),
    )
    names, words = found.banded_reading.values.tolist(), found.banded_words.values.tolist()
    said = dict(zip(names, words, strict=True))
    drawn = {"Pa": response_sheet, "ohm": impedance_sheet}
    # Of the reading, of its difference from the design, of their phases.
    units = {"Pa": ("dB", "dB", "°"), "ohm": ("ohm", "%", "°")}
    for row, unit in enumerate(found.told_unit.values.tolist()):
        name = str(found.told_reading.values[row])
        figure = drawn[unit](found, row=row)
        yield picture_of(f"verified-{row + 1}", name, said.get(name, name), figure, units[unit])


def is_of(case: Case, found: xr.Dataset) -> bool:
    """Whether a Dataset is a verification of this same design."""
    return is_whole(found) and str(found.attrs["case_digest"]) == case.digest
