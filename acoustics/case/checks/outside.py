"""The outside of the cabinet as far as the case file describes it soundly."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from acoustics.cabinet import (
    Body,
    RoundedBody,
    edge_named,
    face_frame,
    face_named,
    mirrored_in_floor,
    refuse_shallow,
)
from acoustics.cabinet.corner_list import CornerError
from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.faces import Faces
from acoustics.case.geometry.cabinet_of import cabinet_of, chamfers_of, rounds_of
from acoustics.case.geometry.shape import body_of, faces_of, uncut_body
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.cabinet_table import EDGES, ChamferTable, needed_keys
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.units import in_unit
from acoustics.conventions import GeometryError

Span = tuple[float, float]


@dataclass(frozen=True)
class Outside:
    """What is known of the outside.

    `values`: the sound values of [cabinet]. `solid`: the body before edges are cut, None where
    the values do not make one; `flat`: what the cuts leave of its faces, likewise. `faces`: all
    of them by name, None where nothing is known of the cuts.
    """

    values: Values
    solid: Body | None = None
    flat: Body | None = None
    faces: Faces | None = None

    @property
    def shape(self) -> str:
        """The shape; empty if it is not known."""
        shape: str = self.values.get("shape", "")
        return shape

    @property
    def square(self) -> bool:
        """Whether all faces are rectangles square to each other, but for cut edges."""
        if self.shape == "plate":
            return self.values.get("outline", "") is None
        return self.shape == "box"

    def index(self, face: str) -> int:
        """Index of the face of this name in `flat`.

        Raises:
            GeometryError: the body has no such face.
        """
        assert self.solid is not None
        return self.faces.index(face) if self.faces else face_named(self.solid, face)

    def frame(self, face: str) -> FaceFrame:
        """Coordinates in the face of this name.

        Raises:
            GeometryError: the body has no such face.
        """
        assert self.solid is not None
        if self.faces:
            return self.faces.frame(face)
        return face_frame(self.solid, self.index(face))

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
    if any(values.get(key) is None for key in (*needed_keys(values), "base_height")):
        return Outside(values), problems
    try:
        cabinet = cabinet_of({**values, "chamfers": None, "rounds": None})
        solid = uncut_body(cabinet)
        refuse_shallow(solid)
    except GeometryError as error:
        return Outside(values), [*problems, Problem(_whose(error, values), str(error))]
    # Where nothing is known of the cuts, the whole faces stand for what is left of them.
    uncut = Outside(values, solid, None if values["shape"] == "box" else solid)
    if solid.thin:
        if "thickness" not in values:
            return uncut, problems
        faces = Faces(solid, solid, solid)
        return Outside(values, solid, solid, faces), [*problems, *_thin_problems(values)]
    problems += _absent_edge_problems(values, solid, problems)
    if not values.keys() >= {*EDGES} or problems:
        return uncut, problems
    problems = list(_cut_problems(values))
    if problems:
        return uncut, problems
    faces = faces_of(cabinet_of(values))
    return Outside(values, solid, faces.flat, faces), problems


def _whose(error: GeometryError, values: Values) -> Path:
    """The key whose value makes no body, and which of its corners where that is known."""
    key = {"sloped front": "lean", "corners": "corners"}.get(values["shape"], "depth")
    if values.get("outline"):
        key = "outline"
    return ("cabinet", key, error.corner) if isinstance(error, CornerError) else ("cabinet", key)


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
        try:
            body = body_of(cabinet_of(outside.values))
        except GeometryError:  # said where the cuts are checked
            return
        try:
            _refuse_shallow(mirrored_in_floor(body, float(outside.flat.points[:, 1].min())))
        except GeometryError as error:
            yield Problem(at, f"{error}: take mirrors_cabinet out")


def _edge_problems(values: Values) -> Iterator[Problem]:
    """Edges that are cut or rounded twice."""
    seen: set[str] = set()
    for key in EDGES:
        for index, table in enumerate(values.get(key) or ()):
            for place, edge in enumerate(table.edges):
                if edge in seen:
                    yield Problem(
                        ("cabinet", key, index, "edges", place),
                        f"the edge '{edge}' is cut or rounded already; name each edge once",
                    )
                seen.add(edge)


def _thin_problems(values: Values) -> Iterator[Problem]:
    """Edges of a plate without thickness that are to be cut."""
    for key in EDGES:
        if values.get(key):
            yield Problem(
                ("cabinet", key),
                "a plate without thickness has no edges to cut or to round; give it a thickness "
                "or leave the key out",
            )


def _absent_edge_problems(
    values: Values, solid: Body, known: Collection[Problem]
) -> Iterator[Problem]:
    """Edges that the body does not have, or has under another of the names given."""
    paths = {problem.path for problem in known}
    seen: dict[frozenset[int], str] = {}
    for key in EDGES:
        for index, table in enumerate(values.get(key) or ()):
            for place, edge in enumerate(table.edges):
                at: Path = ("cabinet", key, index, "edges", place)
                if at in paths:
                    continue
                try:
                    _, faces = edge_named(solid, edge)
                except GeometryError as error:
                    yield Problem(at, str(error))
                    continue
                twin = seen.setdefault(frozenset(faces), edge)
                if twin != edge:
                    yield Problem(
                        at,
                        f"the edge '{edge}' is the same as '{twin}' on this body, and is cut or "
                        "rounded already; leave it out",
                    )


def _cut_problems(values: Values) -> Iterator[Problem]:
    """Chamfers and roundings that the body has no room for: each alone, else all together."""
    alone = []
    for key in EDGES:
        for index, table in enumerate(values.get(key) or ()):
            only = {**values, "chamfers": None, "rounds": None, key: [table]}
            if reason := _refused(only):
                written = "radius"
                if isinstance(table, ChamferTable):
                    names = ("far_setbacks", "setbacks", "setback")
                    written = next(name for name in names if getattr(table, name) is not None)
                alone.append(Problem(("cabinet", key, index, written), reason))
    if alone:
        yield from alone
    elif reason := _refused(values):
        yield Problem(("cabinet", "rounds" if values.get("rounds") else "chamfers"), reason)


def _refused(values: Values) -> str:
    """Why a body is refused; empty if it is not."""
    try:
        _refuse_shallow(body_of(cabinet_of(values)))
    except GeometryError as error:
        return str(error)
    return ""


def _refuse_shallow(body: Body | RoundedBody) -> None:
    """Refuse edges that hardly turn, on rounds too where one facet stands for them."""
    refuse_shallow(body if isinstance(body, Body) else body.with_facets([1] * len(body.rounds)))
