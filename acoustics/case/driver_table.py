"""The text layer of [drivers.NAME]: a piston on a face of the cabinet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator

from acoustics.cabinet import FLAT, Profile, annulus, cone, dome
from acoustics.case.cabinet_table import Point
from acoustics.case.crossover_tables import Polarity
from acoustics.case.face_value import FaceOf
from acoustics.case.faces import Direction
from acoustics.case.fields import Number, Quantity, length
from acoustics.case.profile_rows import MOST_ROWS, ProfileRow, profile_from
from acoustics.case.table import ClashError, Table, optional
from acoustics.case.units import FREQUENCY, in_unit
from acoustics.conventions import GeometryError

FORMS = ("dome_height", "cone_depth", "ring_inner_diameter", "profile")
"""Keys of which a driver has at most one: what its piston is, if it is not flat."""

HORNS = ("waveguide", "horn")
"""Parts of keys that nobody should take for misspelt ones: there are none for such drivers."""


class DriverTable(Table):
    """A driver: a piston on a face of the cabinet."""

    piston_diameter: Annotated[float, length("5 mm", "1 m")] = Field(
        description="Effective piston diameter: the cone or dome and half its surround.",
        examples=["25 mm"],
    )
    frame_diameter: Annotated[float, length("5 mm", "1.2 m")] = Field(
        description="Outer diameter of the frame.", examples=["100 mm"]
    )
    face: Annotated[str | Direction, FaceOf()] = optional(
        "front",
        "The face of the cabinet that carries the driver: its name, or where it looks "
        "[right, up, toward the listener], as [-1, 0, 1] for a chamfer of the front left edge.",
        examples=["top", [-1, 0, 1]],
    )
    position: Point = Field(
        description="Centre on its face, from the face's centre: [right, up] as one sees the face "
        "from outside. On the top, up is to the back; on the bottom, to the front.",
        examples=[["0 mm", "120 mm"]],
    )
    both_sides: bool = optional(
        False,
        "Plate only: the driver radiates from both sides, in opposite phase, as on an open baffle.",
    )
    dome_height: Annotated[float, length("-0.5 m", "0.5 m")] | None = optional(
        None,
        "Of a dome: how far its top stands out of its rim; negative for a concave one.",
        examples=["6 mm"],
    )
    cone_depth: Annotated[float, length("0 mm", "0.5 m")] | None = optional(
        None, "Of a cone: how deep its cap or apex lies behind its rim.", examples=["25 mm"]
    )
    cap_diameter: Annotated[float, length("0 mm", "1 m")] | None = optional(
        None, "Of a cone: diameter of its flat cap. Default: none.", examples=["40 mm"]
    )
    ring_inner_diameter: Annotated[float, length("0.1 mm", "1 m")] | None = optional(
        None, "Of a ring: the diameter inside which nothing moves.", examples=["20 mm"]
    )
    profile: Annotated[list[ProfileRow], Field(min_length=2, max_length=MOST_ROWS)] | None = (
        optional(
            None,
            "How any other piston moves: velocities at radii, from the middle (of a ring, its "
            "inner radius) to the piston's radius; straight between them.",
            examples=[
                [
                    {"radius": "0 mm", "velocity": 1.0},
                    {"radius": "40 mm", "velocity": 0.6, "depth": "8 mm"},
                ]
            ],
        )
    )
    acoustic_depth: Annotated[float, length("-0.5 m", "0.5 m")] = optional(
        "0 mm",
        "How far the acoustic centre lies behind the face; a pure delay. With a dome_height, a "
        "cone_depth or depths in a profile: that of the rim.",
        examples=["18 mm"],
    )
    sensitivity: Annotated[float, Number(50, 130, "dB")] = Field(
        description="Level in dB at 1 m for 2.83 V into half space.", examples=[89.0]
    )
    polarity: Polarity = optional("normal", "Whether the driver is wired the other way round.")
    breakup: Annotated[float, Quantity(FREQUENCY, "100 Hz", "100 kHz")] | None = optional(
        None,
        "Frequency above which the cone or dome no longer moves as one, where that is known.",
        examples=["3.5 kHz"],
    )

    @field_validator("frame_diameter")
    @classmethod
    def _frame_holds_piston(cls, frame: float, info: ValidationInfo) -> float:
        piston = info.data.get("piston_diameter")
        if piston is not None and frame < piston:
            raise ValueError(
                f"the frame ({in_unit(frame, 'mm')}) is smaller than the piston "
                f"({in_unit(piston, 'mm')}); give the outer diameter of the frame"
            )
        return frame

    @field_validator(*FORMS, "cap_diameter")
    @classmethod
    def _one_form(cls, value: Any, info: ValidationInfo) -> Any:
        key = str(info.field_name)
        if value is None:
            return value
        if key == "cap_diameter" and info.data.get("cone_depth", 0.0) is None:
            raise ClashError(
                'only a cone has a cap; add cone_depth, for example cone_depth = "25 mm", or '
                "leave the key out",
                "cone_depth",
            )
        other = next(
            (form for form in FORMS if form != key and info.data.get(form) is not None), ""
        )
        if key in FORMS and other:
            raise ClashError(
                f"a driver has one of {', '.join(FORMS)}; keep {other} or {key}", other
            )
        needed = {"piston_diameter"} | ({"cone_depth"} if key == "cap_diameter" else set())
        # The rows of a profile have checks of their own, each at its row.
        if key != "profile" and needed <= info.data.keys():
            try:
                profile_of({**info.data, key: value})
            except GeometryError as error:
                raise ValueError(str(error)) from None
        return value


def profile_of(driver: Mapping[str, Any]) -> Profile:
    """The profile of a driver's piston, from the values of its table.

    Raises:
        GeometryError: a dome or cone deeper than its radius, a cap or a ring's inside as wide as
            the piston, rows that make no profile.
    """
    radius = driver["piston_diameter"] / 2
    if driver.get("dome_height") is not None:
        return dome(driver["dome_height"], radius)
    if driver.get("cone_depth") is not None:
        return cone(driver["cone_depth"], radius, (driver.get("cap_diameter") or 0.0) / 2)
    if driver.get("ring_inner_diameter") is not None:
        return annulus(driver["ring_inner_diameter"] / 2, radius)
    if driver.get("profile") is not None:
        return profile_from(driver["profile"], radius)
    return FLAT
