"""The text layer of [processor], and of sections that only a digital processor has."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.tables.fields import FILE_NAME, Number, Quantity
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.units import FREQUENCY

MOST_TAPS = 32_768
"""of a filter that is written out"""

LARGEST_NUMBER = 1e9
"""A coefficient or a tap beyond this is a slip."""

Coefficient = Annotated[float, Number(-LARGEST_NUMBER, LARGEST_NUMBER)]


class BiquadTable(Table):
    """A second-order section by its coefficients."""

    type: Literal["biquad"] = Field(description="Kind of section.")
    b: Annotated[list[Coefficient], Field(min_length=3, max_length=3)] = Field(
        description="b0, b1 and b2 of y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] "
        "- a2 y[n-2].",
        examples=[[0.2, 0.4, 0.2]],
    )
    a: Annotated[list[Coefficient], Field(min_length=3, max_length=3)] = Field(
        description="1, a1 and a2 of the same equation; mind the signs.",
        examples=[[1.0, -0.5, 0.2]],
    )

    @field_validator("b")
    @classmethod
    def _lets_something_through(cls, b: list[float]) -> list[float]:
        if not any(b):
            raise ValueError("all are 0, so nothing passes; write the section's b0, b1 and b2")
        return b

    @field_validator("a")
    @classmethod
    def _stable(cls, a: list[float]) -> list[float]:
        first, second, third = a
        if first != 1:
            raise ValueError(
                f"a0 is {first:g}; write a = [1, a1, a2], all of a and b divided by a0"
            )
        # The triangle in which both poles lie inside the unit circle.
        if not (abs(third) < 1 and abs(second) < 1 + third):
            raise ValueError(
                f"with a1 = {second:g} and a2 = {third:g} a pole lies on or outside the unit "
                "circle, and the section would not settle; a1 and a2 stand on the output's side, "
                "y[n] = … - a1 y[n-1] - a2 y[n-2]: turn their signs if yours are added"
            )
        return a


class FirTable(Table):
    """A filter by its impulse response."""

    type: Literal["fir"] = Field(description="Kind of section.")
    taps: Annotated[list[Coefficient], Field(min_length=1, max_length=MOST_TAPS)] | None = optional(
        None, "Impulse response, one number a sample.", examples=[[0.25, 0.5, 0.25]]
    )
    taps_file: Annotated[str, FILE_NAME] | None = optional(
        None,
        "In place of taps: a text file with one number a line, its path counted from the case "
        "file's folder.",
        examples=["woofer-fir.txt"],
    )

    @field_validator("taps")
    @classmethod
    def _lets_something_through(cls, taps: list[float] | None) -> list[float] | None:
        if taps is not None and not any(taps):
            raise ValueError("all are 0, so nothing passes; write the impulse response")
        return taps

    @field_validator("taps_file")
    @classmethod
    def _either(cls, file: str | None, info: ValidationInfo) -> str | None:
        # Of taps that are wrong themselves nothing is in `data`.
        if "taps" not in info.data:
            return file
        if file is None and info.data["taps"] is None:
            raise ClashError(
                "a fir has taps; add them, for example taps = [0.25, 0.5, 0.25], or "
                'taps_file = "woofer-fir.txt"',
                "taps",
            )
        if file is not None and info.data["taps"] is not None:
            raise ClashError("the section has taps and taps_file; keep one of the two", "taps")
        return file


class ProcessorTable(Table):
    """A digital processor that realises the active part of the crossover."""

    sampling_rate: Annotated[float, Quantity(FREQUENCY, "8 kHz", "768 kHz")] = Field(
        description="Its sampling rate.", examples=["48 kHz"]
    )
    taps: Annotated[int, Number(15, 16_383, whole=True)] | None = optional(
        None,
        "Length, in samples, of the FIR filters that realise what acoustic slopes need; they "
        "resolve sampling_rate/taps. Default: the filters stay as they are needed.",
        examples=[1023],
    )
