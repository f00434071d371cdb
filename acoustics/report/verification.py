"""Whether a finished loudspeaker is what was drawn, and if not, what is wrong, in words."""

from __future__ import annotations

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.report.cautions import CAUTIONS, OF_CHECKING
from acoustics.report.plain_text import heading, paragraph
from acoustics.report.structure import section
from acoustics.report.verification_answer import (
    FAULT,
    MATCHES,
    NOTHING_KNOWN,
    alike,
    answer,
    following,
    others,
    remedies,
)
from acoustics.report.verification_basis import (
    aligned_lines,
    basis_lines,
    limits,
    strayed_lines,
)
from acoustics.report.verification_parts import (
    aim_lines,
    crossover_lines,
    readings_table,
    tuning_lines,
    wrinkle_lines,
)


def verification_text(case: Case, found: xr.Dataset) -> str:
    """Say whether a loudspeaker is what was designed, what is wrong with it, and how that is known.

    Args:
        case: the design.
        found: what `verify_design` answers about it.

    Returns:
        Text of 88 columns, ending in a newline.
    """
    title = f"{case.title}: as built"
    table = readings_table(found)
    others_title = (
        "What else it may be"
        if found.attrs["verdict"] in (FAULT, NOTHING_KNOWN)
        else "What it may be instead"
        if found.attrs["verdict"] == MATCHES
        else "What it may be"
    )
    parts = [
        f"{title}\n{'=' * len(title)}",
        paragraph(answer(found)),
        section("What would look the same", alike(found)),
        section("What to look at", remedies(found)),
        section("What to measure next", following(found)),
        section(others_title, others(found)),
        section("Before you open or measure it", [*OF_CHECKING, CAUTIONS[-1]]),
        f"{heading('Readings against healthy builds')}\n{table}" if table else "",
        section("Aims and brief, as measured", aim_lines(found)),
        section("Crossover", crossover_lines(found)),
        section("Enclosures", tuning_lines(found)),
        section("Narrow wrinkles of the impedance", wrinkle_lines(found)),
        section("Set right before comparing", aligned_lines(found)),
        section("What seems to have strayed most", strayed_lines(found)),
        section("About the files", [str(note) for note in found.note.values]),
        section("What this cannot tell", limits(found)),
        section("What this rests on", basis_lines(found)),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"
