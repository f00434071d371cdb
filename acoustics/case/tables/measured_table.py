"""The text layer of [drivers.NAME.measured]: a driver's response as measured on this cabinet."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.measured_model import LevelUnit
from acoustics.case.tables.cabinet_table import Point
from acoustics.case.tables.fields import FILE_NAME, Number, Quantity, length
from acoustics.case.tables.table import ClashError, Table, optional
from acoustics.case.text.units import FREQUENCY, TIME, VOLTAGE, hertz

End = Annotated[float, Quantity(FREQUENCY, "1 Hz", "100 kHz")]


class MeasuredTable(Table):
    """What one microphone heard of the driver in this cabinet, without reflections.

    A text table of frequency, level and phase: rows of frequency in Hz, level in dB re 20 uPa and
    phase in degrees, which falls as the sound comes later. The driver plays alone, with its
    terminals as they are marked; that the design turns it round is said by its polarity.
    """

    response: Annotated[str, FILE_NAME] = Field(
        description="The text table: frequency, level, phase. Its path is counted from the case "
        "file's folder.",
        examples=["woofer-far.txt"],
    )
    unit: LevelUnit = optional("dB re 20 uPa", "What its levels are.")
    voltage: Annotated[float, Quantity(VOLTAGE, "1 mV", "1000 V")] = optional(
        "2.83 V",
        "The voltage (rms) at the driver's terminals to which the levels belong.",
        examples=["2.83 V"],
    )
    distance: Annotated[
        float,
        length("5 mm", "100 m", "less, and the cone would touch the microphone"),
    ] = Field(
        description="Of the microphone: from the driver's centre, square to its face; with at = "
        '"reference axis" or a point, straight ahead of the plane through the middle of the front, '
        "as the reference distance is counted.",
        examples=["1 m"],
    )
    at: Literal["driver", "reference axis"] | None = optional(
        None,
        "What the microphone stood straight in front of: the driver's centre, or the reference "
        "point. Default: the driver.",
        examples=["driver"],
    )
    point: Point | None = optional(
        None,
        "Or the point of the front face that it stood straight in front of: [right, up].",
        examples=[["0 mm", "100 mm"]],
    )
    removed_delay: Annotated[float, Quantity(TIME, "-1 s", "1 s")] = optional(
        "0 ms",
        "How much of the delay from the electrical signal to the microphone has been taken out of "
        "the phase.",
        examples=["2.9 ms"],
    )
    unknown_delay: bool = optional(
        False,
        "Whether nobody knows from when the phase counts. It is then left aside: the driver is "
        "taken to be of minimum phase, and its sound to arrive as the geometry and acoustic_depth "
        "have it.",
    )
    lowest: End | None = optional(
        None,
        "Frequency from which on the table holds. Default: its first.",
        examples=["250 Hz"],
    )
    highest: End | None = optional(
        None, "Frequency up to which it holds. Default: its last.", examples=["18 kHz"]
    )
    uncertainty: Annotated[float, Number(0, 20, "dB")] = optional(
        0.0, "By how much its levels may be off, a standard deviation in dB.", examples=[0.5]
    )
    noise: Annotated[float, Number(-200, 200, "dB")] | None = optional(
        None,
        "Level of the noise in each row, in dB as the levels (of a table in Pa: dB re 1 Pa).",
        examples=[20.0],
    )
    extrapolate: bool = optional(
        False,
        "Whether the source may be carried on past the table's ends where neither small_signal nor "
        "sensitivity says what the driver does there.",
    )

    @field_validator("point")
    @classmethod
    def _one_place(cls, point: Any, info: ValidationInfo) -> Any:
        if point is not None and info.data.get("at") is not None:
            raise ClashError(
                "the microphone has a place in at and in point; keep one of the two", "at"
            )
        return point

    @field_validator("unknown_delay")
    @classmethod
    def _known_or_not(cls, unknown: bool, info: ValidationInfo) -> bool:
        if unknown and info.data.get("removed_delay", 0.0) != 0.0:
            raise ClashError(
                "with an unknown delay nothing can be put back; keep removed_delay or "
                "unknown_delay",
                "removed_delay",
            )
        return unknown

    @field_validator("highest")
    @classmethod
    def _above_lowest(cls, highest: float | None, info: ValidationInfo) -> float | None:
        lowest = info.data.get("lowest")
        if highest is not None and lowest is not None and highest <= lowest:
            raise ClashError(
                f"highest ({hertz(highest)}) is not above lowest ({hertz(lowest)}); write the "
                "higher frequency in highest",
                "lowest",
            )
        return highest
