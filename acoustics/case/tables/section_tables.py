"""The text layer of a filter's sections, as they stand in a branch's list."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.section_model import Alignment
from acoustics.case.tables.digital_tables import BiquadTable, FirTable
from acoustics.case.tables.fields import Number, Quantity
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.units import FREQUENCY, hertz

# Common practice, no source: what active and passive crossovers are built with. A Linkwitz-Riley
# slope is two equal Butterworth slopes in cascade, so its order is even.
ORDERS: dict[str, Sequence[int]] = {
    "butterworth": range(1, 9),
    "linkwitz-riley": (2, 4, 6, 8),
    "bessel": range(1, 9),
}

Corner = Annotated[float, Quantity(FREQUENCY, "1 Hz", "100 kHz")]


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


class AllPassTable(Table):
    """What turns the phase and leaves the magnitude."""

    type: Literal["all-pass"] = Field(description="Kind of section.")
    order: Annotated[int, Number(1, 2, whole=True)] = Field(
        description="Order: the phase turns by 180 degrees for each."
    )
    frequency: Corner = Field(
        description="Where half of the turn is reached: 90 degrees of order 1, 180 of order 2.",
        examples=["500 Hz"],
    )
    q: Annotated[float, Number(0.05, 50)] | None = optional(
        None, "Order 2 only, and required there: quality factor.", examples=[0.7]
    )

    @field_validator("q")
    @classmethod
    def _of_order(cls, q: float | None, info: ValidationInfo) -> float | None:
        order = info.data.get("order")
        if order == 2 and q is None:
            raise ClashError("an all-pass of order 2 has a q; add it, for example q = 0.7", "order")
        if order == 1 and q is not None:
            raise ClashError(
                "an all-pass of order 1 has no q; leave it out or write order = 2", "order"
            )
        return q


AnySectionTable = (
    PassTable | BandPassTable | ParametricTable | AllPassTable | BiquadTable | FirTable
)
SectionTable = Annotated[AnySectionTable, Field(discriminator="type")]
