"""The text layer of [structure]: what a cabinet is built of, and the boards it is cut from."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.structure_materials import BOARDS, LININGS
from acoustics.case.design.structure_model import BraceKind, Joint, Run, Sheet, Structure
from acoustics.case.tables.cabinet_table import Point
from acoustics.case.tables.fields import Kind, Name, Number, Quantity, Text
from acoustics.case.tables.fields import length as length_from
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.limits import MOST_BOARDS
from acoustics.case.text.phrases import choice
from acoustics.case.text.shown import shortened
from acoustics.case.text.units import DENSITY, FLOW_RESISTIVITY, FREQUENCY, MODULUS, UnitError

MOST_BRACES = 60
MOST_LININGS = 30

_FaceName = Annotated[str, Text(80)]
_BoardName = Annotated[str, Name(40)]
_Density = Annotated[float, Quantity(DENSITY, "50 kg/m3", "10000 kg/m3")]
_Modulus = Annotated[float, Quantity(MODULUS, "10 MPa", "400 GPa")]
_Thickness = Annotated[float, length_from("1 mm", "100 mm")]
_Side = Annotated[float, length_from("1 mm", "5 m")]
_Resistivity = Annotated[
    float, Quantity(FLOW_RESISTIVITY, "100 Pa s/m2", "1000 kPa s/m2", "of usual porous layers")
]
_DEFAULT, _SHEET = Structure("", ()), Sheet()

FIXITIES = {"hinged": 0.0, "in between": 0.5, "clamped": 1.0}
"""How walls are held at their edges: real joints lie between (common practice, no source)."""


@dataclass(frozen=True)
class AllBut:
    """All walls but these."""

    names: tuple[str, ...]


_ALL = re.compile(r"\s*all(?:\s+but\s+(?P<but>.+))?\s*")
_BETWEEN = re.compile(r",\s*(?:and\s+)?|\s+and\s+")


class _Fixity(Kind):
    """How edges are held: by a word, or a number from 0, hinged, to 1, clamped."""

    _NUMBER = Number(0, 1)

    def read(self, value: object) -> float:
        """The number."""
        if isinstance(value, str):
            if value not in FIXITIES:
                raise UnitError(
                    f"{shortened(value)} says nothing of edges; {choice(FIXITIES, value)}, "
                    "or a number from 0 (hinged) to 1 (clamped)"
                )
            return FIXITIES[value]
        return float(self._NUMBER.read(value))

    def schema(self) -> dict[str, Any]:
        """One of the words, or a number."""
        return {"anyOf": [{"type": "string", "enum": [*FIXITIES]}, self._NUMBER.schema()]}


class _Walls(Kind):
    """Some walls: a list of their names, "all", or "all but front and bottom"."""

    _NAME = Text(80)

    def read(self, value: object) -> tuple[str, ...] | AllBut:
        """The names, or those that are left out."""
        if isinstance(value, list):
            if not value:
                raise UnitError('[] holds no wall; name one, for example ["back"]')
            return tuple(self._NAME.read(name) for name in value)
        words = _ALL.fullmatch(value) if isinstance(value, str) else None
        if words is None:
            example = f'["{value}"]' if isinstance(value, str) and value.isprintable() else "a list"
            raise UnitError(
                f"{shortened(value)} says no walls; write {example} or a list such as "
                '["back", "top"], "all", or "all but front and bottom"'
            )
        return AllBut(tuple(_BETWEEN.split(words["but"].strip())) if words["but"] else ())

    def schema(self) -> dict[str, Any]:
        """Text, or a list of it."""
        names = {"type": "array", "items": self._NAME.schema(), "minItems": 1}
        return {"anyOf": [{"type": "string", "pattern": "^\\s*all(\\s+but\\s.+)?\\s*$"}, names]}


class MaterialTable(Table):
    """A board: one of its own, or a usual one of which something is known better."""

    density: _Density | None = optional(None, "Its density.", examples=["750 kg/m3"])
    youngs_modulus: _Modulus | None = optional(
        None, "Young's modulus of a board that is as stiff one way as the other.", ["3 GPa"]
    )
    youngs_modulus_along: _Modulus | None = optional(
        None, "In place of that: with the grain of its outer plies.", examples=["9 GPa"]
    )
    youngs_modulus_across: _Modulus | None = optional(
        None, "Likewise across that grain.", examples=["7 GPa"]
    )
    shear_modulus: _Modulus | None = optional(
        None, "Likewise the shear modulus in the plane of the board.", examples=["0.65 GPa"]
    )
    poisson_ratio: Annotated[float, Number(0, 0.9)] | None = optional(
        None, "Strain across over strain along, for stress along. Default: 0.3."
    )
    loss_factor: Annotated[float, Number(0.0001, 1)] | None = optional(
        None, "Structural loss factor. Default: 0.02."
    )

    @field_validator("youngs_modulus_along", "youngs_modulus_across", "shear_modulus")
    @classmethod
    def _one_way_or_two(cls, modulus: float | None, info: ValidationInfo) -> float | None:
        if modulus is not None and info.data.get("youngs_modulus") is not None:
            raise ClashError(
                "a board with a youngs_modulus is as stiff one way as the other; keep that, or "
                "youngs_modulus_along, youngs_modulus_across and shear_modulus",
                "youngs_modulus",
            )
        return modulus


class WallTable(Table):
    """A wall that differs from the others."""

    material: _BoardName | None = optional(
        None, "Its material. Default: that of the others.", examples=["birch plywood"]
    )
    thickness: _Thickness | None = optional(
        None, "Its thickness. Default: cabinet.wall_thickness.", examples=["22 mm"]
    )


class BraceTable(Table):
    """A brace: along one wall, from wall to wall, or level across the inside."""

    kind: BraceKind = Field(
        description="bar: glued along a wall, from edge to edge. strut: from a wall to the "
        "opposite one. shelf: level across the inside, joined to all walls round it.",
        examples=["bar"],
    )
    name: _BoardName | None = optional(
        None, "What it is called in the cut list. Default: its kind and number.", examples=["ring"]
    )
    walls: Annotated[list[_FaceName], Field(min_length=1, max_length=24)] | None = optional(
        None,
        "Bar: the wall that carries it; one such bar for each of several. Strut: the two that it "
        "stands between, or the first of them.",
        examples=[["back"]],
    )
    run: Run | None = optional(
        None, "Bar only: along the wall's longer side, or crosswise. Default: crosswise."
    )
    at: Annotated[float, length_from("-5 m", "5 m")] | None = optional(
        None,
        "Bar: how far its middle line lies from the wall's middle, right or up as one sees it from "
        "outside: right is to the front on the left wall, to the back on the right one. Shelf: "
        "height of its middle above that of the inside. Default: 0 mm.",
        examples=["40 mm"],
    )
    position: Point | None = optional(
        None,
        "Strut only: its middle on the first wall: [right, up] as one sees it from outside. "
        "Default: the middle.",
        examples=[["0 mm", "100 mm"]],
    )
    width: _Side | None = optional(
        None, "Bar: how wide it is on the wall. Strut: side of its section.", examples=["18 mm"]
    )
    height: _Side | None = optional(
        None,
        "Bar: how far it stands into the cabinet. Strut: other side of its section.",
        examples=["40 mm"],
    )
    thickness: _Thickness | None = optional(
        None, "Shelf only: of its board. Default: cabinet.wall_thickness.", examples=["18 mm"]
    )
    open: Annotated[float, Number(0, 0.95)] | None = optional(
        None,
        "Shelf only: share of its area that is cut out; 0 parts the inside. Default: 0.5.",
        examples=[0.6],
    )
    material: _BoardName | None = optional(
        None, "Default: that of the walls.", examples=["birch plywood"]
    )
    enclosure: Annotated[str, Name(40)] | None = optional(
        None, "The enclosure it takes volume of, where there are several.", examples=["bass"]
    )

    @field_validator("walls", "run", "at", "position", "width", "height", "thickness", "open")
    @classmethod
    def _of_kind(cls, value: object, info: ValidationInfo) -> object:
        kind, key = info.data.get("kind"), str(info.field_name)
        if kind is None:
            return value
        if value is None and key in _NEEDED[kind]:
            raise ClashError(f"a {kind} has {key}; add it, for example {_EXAMPLES[key]}", "kind")
        if value is not None and key not in (*_NEEDED[kind], *_MAY_HAVE[kind]):
            raise ClashError(f"a {kind} has no {key}; leave it out, or write another kind", "kind")
        return value


_NEEDED: dict[BraceKind, tuple[str, ...]] = {
    "bar": ("walls", "width", "height"),
    "strut": ("walls", "width", "height"),
    "shelf": (),
}
_MAY_HAVE: dict[BraceKind, tuple[str, ...]] = {
    "bar": ("run", "at"),
    "strut": ("position",),
    "shelf": ("at", "thickness", "open"),
}
_EXAMPLES = {"walls": 'walls = ["back"]', "width": 'width = "18 mm"', "height": 'height = "40 mm"'}


class LiningTable(Table):
    """A porous layer on the inner side of some walls; counted as air, not as taken volume."""

    walls: Annotated[tuple[str, ...] | AllBut, _Walls()] = Field(
        description='Which walls: a list of them, "all", or "all but front and bottom".',
        examples=[["back", "top"]],
    )
    material: _BoardName | None = optional(
        None,
        f"A usual one: {', '.join(LININGS)}; or what it is called, with its own figures.",
        examples=["mineral wool"],
    )
    thickness: Annotated[float, length_from("1 mm", "0.5 m")] = Field(
        description="Its thickness.", examples=["30 mm"]
    )
    flow_resistivity: _Resistivity | None = optional(
        None, "Static flow resistivity. Default: that of the material.", examples=["12 kPa s/m2"]
    )
    density: Annotated[float, Quantity(DENSITY, "1 kg/m3", "500 kg/m3")] | None = optional(
        None, "Bulk density. Default: that of the material.", examples=["40 kg/m3"]
    )


class SheetTable(Table):
    """Boards as they are bought, and the saw."""

    length: Annotated[float, length_from("0.1 m", "10 m")] = optional(
        "2440 mm", "Length, along which the grain runs.", examples=["2440 mm"]
    )
    width: Annotated[float, length_from("0.1 m", "10 m")] = optional(
        "1220 mm", "Width.", examples=["1220 mm"]
    )
    kerf: Annotated[float, length_from("0 mm", "20 mm")] = optional("3 mm", "Width of the saw cut.")
    trim: Annotated[float, length_from("0 mm", "100 mm")] = optional(
        "0 mm", "What is cut off every edge first.", examples=["10 mm"]
    )
    turn: bool = optional(_SHEET.turn, "Whether parts may be laid across the grain.")


class StructureTable(Table):
    """What the walls are made of, how they are held together, and what is inside."""

    material: _BoardName = Field(
        description="Of the walls and braces: one of [structure.materials], or a usual board: "
        f"{', '.join(board.name for board in BOARDS)}.",
        examples=["MDF"],
    )
    edges: Annotated[float, _Fixity()] = optional(
        "in between",
        "How walls are held at their edges: hinged, clamped, in between, or a number from 0 "
        "(hinged) to 1 (clamped).",
    )
    materials: Annotated[dict[_BoardName, MaterialTable], Field(max_length=MOST_BOARDS)] = optional(
        {}, "Boards by name, each in a table such as [structure.materials.panel]."
    )
    walls: Annotated[dict[_FaceName, WallTable], Field(max_length=MOST_BOARDS)] = optional(
        {}, "Walls that differ from the others, each in a table such as [structure.walls.front]."
    )
    braces: Annotated[list[BraceTable], Field(max_length=MOST_BRACES)] = optional(
        [], "Braces, each in a table [[structure.braces]]."
    )
    linings: Annotated[list[LiningTable], Field(max_length=MOST_LININGS)] = optional(
        [], "Porous layers on walls, each in a table [[structure.linings]]."
    )
    fill_resistivity: _Resistivity | None = optional(
        None,
        "Flow resistivity of the loose fibre that enclosures.NAME.fill speaks of. Default: little.",
        examples=["2 kPa s/m2"],
    )
    joint: Joint = optional(
        _DEFAULT.joint,
        "How walls meet. butt: one runs past the other. mitre: both are bevelled. rebate: one has "
        "half its thickness cut away for the other.",
    )
    outer: Annotated[list[_FaceName], Field(max_length=64)] | None = optional(
        None,
        "Butt and rebate: the walls from the one that runs past all others on. Default: "
        f"{', '.join(_DEFAULT.outer)}.",
        examples=[[*_DEFAULT.outer]],
    )
    sheet: SheetTable = optional({}, "Boards as they are bought, and the saw.")
    reach: Annotated[float, Quantity(FREQUENCY, "200 Hz", "10 kHz")] = optional(
        "1.5 kHz", "How far up modes of walls and of the air inside are followed."
    )

    @field_validator("outer")
    @classmethod
    def _named_once(cls, outer: list[str] | None) -> list[str] | None:
        twice = next((name for name in outer or () if (outer or []).count(name) > 1), None)
        if twice is not None:
            raise ValueError(f"'{twice}' is there twice; name each wall once")
        return outer
