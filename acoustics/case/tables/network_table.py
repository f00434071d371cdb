"""The text layer of a passive crossover: its parts, as they stand in a branch's list."""

from __future__ import annotations

from typing import Annotated

from pydantic import ConfigDict, Field, ValidationInfo, field_validator

from acoustics.case.design.network_model import Joined, Place
from acoustics.case.tables.fields import Name, Quantity
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.units import CAPACITANCE, INDUCTANCE, RESISTANCE

MOST_ELEMENTS = 40
"""of one driver"""


Node = Annotated[str, Name(40)]


class ElementTable(Table):
    """One part of a passive crossover, or several that belong together."""

    model_config = ConfigDict(
        json_schema_extra={"oneOf": [{"required": ["place"]}, {"required": ["between"]}]}
    )

    between: Annotated[list[Node], Field(min_length=2, max_length=2)] | None = optional(
        None,
        "In place of a place, for networks that are no ladder: the two nodes between which the "
        "part lies, by names of your own and these: amplifier, its hot terminal; return, its other "
        "one; driver, the driver's + terminal; driver return, its other one, which is joined to "
        "return unless a part names it.",
        examples=[["amplifier", "driver"]],
    )
    place: Place | None = optional(
        None,
        "series: in the way from the amplifier to the driver. across: from there to ground. Parts "
        "are written in order, from the amplifier on.",
        examples=["series"],
    )
    inductor: Annotated[float, Quantity(INDUCTANCE, "0.1 uH", "1 H")] | None = optional(
        None, "Inductance.", examples=["0.27 mH"]
    )
    capacitor: Annotated[float, Quantity(CAPACITANCE, "1 pF", "0.1 F")] | None = optional(
        None, "Capacitance.", examples=["5.6 uF"]
    )
    resistor: Annotated[float, Quantity(RESISTANCE, "1 mohm", "1 Mohm")] | None = optional(
        None, "Resistance of a resistor.", examples=["2.2 ohm"]
    )
    second_capacitor: Annotated[float, Quantity(CAPACITANCE, "1 pF", "0.1 F")] | None = optional(
        None,
        "A second capacitor side by side with the first, where no single one has the value.",
        examples=["1 uF"],
    )
    second_resistor: Annotated[float, Quantity(RESISTANCE, "1 mohm", "1 Mohm")] | None = optional(
        None,
        "A second resistor, one after the other with the first, where no single one has the value.",
        examples=["0.47 ohm"],
    )
    resistance: Annotated[float, Quantity(RESISTANCE, "0 ohm", "1 kohm")] | None = optional(
        None,
        "What the part has by itself, in series: the coil's wire; of an element without a coil the "
        "capacitor's loss. Default: none.",
        examples=["0.2 ohm"],
    )
    core_resistance: Annotated[float, Quantity(RESISTANCE, "1 ohm", "100 Mohm")] | None = optional(
        None,
        "The loss of a coil's core, as a resistance beside the inductance. Default: none, as of a "
        "coil without a core.",
        examples=["400 ohm"],
    )
    joined: Joined = optional(
        "one after the other", "How inductor, capacitor and resistor of one element are joined."
    )
    name: Annotated[str, Name(40)] | None = optional(
        None, "What it is called. Default: C1, L1, R1 and so on.", examples=["trap"]
    )

    @field_validator("between")
    @classmethod
    def _two_nodes(cls, nodes: list[str] | None) -> list[str] | None:
        if nodes is not None and nodes[0] == nodes[1]:
            raise ValueError(
                f"both ends are on '{nodes[0]}', so no current flows here; name two nodes"
            )
        return nodes

    @field_validator("place")
    @classmethod
    def _somewhere(cls, place: Place | None, info: ValidationInfo) -> Place | None:
        between = info.data.get("between", 0)
        if place is None and between is None:
            raise ClashError(
                'the key is missing; add it, for example place = "series", or write between which '
                'nodes the part lies, for example between = ["amplifier", "driver"]',
                "between",
            )
        if place is not None and between:
            raise ClashError(
                "a part with a place lies there and not between two nodes; leave one of the two "
                "out",
                "between",
            )
        return place

    @field_validator("resistor")
    @classmethod
    def _something(cls, resistor: float | None, info: ValidationInfo) -> float | None:
        # Of keys that are wrong themselves nothing is in `data`.
        others = ("inductor", "capacitor")
        if resistor is None and all(info.data.get(key, 0) is None for key in others):
            raise ClashError(
                "there is nothing in this element; add inductor, capacitor or resistor, for "
                'example capacitor = "5.6 uF"',
                *others,
            )
        return resistor

    @field_validator("second_capacitor", "second_resistor")
    @classmethod
    def _beside_a_first(cls, second: float | None, info: ValidationInfo) -> float | None:
        first = str(info.field_name).removeprefix("second_")
        if second is not None and info.data.get(first, 0) is None:
            raise ClashError(f"there is no first; write it as {first}", first)
        return second

    @field_validator("resistance")
    @classmethod
    def _of_a_part(cls, resistance: float | None, info: ValidationInfo) -> float | None:
        others = ("inductor", "capacitor")
        if resistance is not None and all(info.data.get(key, 0) is None for key in others):
            raise ClashError(
                "it is that of a coil or a capacitor, and there is none; write resistor in its "
                "place",
                *others,
            )
        return resistance

    @field_validator("core_resistance")
    @classmethod
    def _of_a_coil(cls, core: float | None, info: ValidationInfo) -> float | None:
        if core is not None and info.data.get("inductor", 0) is None:
            raise ClashError("only a coil has a core; add inductor or leave it out", "inductor")
        return core

    @field_validator("joined")
    @classmethod
    def _of_several(cls, joined: Joined, info: ValidationInfo) -> Joined:
        keys = ("inductor", "capacitor", "resistor")
        if joined == "side by side" and sum(info.data.get(key, 0) is not None for key in keys) < 2:
            raise ClashError(
                "there is one part alone; add another to stand beside it, or leave joined out",
                *keys,
            )
        return joined
