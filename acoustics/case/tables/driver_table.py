"""The text layer of [drivers.NAME]: a piston on a face of the cabinet."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import ConfigDict, Field, JsonValue, ValidationInfo, field_validator
from pydantic.config import JsonDict

from acoustics.cabinet import FLAT, Profile, annulus, cone, dome
from acoustics.case.design.faces import Direction
from acoustics.case.tables.cabinet_table import Point
from acoustics.case.tables.crossover_tables import Polarity
from acoustics.case.tables.face_value import FaceOf
from acoustics.case.tables.fields import FILE_NAME, Number, Quantity, Text, length
from acoustics.case.tables.measured_table import MeasuredTable
from acoustics.case.tables.profile_rows import MOST_ROWS, ProfileRow, profile_from
from acoustics.case.tables.small_signal_table import SmallSignalTable, VoiceCoilTable
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.units import FREQUENCY, MASS, POWER, RESISTANCE, VOLUME, in_unit
from acoustics.conventions import GeometryError

FORMS = ("dome_height", "cone_depth", "ring_inner_diameter", "profile")
"""Keys of which a driver has at most one: what its piston is, if it is not flat."""

HORNS = ("waveguide", "horn")
"""Parts of keys that nobody should take for misspelt ones: there are none for such drivers."""


def _needed(schema: JsonDict) -> None:
    """What the schema says of keys that a driver file may say instead."""
    schema["required"] = ["position"]
    instead = {"piston_diameter": ["small_signal"], "sensitivity": ["small_signal", "measured"]}
    either: list[JsonValue] = [
        {"anyOf": [{"required": [one]} for one in (key, *others)]}
        for key, others in instead.items()
    ]
    schema["if"] = {"not": {"required": ["file"]}}
    schema["then"] = {"required": ["frame_diameter"], "allOf": either}


class DriverTable(Table):
    """A driver: a piston on a face of the cabinet."""

    model_config = ConfigDict(json_schema_extra=_needed)

    piston_diameter: Annotated[float, length("5 mm", "1 m")] | None = optional(
        None,
        "Effective piston diameter: the cone or dome and half its surround. Default: that of "
        "small_signal.effective_area.",
        examples=["25 mm"],
    )
    small_signal: SmallSignalTable | None = optional(
        None, "Small-signal parameters, from which the motion of the cone follows."
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
        "cone_depth or depths in a profile: that of the rim. Where the driver was measured with "
        "its delay, that counts, and this only tells how "
        "long others wait for it with acoustic slopes.",
        examples=["18 mm"],
    )
    sensitivity: Annotated[float, Number(50, 130, "dB")] | None = optional(
        None,
        "Level in dB at 1 m for 2.83 V into half space. Default: that of small_signal, or what was "
        "measured.",
        examples=[89.0],
    )
    polarity: Polarity = optional("normal", "Whether the driver is wired the other way round.")
    breakup: Annotated[float, Quantity(FREQUENCY, "100 Hz", "100 kHz")] | None = optional(
        None,
        "Frequency above which the cone or dome no longer moves as one, where that is known.",
        examples=["3.5 kHz"],
    )
    file: Annotated[str, FILE_NAME] | None = optional(
        None,
        "A driver file, its path counted from the case file's folder. It says what is left out "
        "here.",
        examples=["../drivers/woofer-165.toml"],
    )
    model: Annotated[str, Text(120)] | None = optional(
        None, "What the driver is called.", examples=["Invented 165 mm woofer"]
    )
    voice_coil: VoiceCoilTable | None = optional(
        None, "The voice coil beside its resistance. Default: nothing."
    )
    most_displacement: Annotated[float, length("0.01 mm", "0.2 m")] | None = optional(
        None,
        "X_max: the largest displacement of the cone in one direction, peak.",
        examples=["5 mm"],
    )
    power: Annotated[float, Quantity(POWER, "0.01 W", "100 kW")] | None = optional(
        None, "Power that the driver can take, at its rated impedance.", examples=["60 W"]
    )
    rated_impedance: Annotated[float, Quantity(RESISTANCE, "0.1 ohm", "10 kohm")] | None = optional(
        None, "Rated (nominal) impedance, to which its power refers.", examples=["8 ohm"]
    )
    impedance: Annotated[str, FILE_NAME] | None = optional(
        None,
        "A text table of the driver's impedance as measured in this cabinet: frequency, ohm, phase "
        "in degrees. Its path is counted from the folder of the file in which this stands. On a "
        "passive crossover the driver is this load.",
        examples=["woofer-impedance.csv"],
    )
    extrapolate_impedance: bool = optional(
        False,
        "Whether that table may be carried on past its ends where the prediction goes beyond them.",
    )
    measured: MeasuredTable | None = optional(
        None,
        "The driver's response as measured on this cabinet, from which its source follows in place "
        "of that of a model.",
    )
    cutout_diameter: Annotated[float, length("5 mm", "1.2 m")] | None = optional(
        None, "Diameter of the hole in the wall.", examples=["147 mm"]
    )
    mounting_depth: Annotated[float, length("0 mm", "1 m")] | None = optional(
        None, "How far it reaches behind the wall's front.", examples=["75 mm"]
    )
    displaced_volume: Annotated[float, Quantity(VOLUME, "0 l", "1 m3")] | None = optional(
        None, "What it takes of the volume behind the wall.", examples=["0.5 l"]
    )
    mass: Annotated[float, Quantity(MASS, "0.1 g", "1000 kg")] | None = optional(
        None, "Mass of the whole driver.", examples=["1.4 kg"]
    )
    price: Annotated[float, Number(0, 1e9)] | None = optional(
        None, "Price of one, a bare number in any currency.", examples=[45.0]
    )

    @field_validator("extrapolate_impedance")
    @classmethod
    def _of_a_table(cls, beyond: bool, info: ValidationInfo) -> bool:
        if beyond and info.data.get("impedance", 0) is None:
            raise ClashError(
                "there is no table to be carried on; add impedance or leave the key out",
                "impedance",
            )
        return beyond

    @field_validator("frame_diameter")
    @classmethod
    def _frame_holds_piston(cls, frame: float, info: ValidationInfo) -> float:
        refuse_small_frame(frame, piston_diameter_of(info.data))
        return frame

    @field_validator("cutout_diameter")
    @classmethod
    def _between_piston_and_frame(cls, cutout: float | None, info: ValidationInfo) -> float | None:
        frame, piston = info.data.get("frame_diameter"), piston_diameter_of(info.data)
        if cutout is not None and frame is not None and cutout >= frame:
            raise ValueError(
                f"the hole ({in_unit(cutout, 'mm')}) is not smaller than the frame "
                f"({in_unit(frame, 'mm')}), which would fall through; give the diameter of the "
                "hole in the wall"
            )
        if cutout is not None and piston is not None and cutout < piston:
            raise ValueError(
                f"the hole ({in_unit(cutout, 'mm')}) is smaller than the piston "
                f"({in_unit(piston, 'mm')}); give the diameter of the hole in the wall"
            )
        return cutout

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
        driver = {**info.data, key: value}
        piston = piston_diameter_of(driver)
        needed = {"cone_depth"} if key == "cap_diameter" else set()
        frame = info.data.get("frame_diameter")
        if key == "ring_inner_diameter" and frame and piston and piston > frame:
            raise ClashError(
                f"round this hole small_signal.effective_area makes a piston of "
                f"{in_unit(piston, 'mm')}, larger than the frame ({in_unit(frame, 'mm')})",
                "frame_diameter",
            )
        # The rows of a profile have checks of their own, each at its row.
        if key != "profile" and piston is not None and needed <= info.data.keys():
            try:
                profile_of({**driver, "piston_diameter": piston})
            except GeometryError as error:
                raise ValueError(str(error)) from None
        return value


def refuse_small_frame(frame: float, piston: float | None) -> None:
    """Refuse a frame (m) that does not hold its piston; None where that is not known.

    Raises:
        ValueError: it is smaller.
    """
    if piston is not None and frame < piston:
        raise ValueError(
            f"the frame ({in_unit(frame, 'mm')}) is smaller than the piston "
            f"({in_unit(piston, 'mm')}); give the outer diameter of the frame"
        )


def ring_hole(driver: Mapping[str, Any]) -> float:
    """Diameter (m) inside which nothing of a driver's piston moves, from the values of its table.

    0 unless it is a ring.
    """
    inner: float | None = driver.get("ring_inner_diameter")
    if inner is not None:
        return inner
    rows = driver.get("profile")
    return 2 * float(rows[0].radius) if rows else 0.0


def area_of(diameter: float, hole: float) -> float:
    """Area (m²) of a disc, or of a ring, from its diameters (m)."""
    return math.pi * (diameter**2 - hole**2) / 4


def diameter_of(area: float, hole: float) -> float:
    """Outer diameter (m) of a disc or a ring of this area (m²) round a hole of this diameter."""
    return math.sqrt(4 * area / math.pi + hole**2)


def piston_diameter_of(driver: Mapping[str, Any]) -> float | None:
    """A driver's piston diameter (m), from the values of its table.

    That of the effective area if it is not stated; None where that is not known either.
    """
    if "piston_diameter" not in driver:  # stated, but wrong
        return None
    stated: float | None = driver["piston_diameter"]
    table: SmallSignalTable | None = driver.get("small_signal")
    if stated is not None or table is None or table.effective_area is None:
        return stated
    return diameter_of(table.effective_area, ring_hole(driver))


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
