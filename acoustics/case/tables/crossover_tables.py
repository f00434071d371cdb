"""The text layer of [crossover.NAME]: what the crossover does to one driver."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.model import MOST_GAIN, Slopes
from acoustics.case.tables.fields import Number, Quantity
from acoustics.case.tables.network_table import MOST_ELEMENTS, ElementTable
from acoustics.case.tables.section_tables import SectionTable
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.limits import MOST_SECTIONS
from acoustics.case.text.units import TIME

Polarity = Literal["normal", "inverted"]
Gain = Annotated[float, Number(-60, 30, "dB")]
Delay = Annotated[float, Quantity(TIME, "0 ms", "100 ms", "a delay cannot look ahead")]


class BranchTable(Table):
    """The way of the signal to one driver."""

    slopes: Slopes = optional(
        "electrical",
        "electrical: the sections are the filter. acoustic: they are what the driver's sound on "
        "the reference axis is to follow, and the filter is computed. passive: the parts are the "
        "filter, all passive branches hanging on one amplifier.",
    )
    level: Annotated[float, Number(30, 150, "dB")] | None = optional(
        None,
        "Acoustic slopes only, and required there: level in dB at 1 m on the reference axis for "
        "2.83 V.",
        examples=[84.0],
    )
    most_gain: Annotated[float, Number(0, 40, "dB")] | None = optional(
        None,
        "Acoustic slopes only: by how many dB the computed filter may amplify. Default: "
        f"{MOST_GAIN:g}.",
        examples=[MOST_GAIN],
    )
    gain: Gain | None = optional(
        None,
        "Electrical slopes only: gain in dB; negative values attenuate. Default: 0.",
        examples=[-3.0],
    )
    delay: Delay = optional("0 ms", "Pure delay.", examples=["0.05 ms"])
    polarity: Polarity = optional(
        "normal", "Whether the crossover turns the driver's polarity round."
    )
    sections: Annotated[list[SectionTable], Field(max_length=MOST_SECTIONS)] = optional(
        [], "Filter sections, one after the other."
    )
    parts: Annotated[list[ElementTable], Field(max_length=MOST_ELEMENTS)] | None = optional(
        None,
        "Passive slopes only, and required there: the parts in order from the amplifier to the "
        "driver, each with its place; or in any order, each between two nodes; an empty list "
        "connects it straight.",
    )

    @field_validator("delay", "sections")
    @classmethod
    def _not_passive(cls, value: object, info: ValidationInfo) -> object:
        if info.data.get("slopes") == "passive" and value:
            raise ClashError(
                f"a passive crossover has no {info.field_name}; leave the key out", "slopes"
            )
        return value

    @field_validator("parts")
    @classmethod
    def _parts_of_slopes(cls, parts: list[ElementTable] | None, info: ValidationInfo) -> object:
        slopes = info.data.get("slopes")
        if slopes == "passive" and parts is None:
            raise ClashError(
                "passive slopes have parts; add them, for example "
                'parts = [{ place = "series", capacitor = "5.6 uF" }]',
                "slopes",
            )
        if slopes in ("electrical", "acoustic") and parts is not None:
            raise ClashError(
                f'{slopes} slopes have no parts; leave the key out or write slopes = "passive"',
                "slopes",
            )
        return parts

    @field_validator("level", "most_gain", "gain")
    @classmethod
    def _of_slopes(cls, value: float | None, info: ValidationInfo) -> float | None:
        slopes, key = info.data.get("slopes"), info.field_name
        if slopes == "acoustic" and key == "level" and value is None:
            raise ClashError(
                "acoustic slopes have a level; add it, for example level = 84.0", "slopes"
            )
        if slopes == "acoustic" and key == "gain" and value is not None:
            raise ClashError("acoustic slopes have no gain; set level in its place", "slopes")
        if slopes == "passive" and value is not None:
            raise ClashError(
                f"a passive crossover has no {key}; leave the key out, its parts decide", "slopes"
            )
        if slopes == "electrical" and key != "gain" and value is not None:
            instead = "gain and " if key == "level" else ""
            raise ClashError(
                f"electrical slopes have {instead}no {key}; leave the key out or write "
                'slopes = "acoustic"',
                "slopes",
            )
        return value
