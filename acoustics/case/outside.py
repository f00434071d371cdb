"""The outside of the cabinet as far as the case file describes it soundly."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from acoustics.cabinet import Body, RoundedBody, mirrored_in_floor, refuse_shallow
from acoustics.case.cabinet_of import cabinet_of, chamfers_of, rounds_of
from acoustics.case.cabinet_table import NEEDED, ChamferTable
from acoustics.case.faults import Problem
from acoustics.case.lines import Path
from acoustics.case.model import Cabinet
from acoustics.case.shape import body_of, flat_body, uncut_body
from acoustics.case.sound import Values
from acoustics.case.units import in_unit
from acoustics.conventions import GeometryError

Span = tuple[float, float]


@dataclass(frozen=True)
class Outside:
    """What is known of the outside.

    `values`: the sound values of [cabinet]. `solid`: the body before edges are cut, None where
    the values do not make one; `flat`: what the cuts leave of its faces, likewise.
    """

    values: Values
    solid: Body | None = None
    flat: Body | None = None

    @property
    def shape(self) -> str:
        """The shape; empty if it is not known."""
        shape: str = self.values.get("shape", "")
        return shape

    @property
    def square(self) -> bool:
        """Whether all faces are rectangles square to each other, but for cut edges."""
        return self.shape in ("box", "plate")

    @property
    def cut_edges(self) -> list[str]:
        """Names of the edges that are cut or rounded, in the order of `flat`'s further faces."""
        cuts = chamfers_of(self.values.get("chamfers") or ())
        rounds = rounds_of(self.values.get("rounds") or ())
        return [item.edge for items in (cuts, rounds) for item in items]

    def size(self, axis: int) -> float | None:
        """Width, height or depth of a square body, m."""
        if not self.square:
            return None
        if axis == 2 and self.shape == "plate":
            return (self.values["thickness"] or 0.0) if "thickness" in self.values else None
        size: float | None = self.values.get(("width", "height", "depth")[axis])
        return size

    def span(self, axis: int) -> Span | None:
        """From where to where the body reaches along x, y or z, m."""
        if self.solid is not None:
            along = self.solid.points[:, axis]
            return float(along.min()), float(along.max())
        size = self.size(axis)
        if size is None:
            return None
        return (-size, 0.0) if axis == 2 else (-size / 2, size / 2)


def outside_of(values: Values) -> tuple[Outside, list[Problem]]:
    """The outside that sound values describe, and why they describe none."""
    problems = list(_edge_problems(values))
    needed = NEEDED.get(values.get("shape", ""), ("shape",))
    if any(values.get(key) is None for key in (*needed, "base_height")):
        return Outside(values), problems
    try:
        cabinet = cabinet_of({**values, "chamfers": None, "rounds": None})
        solid = uncut_body(cabinet)
        refuse_shallow(solid)
    except GeometryError as error:
        key = {"sloped front": "lean", "corners": "corners"}.get(values["shape"], "depth")
        return Outside(values), [*problems, Problem(("cabinet", key), str(error))]
    if values["shape"] != "box":
        return Outside(values, solid, solid), problems
    if not {"chamfers", "rounds"} <= values.keys() or problems:
        return Outside(values, solid), problems
    problems = list(_cut_problems(values))
    flat = None if problems else flat_body(cabinet_of(values))
    return Outside(values, solid, flat), problems


def floor_problems(outside: Outside, floor: Values) -> Iterator[Problem]:
    """A floor that is to mirror a cabinet which does not stand on it squarely."""
    at: Path = ("floor", "mirrors_cabinet")
    if not floor.get("mirrors_cabinet"):
        return
    base = outside.values.get("base_height", 0.0)
    if base > 0:
        yield Problem(
            at,
            f"the base of the cabinet is {in_unit(base, 'mm')} above the floor, and the floor can "
            "be one with a cabinet that stands on it only; write cabinet.base_height = "
            '"0 mm" or take mirrors_cabinet out',
        )
    if outside.solid is not None and outside.solid.thin:
        yield Problem(
            at,
            "a plate without thickness has no base to stand on; give it a thickness or take "
            "mirrors_cabinet out",
        )
    elif outside.flat is not None:
        # Only a box is cut or rounded.
        body = body_of(cabinet_of(outside.values)) if outside.shape == "box" else outside.flat
        try:
            _refuse_shallow(mirrored_in_floor(body, float(outside.flat.points[:, 1].min())))
        except GeometryError as error:
            yield Problem(at, f"{error}: take mirrors_cabinet out")


def _edge_problems(values: Values) -> Iterator[Problem]:
    """Edges that are cut or rounded twice."""
    seen: set[str] = set()
    for key in ("chamfers", "rounds"):
        for index, table in enumerate(values.get(key) or ()):
            for place, edge in enumerate(table.edges):
                if edge in seen:
                    yield Problem(
                        ("cabinet", key, index, "edges", place),
                        f"the edge '{edge}' is cut or rounded already; name each edge once",
                    )
                seen.add(edge)


def _cut_problems(values: Values) -> Iterator[Problem]:
    """Chamfers and roundings that the body has no room for: each alone, else all together."""
    alone = []
    for key in ("chamfers", "rounds"):
        for index, table in enumerate(values.get(key) or ()):
            only = {**values, "chamfers": None, "rounds": None, key: [table]}
            if reason := _refused(cabinet_of(only)):
                written = "radius"
                if isinstance(table, ChamferTable):
                    names = ("far_setbacks", "setbacks", "setback")
                    written = next(name for name in names if getattr(table, name) is not None)
                alone.append(Problem(("cabinet", key, index, written), reason))
    if alone:
        yield from alone
    elif reason := _refused(cabinet_of(values)):
        yield Problem(("cabinet", "rounds" if values.get("rounds") else "chamfers"), reason)


def _refused(cabinet: Cabinet) -> str:
    """Why a body is refused; empty if it is not."""
    try:
        _refuse_shallow(body_of(cabinet))
    except GeometryError as error:
        return str(error)
    return ""


def _refuse_shallow(body: Body | RoundedBody) -> None:
    """Refuse edges that hardly turn, on rounds too where one facet stands for them."""
    refuse_shallow(body if isinstance(body, Body) else body.with_facets([1] * len(body.rounds)))
