"""The text layer of [cabinet]: its shape, its sizes, and what is done to its edges."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, JsonValue, ValidationInfo, field_validator

from acoustics.case.design.model import CabinetShape
from acoustics.case.tables.fields import Quantity, length
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.limits import MOST_EDGES
from acoustics.case.text.units import ANGLE

Place = Annotated[float, length("-5 m", "5 m")]
Point = Annotated[list[Place], Field(min_length=2, max_length=2)]
Corner = Annotated[list[Place], Field(min_length=3, max_length=3)]
MOST_CORNERS = 64

Edge = Literal[
    "front left",
    "front right",
    "front top",
    "front bottom",
    "back left",
    "back right",
    "back top",
    "back bottom",
    "top left",
    "top right",
    "bottom left",
    "bottom right",
    "upper front left",
    "upper front right",
    "upper back left",
    "upper back right",
    "lower front left",
    "lower front right",
    "lower back left",
    "lower back right",
]
"""Upper and lower tell two edges apart whose faces look equally far to the side."""

Edges = Annotated[list[Edge], Field(min_length=1, max_length=20)]
Setbacks = Annotated[
    list[Annotated[float, length("0 mm", "2 m")]], Field(min_length=2, max_length=2)
]

SIZES = ("width", "height", "depth")
NEEDED: dict[CabinetShape, tuple[str, ...]] = {
    "box": SIZES,
    "sloped front": (*SIZES, "lean"),
    "pyramid": (*SIZES, "front_width", "front_height"),
    "plate": ("width", "height"),
    "corners": ("corners",),
}
"""Keys that each shape must have; a plate may have an outline instead."""

EDGES = ("chamfers", "rounds")
WALLED = (*EDGES, "wall_thickness")

MAY_HAVE: dict[CabinetShape, tuple[str, ...]] = {
    "box": WALLED,
    "sloped front": ("hinge", *WALLED),
    "pyramid": ("shift", *WALLED),
    "plate": ("outline", "thickness", *EDGES),
    "corners": WALLED,
}
"""Further keys that each shape may have."""

_CALLED: dict[CabinetShape, str] = {
    "box": "a box",
    "sloped front": "a cabinet with a sloped front",
    "pyramid": "a pyramid",
    "plate": "a plate",
    "corners": "a body given by its corners",
}


def needed_keys(values: Mapping[str, Any]) -> tuple[str, ...]:
    """Keys that a cabinet with these values must have; the shape, if that is not known."""
    if values.get("shape") == "plate" and values.get("outline") is not None:
        return ("outline",)
    return NEEDED.get(values.get("shape", ""), ("shape",))


def _conditions() -> list[JsonValue]:
    """What the schema says of the keys each shape must have; a file without a shape has a box."""
    conditions: list[JsonValue] = []
    for shape, needed in NEEDED.items():
        is_so: dict[str, JsonValue] = {"properties": {"shape": {"const": shape}}}
        if shape != "box":
            is_so["required"] = ["shape"]
        keys: JsonValue = {"required": list(needed)}
        if shape == "plate":
            keys = {"oneOf": [{"required": ["outline"]}, keys]}
        conditions.append({"if": is_so, "then": keys})
    return conditions


class ChamferTable(Table):
    """Edges cut off flat."""

    edges: Edges = Field(
        description="The edges, each by the two faces that meet in it.",
        examples=[["front left", "front right"]],
    )
    setback: Annotated[float, length("0.1 mm", "2 m")] | None = optional(
        None, "How far the cut reaches into both faces.", examples=["25 mm"]
    )
    setbacks: Setbacks | None = optional(
        None,
        "How far the cut reaches into the first and into the second face that the edge's name has.",
        examples=[["20 mm", "30 mm"]],
    )
    far_setbacks: Setbacks | None = optional(
        None,
        "Of a tapering cut, the setbacks at the edge's top, right or back end; setback or "
        "setbacks then hold at its bottom, left or front end.",
        examples=[["10 mm", "15 mm"]],
    )

    @field_validator("setbacks")
    @classmethod
    def _one_of_two(cls, setbacks: list[float] | None, info: ValidationInfo) -> list[float] | None:
        if "setback" not in info.data:
            return setbacks
        alone = info.data["setback"]
        if setbacks is None and alone is None:
            raise ClashError(
                'a chamfer has a setback; add it, for example setback = "25 mm"', "setback"
            )
        if setbacks is not None and alone is not None:
            raise ClashError(
                "the chamfer has a setback and setbacks; keep one of the two", "setback"
            )
        return setbacks


class RoundTable(Table):
    """Edges rounded off."""

    edges: Edges = optional(
        ["front left", "front right", "front top", "front bottom"],
        "The edges, each by the two faces that meet in it. Default: the front face's four.",
        examples=[["front left", "front right"]],
    )
    radius: Annotated[float, length("1 mm", "1 m")] = Field(
        description="Radius of the rounding.", examples=["20 mm"]
    )


class CabinetTable(Table):
    """The outside of the cabinet."""

    model_config = ConfigDict(json_schema_extra={"allOf": _conditions()})

    shape: CabinetShape = optional(
        "box",
        "box: rectangular. sloped front: its front face leans. pyramid: front and back face of "
        "different size. plate: an open baffle. corners: any convex body.",
    )
    outline: Annotated[list[Point], Field(min_length=3, max_length=MOST_CORNERS)] | None = optional(
        None,
        "Plate only, in place of width and height: the corners [right, up] of a convex outline, in "
        "order round it, from any origin. Its front face's centre is the middle of its extent.",
        examples=[[["-150 mm", "-200 mm"], ["150 mm", "-200 mm"], ["0 mm", "300 mm"]]],
    )
    width: Annotated[float, length("20 mm", "5 m")] | None = optional(
        None, "Outer width; of a pyramid, that of its back face.", examples=["220 mm"]
    )
    height: Annotated[float, length("20 mm", "5 m")] | None = optional(
        None, "Outer height; of a pyramid, that of its back face.", examples=["380 mm"]
    )
    depth: Annotated[float, length("20 mm", "5 m")] | None = optional(
        None,
        "Outer depth, front to back; with a sloped front, at its hinge.",
        examples=["300 mm"],
    )
    base_height: Annotated[
        float, length("0 mm", "5 m", "the cabinet cannot stand under the floor")
    ] = optional(
        "0 mm",
        "Height of the cabinet's base above the floor: its stand or spikes.",
        examples=["600 mm"],
    )
    chamfers: Annotated[list[ChamferTable], Field(max_length=MOST_EDGES)] | None = optional(
        None,
        "Edges cut off flat; not on a plate without thickness.",
        examples=[[{"edges": ["front left", "front right"], "setback": "25 mm"}]],
    )
    rounds: Annotated[list[RoundTable], Field(max_length=MOST_EDGES)] | None = optional(
        None,
        "Edges rounded off; not on a plate without thickness.",
        examples=[[{"radius": "20 mm"}]],
    )
    lean: Annotated[float, Quantity(ANGLE, "-44 deg", "44 deg")] | None = optional(
        None,
        "Sloped front only: by how much it leans back; negative for forward.",
        examples=["8 deg"],
    )
    hinge: Literal["bottom", "middle"] | None = optional(
        None,
        "Sloped front only: the level line about which it leans, its lower edge or its middle. "
        "Default: bottom.",
    )
    front_width: Annotated[float, length("20 mm", "5 m")] | None = optional(
        None, "Pyramid only: width of the front face.", examples=["160 mm"]
    )
    front_height: Annotated[float, length("20 mm", "5 m")] | None = optional(
        None, "Pyramid only: height of the front face.", examples=["300 mm"]
    )
    shift: Point | None = optional(
        None,
        "Pyramid only: how far the front face's centre lies [right, up] from the back's. "
        "Default: straight in front of it.",
        examples=[["0 mm", "20 mm"]],
    )
    thickness: Annotated[float, length("0 mm", "0.2 m")] | None = optional(
        None, "Plate only: its thickness. Default: 0 mm.", examples=["18 mm"]
    )
    wall_thickness: Annotated[float, length("1 mm", "0.2 m")] | None = optional(
        None,
        "Thickness of the walls; needed where the volume of an enclosure follows from the "
        "cabinet's inside. Not on a plate.",
        examples=["18 mm"],
    )
    corners: Annotated[list[Corner], Field(min_length=4, max_length=MOST_CORNERS)] | None = (
        optional(
            None,
            "Corners only: the points [right, up, toward the listener], in any order, from any "
            "origin. The front face is the one that looks most toward the listener.",
            examples=[
                [
                    ["-110 mm", "0 mm", "0 mm"],
                    ["110 mm", "0 mm", "0 mm"],
                    ["0 mm", "300 mm", "0 mm"],
                    ["0 mm", "100 mm", "-200 mm"],
                ]
            ],
        )
    )

    @field_validator(
        *SIZES, *{key for keys in (*NEEDED.values(), *MAY_HAVE.values()) for key in keys}
    )
    @classmethod
    def _of_shape(cls, value: Any, info: ValidationInfo) -> Any:
        shape, key = info.data.get("shape"), str(info.field_name)
        if shape is None:
            return value
        # Of an outline with a fault nothing is known but that it is there.
        outlined = shape == "plate" and info.data.get("outline", "") is not None
        if outlined and key in NEEDED["plate"]:
            if value is not None and "outline" in info.data:
                raise ClashError(
                    f"the plate has an outline, which says its {key}; keep one of the two",
                    "outline",
                )
            return value
        if value is None and key in NEEDED[shape]:
            example = (cls.model_fields[key].examples or [""])[0]
            raise ClashError(
                f"the key is missing; add it, for example {key} = {json.dumps(example)}", "shape"
            )
        if value is not None and key not in NEEDED[shape] + MAY_HAVE[shape]:
            raise ClashError(f"{_CALLED[shape]} has no {key}; {_way_out(shape, key)}", "shape")
        return value


def _way_out(shape: CabinetShape, key: str) -> str:
    if key in SIZES:
        instead = "write thickness instead" if shape == "plate" else "the corners say it all"
        return f"leave the key out: {instead}"
    owner = next(owner for owner in NEEDED if key in NEEDED[owner] + MAY_HAVE[owner])
    return f'leave the key out or write shape = "{owner}"'
