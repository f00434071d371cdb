"""The text layer of what surrounds the cabinet: its placement, the seats and the surfaces."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.model import SurfaceName
from acoustics.case.tables.fields import Name, Number, Quantity, length
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.units import ANGLE, FLOW_RESISTIVITY

SeatName = Annotated[str, Name(40)]
MOST_OTHER_SEATS = 8
PAIR = "mirrored pair"

SURFACES: dict[SurfaceName, str] = {
    "floor": "floor",
    "ceiling": "ceiling",
    "front wall": "front_wall",
    "rear wall": "rear_wall",
    "left wall": "left_wall",
    "right wall": "right_wall",
}
"""Each surface and its table in the file, in the order of the model."""


class PlacementTable(Table):
    """How the cabinet, or a pair of them, stands in the room."""

    cabinets: Literal["single", "mirrored pair"] = optional(
        "single",
        "One cabinet, or two: the left one as drawn, the right one its mirror image.",
    )
    spacing: Annotated[float, length("0.1 m", "20 m")] | None = optional(
        None,
        "Distance between the centres of a pair's front faces; a single cabinet has none.",
        examples=["2 m"],
    )
    toe_in: Annotated[float, Quantity(ANGLE, "-90 deg", "90 deg")] = optional(
        "0 deg",
        "By how much each cabinet is turned about the vertical through the centre of its front "
        "face: inward for a pair, to the right for a single cabinet.",
        examples=["10 deg"],
    )

    @field_validator("spacing")
    @classmethod
    def _between_two(cls, spacing: float | None, info: ValidationInfo) -> float | None:
        cabinets = info.data.get("cabinets")
        if cabinets == PAIR and spacing is None:
            raise ClashError(
                'a pair has a spacing; add it, for example spacing = "2 m"', "cabinets"
            )
        if cabinets == "single" and spacing is not None:
            raise ClashError(
                f'a single cabinet has no spacing; leave the key out or write cabinets = "{PAIR}"',
                "cabinets",
            )
        return spacing


SeatDistance = Annotated[
    float, length("0.1 m", "100 m", "less, and the ears would touch the cabinet or be inside")
]
Aside = Annotated[float, length("-100 m", "100 m")]


class OtherSeatTable(Table):
    """A further seat."""

    distance: SeatDistance | None = optional(
        None,
        "From the plane of the front-face centres to the ears. Default: as for the main seat.",
        examples=["2.7 m"],
    )
    aside: Aside = optional(
        "0 m", "To the right of the middle, as the listener sees it.", examples=["0.7 m"]
    )


class SeatTable(Table):
    """Where people sit: the main seat and others."""

    distance: SeatDistance = Field(
        description="From the plane of the front-face centres to the ears.", examples=["2.5 m"]
    )
    aside: Aside = optional(
        "0 m",
        "To the right of the middle, which is between the cabinets of a pair or at the single "
        "cabinet, as the listener sees it.",
        examples=["0.2 m"],
    )
    ear_heights: Annotated[
        list[Annotated[float, length("0.05 m", "10 m", "ears are above the floor")]],
        Field(min_length=1, max_length=50),
    ] = Field(
        description="One or several heights of the ears above the floor, at every seat.",
        examples=[["0.85 m", "0.95 m", "1.05 m"]],
    )
    others: Annotated[dict[SeatName, OtherSeatTable], Field(max_length=MOST_OTHER_SEATS)] = (
        optional({}, "Further seats by name, each in a table such as [seat.others.sofa-end].")
    )


class AbsorberTable(Table):
    """A porous layer on a hard backing."""

    thickness: Annotated[float, length("1 mm", "1 m")] = Field(
        description="Thickness of the layer.", examples=["50 mm"]
    )
    flow_resistivity: Annotated[
        float, Quantity(FLOW_RESISTIVITY, "0.5 kPa s/m2", "1000 kPa s/m2")
    ] = Field(
        description="Static flow resistivity: of mineral wool about 5 to 50 kPa s/m2.",
        examples=["10 kPa s/m2"],
    )


class _SurfaceTable(Table):
    """What every surface has: how much of the sound it reflects."""

    surface: ClassVar[str]

    reflection: Annotated[float, Number(-1, 1)] | None = optional(
        None, "Pressure reflection factor; not 0. Default: 1, a hard surface.", examples=[0.9]
    )
    absorber: AbsorberTable | None = optional(
        None,
        "In place of a reflection factor: a porous layer.",
        examples=[{"thickness": "50 mm", "flow_resistivity": "10 kPa s/m2"}],
    )

    @field_validator("reflection")
    @classmethod
    def _reflects(cls, reflection: float | None) -> float | None:
        if reflection == 0:
            raise ValueError(
                f"a {cls.surface} that reflects nothing is none; leave the whole table out"
            )
        return reflection

    @field_validator("absorber")
    @classmethod
    def _either(cls, absorber: AbsorberTable | None, info: ValidationInfo) -> AbsorberTable | None:
        if absorber is not None and info.data.get("reflection") is not None:
            raise ValueError(
                f"the {cls.surface} has a reflection factor and an absorber; keep one of the two"
            )
        return absorber


class FloorTable(_SurfaceTable):
    """A plane floor under the cabinets and the seats."""

    surface = "floor"

    mirrors_cabinet: bool = optional(
        False,
        "The cabinet stands on a hard floor: it and its mirror image are solved as one body.",
    )

    @field_validator("mirrors_cabinet")
    @classmethod
    def _is_hard(cls, mirrors: bool, info: ValidationInfo) -> bool:
        if mirrors and info.data.get("absorber") is not None:
            raise ClashError(
                "only a hard floor mirrors the cabinet, and this one has an absorber; take one "
                "of the two out",
                "absorber",
            )
        if mirrors and info.data.get("reflection") not in (None, 1):
            raise ClashError(
                "only a hard floor mirrors the cabinet; write reflection = 1 or take "
                "mirrors_cabinet out",
                "reflection",
            )
        return mirrors


class CeilingTable(_SurfaceTable):
    """A plane ceiling."""

    surface = "ceiling"

    height: Annotated[float, length("0.3 m", "100 m")] = Field(
        description="Height above the floor.", examples=["2.5 m"]
    )


WallDistance = Annotated[float, length("0.05 m", "100 m")]


class FrontWallTable(_SurfaceTable):
    """The wall behind the cabinets."""

    surface = "front wall"

    distance: WallDistance = Field(
        description="From the front-face centres back to the wall.", examples=["0.7 m"]
    )


class RearWallTable(_SurfaceTable):
    """The wall behind the listener."""

    surface = "rear wall"

    distance: WallDistance = Field(
        description="From the front-face centres ahead to the wall.", examples=["4 m"]
    )


class SideWallTable(_SurfaceTable):
    """The wall to the left or to the right."""

    surface = "side wall"

    distance: WallDistance = Field(
        description="From the middle, between the cabinets of a pair or at the single cabinet.",
        examples=["1.8 m"],
    )


SURFACE_TABLES: dict[SurfaceName, type[Table]] = {
    "floor": FloorTable,
    "ceiling": CeilingTable,
    "front wall": FrontWallTable,
    "rear wall": RearWallTable,
    "left wall": SideWallTable,
    "right wall": SideWallTable,
}
