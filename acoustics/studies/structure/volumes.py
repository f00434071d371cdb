"""What walls, braces and all else leave of every enclosure."""

from __future__ import annotations

from acoustics.case.brace_solids import volumes_taken
from acoustics.case.model import Case
from acoustics.case.structure_model import Structure
from acoustics.studies.structure.candidates import shell_with
from acoustics.studies.structure.found import Volumes


def volumes_of(case: Case, present: Structure, proposed: Structure) -> tuple[Volumes, ...]:
    """Gross and net volume of every enclosure, as it is and with other walls and braces.

    Where walls get thicker, enclosures shrink by their shares of the inside. Lining counts as air.
    """
    names = [each.name for each in case.enclosures]
    shells = [shell_with(case, each) for each in (present, proposed)]
    before, after = (
        volumes_taken(shell, each.braces, names)
        for shell, each in zip(shells, (present, proposed), strict=True)
    )
    inside = [shell.inside or 0.0 for shell in shells]
    kept = inside[1] / inside[0] if inside[0] > 0 else 1.0
    return tuple(
        Volumes(
            enclosure=each.name,
            gross=each.gross,
            taken=each.taken,
            net=each.volume,
            net_after=each.volume
            - (1 - kept) * each.gross
            - (after[each.name] - before[each.name]),
        )
        for each in case.enclosures
    )
