"""Whether the builds of a study fit this machine's memory and disk, told before it starts."""

from __future__ import annotations

import math
from pathlib import Path

from acoustics.case.design.model import Case
from acoustics.case.design.tolerance_model import Tolerance
from acoustics.conventions import RoundoverError
from acoustics.studies.sweeps.size import free_disk, free_memory, size_words
from acoustics.studies.tolerance.record import DIRECTIONS, GENERAL, STANDARD

CURVE, NUMBER = 4, 8
"""bytes of a value of a curve, and of a figure or a draw"""

COPIES = 3
"""how often curves are in memory while percentiles are taken"""


def bytes_of_build(case: Case, tolerance: Tolerance) -> int:
    """What is kept of a build, at most."""
    speakers = 2 if case.placement.pair else 1
    at_seats = speakers * len(case.seat.places) * 2 * len(case.seat.ear_heights)
    curves = len(STANDARD) + len(DIRECTIONS) + len(case.drivers) + at_seats + 2
    figures = len(GENERAL) + 2 * len(case.aims) + len(tolerance.spreads)
    return CURVE * curves * case.frequencies.values().size + NUMBER * figures


def require_room(case: Case, tolerance: Tolerance, folder: Path | None) -> None:
    """Refuse a study whose builds cannot be held or kept.

    Args:
        case: the design.
        tolerance: the spreads, with the number of builds.
        folder: where builds are kept; it, or one above it, exists. Nowhere if None.

    Raises:
        RoundoverError: how large it is, what there is, and what to do.
    """
    each = bytes_of_build(case, tolerance)
    size = tolerance.builds * each
    needs = {"memory": (COPIES * size, free_memory())}
    if folder is not None:
        needs["disk"] = (size, free_disk(folder))
    short = {what: pair for what, pair in needs.items() if pair[0] > pair[1]}
    if not short:
        return
    told = " and ".join(
        f"{size_words(need)} of {what}, of which {size_words(there)} are free"
        for what, (need, there) in short.items()
    )
    fit = math.floor(tolerance.builds * min(there / need for need, there in short.values()))
    raise RoundoverError(
        f"{tolerance.builds:,} builds of {size_words(each)} each need {told}; ask for fewer builds "
        f"(at most {fit:,} fit), or for fewer frequencies. A thousand builds tell a share of 90 % "
        "to within 2 %"
    )
