"""Where the rules of a report come from: one list for all that its texts and figures rest on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.studies.papers import Beside

Use = Literal["always", "box", "vented", "passive", "porous", "walls", "air"]


@dataclass(frozen=True)
class Source:
    """One source: what it is, what for, and where it counts."""

    words: str
    what_for: str
    use: Use = "always"


SOURCES = (
    Source(
        "U. P. Svensson, R. I. Fred and J. Vanderkooy, J. Acoust. Soc. Am. 106 (1999); A. Asheim "
        "and U. P. Svensson, J. Acoust. Soc. Am. 133 (2013)",
        "diffraction at the cabinet's edges, of first and of all orders",
    ),
    Source(
        "ANSI/CTA-2034-A (2015)",
        "listening window, early reflections, sound power, estimated in-room curve",
    ),
    Source("ISO 9613-1:1993, annex A", "speed of sound"),
    Source("ISO 266", "frequencies along the axes of figures"),
    Source("IEC 60268-5 (from memory)", "rated power and impedance, crest factor of programmes"),
    Source(
        "R. H. Small, J. Audio Eng. Soc. 20 (1972) and 21 (1973)",
        "circuits of drivers in boxes, classic alignments of closed boxes",
        "box",
    ),
    Source(
        "A. N. Thiele, J. Audio Eng. Soc. 19 (1971)", "classic alignments of vented boxes", "vented"
    ),
    Source("IEC 60063:2015 (from memory)", "series of values in which parts are sold", "passive"),
    Source("IEC 60617 (from memory)", "signs of the schematic", "passive"),
    Source("Y. Miki, J. Acoust. Soc. Jpn. (E) 11 (1990)", "porous layers", "porous"),
    Source(
        "S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells (1959)",
        "how walls bend",
        "walls",
    ),
    Source(
        "P. M. Morse and K. U. Ingard, Theoretical Acoustics (1968; from memory)",
        "standing waves of the air inside",
        "air",
    ),
)

PRACTICE = (
    "What is marked as common practice is a rule of thumb of the trade, without a source; it never "
    "overrules a calculation."
)


def source_lines(case: Case, prediction: xr.Dataset, found: Beside) -> tuple[str, ...]:
    """Every source that this report rests on, then what has none."""
    uses: set[Use] = {"always"}
    if found.box is not None:
        uses.add("box")
        if "vented" in found.box.enclosure_kind.values:
            uses.add("vented")
    if "input_impedance" in prediction:
        uses.add("passive")
    lined = case.structure is not None and bool(case.structure.linings)
    if lined or any(surface.absorber for surface in case.surfaces):
        uses.add("porous")
    if found.walls:
        uses.add("walls")
    if found.air is not None:
        uses.add("air")
    told = [f"{each.words}: {each.what_for}." for each in SOURCES if each.use in uses]
    return (*told, PRACTICE)
