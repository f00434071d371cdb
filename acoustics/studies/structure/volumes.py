"""What walls, braces and all else leave of every enclosure."""

from __future__ import annotations

from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Structure
from acoustics.case.geometry.brace_solids import volumes_taken
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
            - (after[each.name] - _counted(each, before[each.name], after[each.name])),
        )
        for each in case.enclosures
    )


def _counted(enclosure: Enclosure, before: float, after: float) -> float:
    """What braces take of the net volume that is told, m³.

    A stated volume of braces gives way to that of braces in [structure], once there are any.
    """
    return stated_braces(enclosure) if after > 0 else before


def stated_braces(enclosure: Enclosure) -> float:
    """What an enclosure counts for braces, m³, stated or of those in [structure]."""
    return dict(enclosure.taken).get("braces", 0.0)
