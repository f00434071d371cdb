"""What the edges of a draft are: those round the front face in one way, the others as drawn."""

from __future__ import annotations

from acoustics.cabinet.names import FRONT_EDGES
from acoustics.case.design.model import Cabinet, Case
from acoustics.case.design.place_model import Treatment
from acoustics.conventions import GeometryError
from acoustics.studies.live.draft import Draft, EdgeKind, Edges


def edges_of(case: Case, draft: Draft) -> Treatment | None:
    """All edges of the cabinet in a draft; None: as drawn.

    Raises:
        GeometryError: as `treatment_of`.
    """
    return treatment_of(case.cabinet, draft.edges)


def treatment_of(cabinet: Cabinet, edges: Edges) -> Treatment | None:
    """The four edges of the front face in one way, and every other edge of a cabinet as it is.

    Raises:
        GeometryError: an edge that stays is cut tapering, which cannot be written beside others.
    """
    if edges.kind == "as drawn":
        return None
    kept = [cut for cut in cabinet.chamfers if not _at_the_front(cut.edge)]
    tapering = [cut.edge for cut in kept if cut.far_setbacks is not None]
    if tapering:
        raise GeometryError(
            f"edge {tapering[0]}: its cut tapers, and beside such a cut the front edges are "
            "changed in the case file only"
        )
    kind: EdgeKind = edges.kind if edges.size > 0 else "square"
    rounds = [(each.edge, each.radius) for each in cabinet.rounds if not _at_the_front(each.edge)]
    chamfers = [(cut.edge, cut.setbacks) for cut in kept]
    if kind == "rounded":
        rounds += [(edge, edges.size) for edge in FRONT_EDGES]
    if kind == "chamfered":
        chamfers += [(edge, (edges.size, edges.size)) for edge in FRONT_EDGES]
    return Treatment(kind, tuple(rounds), tuple(chamfers))


def _at_the_front(edge: str) -> bool:
    return "front" in edge.split()
