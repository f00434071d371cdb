"""The text layer of [crossover.NAME]: what the crossover does to one driver."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.fields import Number, Quantity
from acoustics.case.model import MOST_GAIN, Alignment, Slopes
from acoustics.case.network_table import MOST_ELEMENTS, ElementTable
from acoustics.case.table import ClashError, Table, optional
from acoustics.case.units import FREQUENCY, TIME, hertz

# Common practice, no source: what active and passive crossovers are built with. A Linkwitz-Riley
# slope is two equal Butterworth slopes in cascade, so its order is even.
ORDERS: dict[str, Sequence[int]] = {
    "butterworth": range(1, 9),
    "linkwitz-riley": (2, 4, 6, 8),
    "bessel": range(1, 9),
}

Corner = Annotated[float, Quantity(FREQUENCY, "1 Hz", "100 kHz")]
Polarity = Literal["normal", "inverted"]


class Slope(Table):
    """What low-, high- and band-pass share."""

    type: Literal["low-pass", "high-pass", "band-pass"]
    alignment: Alignment = Field(description="Alignment of the slope.")
    order: Annotated[int, Number(1, 8, whole=True)] = Field(
        description="Order of each slope: 6 dB per octave each. "
        "Butterworth and Bessel 1 to 8; Linkwitz-Riley 2, 4, 6 or 8."
    )

    @field_validator("order")
    @classmethod
    def _order_of_alignment(cls, order: int, info: ValidationInfo) -> int:
        alignment = info.data.get("alignment")
        if alignment is not None and order not in ORDERS[alignment]:
            allowed = ", ".join(str(allowed) for allowed in ORDERS[alignment])
            raise ValueError(f"{order} is no order of a {alignment} slope; use one of {allowed}")
        return order


class PassTable(Slope):
    """A low-pass or a high-pass."""

    type: Literal["low-pass", "high-pass"] = Field(description="Kind of section.")
    frequency: Corner = Field(description="Corner frequency.", examples=["2.2 kHz"])


class BandPassTable(Slope):
    """A high-pass and a low-pass of the same alignment and order."""

    type: Literal["band-pass"] = Field(description="Kind of section.")
    low_frequency: Corner = Field(
        description="Corner frequency of the high-pass.", examples=["350 Hz"]
    )
    high_frequency: Corner = Field(
        description="Corner frequency of the low-pass.", examples=["2.8 kHz"]
    )

    @field_validator("high_frequency")
    @classmethod
    def _above_low(cls, high: float, info: ValidationInfo) -> float:
        low = info.data.get("low_frequency")
        if low is not None and high <= low:
            raise ValueError(
                f"the high corner ({hertz(high)}) is not above the low corner "
                f"({hertz(low)}); swap low_frequency and high_frequency"
            )
        return high


class ParametricTable(Table):
    """A second-order peak or shelf."""

    type: Literal["peak", "low-shelf", "high-shelf"] = Field(description="Kind of section.")
    frequency: Corner = Field(
        description="Centre of a peak, corner of a shelf.", examples=["500 Hz"]
    )
    gain: Annotated[float, Number(-40, 40, "dB")] = Field(
        description="Gain in dB: of the peak, or of the shelf far from its corner."
    )
    q: Annotated[float, Number(0.05, 50)] = Field(description="Quality factor.", examples=[0.7])


SectionTable = Annotated[PassTable | BandPassTable | ParametricTable, Field(discriminator="type")]


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
    gain: Annotated[float, Number(-60, 30, "dB")] | None = optional(
        None,
        "Electrical slopes only: gain in dB; negative values attenuate. Default: 0.",
        examples=[-3.0],
    )
    delay: Annotated[float, Quantity(TIME, "0 ms", "100 ms", "a delay cannot look ahead")] = (
        optional("0 ms", "Pure delay.", examples=["0.05 ms"])
    )
    polarity: Polarity = optional(
        "normal", "Whether the crossover turns the driver's polarity round."
    )
    sections: list[SectionTable] = optional([], "Filter sections, one after the other.")
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
