"""The text layer of [brief]: what is wanted."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, field_validator, model_validator

from acoustics.case.design.model import SurfaceName
from acoustics.case.tables.fields import Number, Quantity, length
from acoustics.case.tables.table import Table, optional
from acoustics.case.text.units import FREQUENCY

_Level = Annotated[float, Number(40, 140, "dB")]
_Size = Annotated[float, length("20 mm", "5 m")]
_Slope = Annotated[float, Number(-20, 20, "dB per octave")]


class BriefTable(Table):
    """What is wanted before anything is bought; a key that is not there is not asked for."""

    level: _Level | None = optional(
        None,
        "Level in the listening window in dB at 1 m for 2.83 V, at least.",
        examples=[82.0],
    )
    tilt: Annotated[list[_Slope], Field(min_length=2, max_length=2)] | None = optional(
        None,
        "Slope of the listening window in dB per octave: [least, most].",
        examples=[[-1.0, 0.3]],
    )
    reach: Annotated[float, Quantity(FREQUENCY, "5 Hz", "20 kHz")] | None = optional(
        None,
        "Lowest frequency at which the listening window is within 6 dB of the level.",
        examples=["45 Hz"],
    )
    seat_level: _Level | None = optional(
        None, "Level at the main seat from there upward in dB, at least.", examples=[96.0]
    )
    width: _Size | None = optional(None, "Width of the cabinet at most.", examples=["230 mm"])
    height: _Size | None = optional(None, "Height of the cabinet at most.", examples=["400 mm"])
    depth: _Size | None = optional(None, "Depth of the cabinet at most.", examples=["320 mm"])
    distance: Annotated[float, length("0.1 m", "100 m")] | None = optional(
        None,
        "Distance of the main seat from the plane of the front-face centres.",
        examples=["2.5 m"],
    )
    ear_height: Annotated[float, length("0.05 m", "10 m", "ears are above the floor")] | None = (
        optional(None, "Height of the ears there above the floor.", examples=["0.95 m"])
    )
    surfaces: Annotated[list[SurfaceName], Field(min_length=1, max_length=6)] | None = optional(
        None,
        "Surfaces of the room that the case must have.",
        examples=[["floor", "front wall"]],
    )
    budget: Annotated[float, Number(0, 1e9)] | None = optional(
        None,
        "What all drivers of all cabinets may cost, in the currency of their prices.",
        examples=[400],
    )

    @field_validator("tilt")
    @classmethod
    def _ascends(cls, tilt: list[float] | None) -> list[float] | None:
        if tilt is not None and tilt[0] >= tilt[1]:
            raise ValueError(
                f"the least slope ({tilt[0]:g}) comes first and is less than the most "
                f"({tilt[1]:g}); a slope that falls toward high frequencies is negative"
            )
        return tilt

    @field_validator("surfaces")
    @classmethod
    def _named_once(cls, surfaces: list[SurfaceName] | None) -> list[SurfaceName] | None:
        twice = next((name for name in surfaces or () if (surfaces or []).count(name) > 1), None)
        if twice is not None:
            raise ValueError(f"'{twice}' is there twice; name each surface once")
        return surfaces

    @model_validator(mode="after")
    def _asks_for_something(self) -> BriefTable:
        if not self.model_fields_set:
            raise ValueError(
                "the brief asks for nothing; add a key, for example level = 82.0, or leave the "
                "table out"
            )
        return self
