"""The text layer of [enclosures.NAME]: the air behind drivers, its ports and passive radiators."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.enclosure_model import EnclosureKind, PortEnd
from acoustics.case.design.faces import Direction
from acoustics.case.tables.cabinet_table import Point
from acoustics.case.tables.driver_table import refuse_small_frame
from acoustics.case.tables.face_value import FaceOf
from acoustics.case.tables.fields import Name, Number, Quantity
from acoustics.case.tables.fields import length as length_from
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.units import (
    COMPLIANCE,
    FREQUENCY,
    MASS,
    MECHANICAL_RESISTANCE,
    VOLUME,
)

OpeningName = Annotated[str, Name(40)]
MOST_ENCLOSURES = 12
MOST_PORTS = 8
"""of one enclosure; likewise passive radiators"""

_POSITION = "from the face's centre: [right, up] as one sees the face from outside, as a driver's."
_FACE = "its name, or where it looks [right, up, toward the listener]."
_LossQ = Annotated[float, Number(1, 1000)]
_Mass = Annotated[float, Quantity(MASS, "0.01 g", "10 kg")]
_Tuning = Annotated[float, Quantity(FREQUENCY, "5 Hz", "500 Hz")]


class PortTable(Table):
    """A duct through a wall of an enclosure, round or a slot."""

    diameter: Annotated[float, length_from("5 mm", "0.5 m")] | None = optional(
        None, "Inner diameter of a round port.", examples=["50 mm"]
    )
    width: Annotated[float, length_from("5 mm", "2 m")] | None = optional(
        None, "Inner width of a slot, along its face.", examples=["160 mm"]
    )
    height: Annotated[float, length_from("5 mm", "2 m")] | None = optional(
        None, "Inner height of a slot.", examples=["20 mm"]
    )
    length: Annotated[float, length_from("1 mm", "5 m")] | None = optional(
        None,
        "Length of the duct, the cabinet's wall included. Without it the enclosure has a tuning, "
        "from which the length follows.",
        examples=["120 mm"],
    )
    face: Annotated[str | Direction, FaceOf()] = optional(
        "front", f"The face of the cabinet that its mouth is in: {_FACE}", examples=["back"]
    )
    position: Point = Field(
        description=f"Centre of its mouth, {_POSITION}", examples=[["0 mm", "100 mm"]]
    )
    outer_end: PortEnd = optional(
        "flush", "flush: its mouth is flush with the cabinet's face. free: the duct stands out."
    )
    inner_end: PortEnd = optional(
        "free", "free: the duct ends in the air of the enclosure. flush: in a wall of it."
    )
    wall: Annotated[float, length_from("0 mm", "50 mm")] | None = optional(
        None,
        "Thickness of the duct's own wall, which takes volume inside. Default: 3 mm if round, of "
        "a slot that of the cabinet's walls.",
        examples=["3 mm"],
    )

    @field_validator("width", "height")
    @classmethod
    def _round_or_slot(cls, size: float | None, info: ValidationInfo) -> float | None:
        if "diameter" not in info.data:
            return size
        key, is_round = str(info.field_name), info.data["diameter"] is not None
        if size is not None and is_round:
            raise ClashError(
                f"a port with a diameter is round and has no {key}; keep the diameter, or width "
                "and height",
                "diameter",
            )
        if is_round or size is not None:
            return size
        if key == "width":
            raise ClashError(
                'a port is round or a slot; add diameter = "50 mm", or width and height, for '
                'example width = "160 mm"',
                "diameter",
            )
        if info.data.get("width") is not None:
            raise ClashError(
                'a slot has a width and a height; add it, for example height = "20 mm"', "width"
            )
        return size


class PassiveRadiatorTable(Table):
    """A cone without a motor in a wall of an enclosure."""

    piston_diameter: Annotated[float, length_from("5 mm", "1 m")] = Field(
        description="Effective piston diameter: the cone and half its surround.",
        examples=["130 mm"],
    )
    frame_diameter: Annotated[float, length_from("5 mm", "1.2 m")] = Field(
        description="Outer diameter of the frame.", examples=["170 mm"]
    )
    face: Annotated[str | Direction, FaceOf()] = optional(
        "front", f"The face of the cabinet that carries it: {_FACE}", examples=["back"]
    )
    position: Point = Field(description=f"Centre, {_POSITION}", examples=[["0 mm", "100 mm"]])
    moving_mass: _Mass = Field(
        description="Mass that moves, with the air that moves along in free air, without what is "
        "added.",
        examples=["28 g"],
    )
    added_mass: Annotated[float, Quantity(MASS, "0 g", "10 kg")] | None = optional(
        None,
        "Mass that is added to it. Without it the enclosure may have a tuning, from which one "
        "added mass for all its passive radiators follows. Default: none.",
        examples=["20 g"],
    )
    resonance: Annotated[float, Quantity(FREQUENCY, "1 Hz", "500 Hz")] | None = optional(
        None, "Resonance in free air, without added mass.", examples=["22 Hz"]
    )
    compliance: Annotated[float, Quantity(COMPLIANCE, "0.01 mm/N", "100 mm/N")] | None = optional(
        None, "In place of a resonance: compliance of its suspension.", examples=["1.1 mm/N"]
    )
    mechanical_q: Annotated[float, Number(0.1, 100)] | None = optional(
        None, "Mechanical Q in free air, without added mass.", examples=[6.0]
    )
    mechanical_resistance: (
        Annotated[float, Quantity(MECHANICAL_RESISTANCE, "0.001 kg/s", "1000 kg/s")] | None
    ) = optional(
        None,
        "In place of a mechanical Q: resistance of its suspension.",
        examples=["0.8 kg/s"],
    )
    most_displacement: Annotated[float, length_from("0.1 mm", "0.2 m")] | None = optional(
        None, "How far it can move in one direction, peak.", examples=["10 mm"]
    )
    displaced_volume: Annotated[float, Quantity(VOLUME, "0 l", "100 l")] = optional(
        "0 l", "Volume it takes inside the enclosure.", examples=["0.3 l"]
    )

    @field_validator("frame_diameter")
    @classmethod
    def _frame_holds_piston(cls, frame: float, info: ValidationInfo) -> float:
        refuse_small_frame(frame, info.data.get("piston_diameter"))
        return frame

    @field_validator("compliance", "mechanical_resistance")
    @classmethod
    def _one_of_two(cls, value: float | None, info: ValidationInfo) -> float | None:
        key = str(info.field_name)
        other, example = {
            "compliance": ("resonance", 'resonance = "22 Hz"'),
            "mechanical_resistance": ("mechanical_q", "mechanical_q = 6.0"),
        }[key]
        if other not in info.data:
            return value
        stated = info.data[other] is not None
        if value is None and not stated:
            raise ClashError(
                f"a passive radiator has a {other} or a {key}; add one, for example {example}",
                other,
            )
        if value is not None and stated:
            raise ClashError(
                f"the passive radiator has a {other} and a {key}; keep one of the two", other
            )
        return value


class EnclosureTable(Table):
    """The air behind one or more drivers."""

    kind: EnclosureKind = Field(
        description="closed: an airtight box. vented: with ports. passive radiator: with passive "
        "radiators.",
        examples=["vented"],
    )
    drivers: Annotated[list[Annotated[str, Name(40)]], Field(min_length=1, max_length=24)] = Field(
        description="The drivers that share this air, by name.", examples=[["woofer"]]
    )
    ports: Annotated[dict[OpeningName, PortTable], Field(max_length=MOST_PORTS)] | None = optional(
        None,
        "Vented only: its ports by name, each in a table such as [enclosures.bass.ports.rear].",
    )
    passive_radiators: (
        Annotated[dict[OpeningName, PassiveRadiatorTable], Field(max_length=MOST_PORTS)] | None
    ) = optional(
        None,
        "Passive radiator only: these by name, each in a table such as "
        "[enclosures.bass.passive_radiators.rear].",
    )
    tuning: _Tuning | None = optional(
        None,
        "Frequency to which it is tuned. The ports without a length get the one common length that "
        "takes, the passive radiators a common added mass.",
        examples=["42 Hz"],
    )
    volume: Annotated[float, Quantity(VOLUME, "0.05 l", "2 m3")] | None = optional(
        None,
        "Net volume of its air. Default: what is left of the cabinet's inside, which follows from "
        "cabinet.wall_thickness.",
        examples=["14 l"],
    )
    share: Annotated[float, Number(0.001, 1)] | None = optional(
        None,
        "In place of a volume: its share of the cabinet's inside. Default: 1.",
        examples=[0.8],
    )
    braces: Annotated[float, Quantity(VOLUME, "0 l", "1 m3")] | None = optional(
        None,
        "Volume that braces and whatever else is in there take. Default: that of its braces in "
        "[structure].",
        examples=["0.4 l"],
    )
    fill: Annotated[float, Number(0, 1)] = optional(
        0.0,
        "Share of the volume that is loosely filled with fibre; filled throughout, the air acts "
        "like a quarter more.",
        examples=[0.2],
    )
    leakage_q: _LossQ = optional(
        7.0, "Q_L, of the leakage losses, at the tuning or the closed resonance."
    )
    absorption_q: _LossQ | None = optional(
        None, "Q_A, of the fill's losses, likewise. Default: no losses.", examples=[50.0]
    )
    port_q: _LossQ | None = optional(
        None,
        "Vented only: Q_P, of the losses in all its ports, likewise. Default: no losses.",
        examples=[50.0],
    )

    @field_validator("ports", "passive_radiators")
    @classmethod
    def _of_kind(cls, openings: dict[str, Any] | None, info: ValidationInfo) -> Any:
        kind, key = info.data.get("kind"), str(info.field_name)
        if kind is None:
            return openings
        owner: EnclosureKind = "vented" if key == "ports" else "passive radiator"
        words = key.replace("_", " ")
        if kind == owner and not openings:
            raise ClashError(
                f'"{owner}" has {words}; add a table such as [enclosures.NAME.{key}.rear], or '
                'write kind = "closed"',
                "kind",
            )
        if kind != owner and openings is not None:
            raise ClashError(
                f'"{kind}" has no {words}; take them out or write kind = "{owner}"', "kind"
            )
        return openings

    @field_validator("drivers")
    @classmethod
    def _named_once(cls, drivers: list[str]) -> list[str]:
        twice = next((name for name in drivers if drivers.count(name) > 1), None)
        if twice is not None:
            raise ValueError(f"'{twice}' is there twice; name each driver once")
        return drivers

    @field_validator("tuning")
    @classmethod
    def _sets_something(cls, tuning: float | None, info: ValidationInfo) -> float | None:
        kind = info.data.get("kind")
        if kind == "closed" and tuning is not None:
            raise ClashError(
                'a closed box is not tuned; leave the key out or write kind = "vented"', "kind"
            )
        ports, radiators = info.data.get("ports"), info.data.get("passive_radiators")
        if kind == "vented" and ports:
            open_ones = [name for name, port in ports.items() if port.length is None]
            if tuning is None and open_ones:
                raise ClashError(
                    f"the port '{open_ones[0]}' has no length; give it one, or the enclosure a "
                    'tuning from which it follows, for example tuning = "42 Hz"',
                    "ports",
                )
            if tuning is not None and not open_ones:
                raise ClashError(
                    "every port has a length, from which the tuning follows; leave the tuning out, "
                    "or a length",
                    "ports",
                )
        if kind == "passive radiator" and radiators and tuning is not None:
            heavy = [name for name, one in radiators.items() if one.added_mass is not None]
            if heavy:
                raise ClashError(
                    f"'{heavy[0]}' has an added_mass, and the tuning would set it; keep one of the "
                    "two",
                    "passive_radiators",
                )
        return tuning

    @field_validator("port_q")
    @classmethod
    def _of_ports(cls, q: float | None, info: ValidationInfo) -> float | None:
        kind = info.data.get("kind", "vented")
        if q is not None and kind != "vented":
            raise ClashError(
                f'"{kind}" has no ports to lose anything in; leave the key out'
                + (", and state the losses of the radiators" if kind != "closed" else ""),
                "kind",
            )
        return q

    @field_validator("share")
    @classmethod
    def _volume_or_share(cls, share: float | None, info: ValidationInfo) -> float | None:
        if share is not None and info.data.get("volume") is not None:
            raise ClashError(
                "the enclosure has a volume and a share of the cabinet's inside; keep one of the "
                "two",
                "volume",
            )
        return share
