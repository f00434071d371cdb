"""The text layer of [[aims]]: figures the design is held against."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NamedTuple

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.model import BAND, Measure
from acoustics.case.tables.fields import Kind, Number, Quantity, Text
from acoustics.case.tables.table import Table, optional
from acoustics.case.text.units import ANGLE, FREQUENCY, LENGTH, hertz, pattern

Where = Literal["reference axis", "listening window", "seat"]


class Figure(NamedTuple):
    """Where a measure can be taken (its default place first), and how its limits are written.

    Then whether it is taken over a band, and whether on a smoothed curve.
    """

    where: tuple[Where, ...]
    limit: Kind
    band: bool
    smoothing: bool


_CURVES: tuple[Where, ...] = ("reference axis", "listening window", "seat")
FIGURES: dict[Measure, Figure] = {
    "ripple": Figure(_CURVES, Number(0, 60, "dB"), True, True),
    "tilt": Figure(_CURVES, Number(-30, 30, "dB per octave"), True, True),
    "level": Figure(_CURVES, Number(-100, 200, "dB"), True, False),
    "beamwidth": Figure(("reference axis",), Quantity(ANGLE, "0 deg", "360 deg"), True, True),
    "floor dip": Figure(("seat",), Number(0, 100, "dB"), False, False),
    "lobe window": Figure(("seat",), Quantity(LENGTH, "0 m", "10 m"), False, False),
}


def band_of(measure: Measure, band: list[float] | None) -> tuple[float, float] | None:
    """The band (Hz) over which an aim is taken: its own, else the default; None for no band."""
    if not FIGURES[measure].band:
        return None
    return BAND if band is None else (band[0], band[1])


class LimitText(Kind):
    """A limit before its measure is known: a bare number or a quantity."""

    def read(self, value: object) -> object:
        """The text itself; `AimTable` reads it."""
        return value

    def schema(self) -> dict[str, Any]:
        """A bare number, an angle or a length."""
        quantities = [
            {"type": "string", "pattern": pattern(dimension)} for dimension in (ANGLE, LENGTH)
        ]
        return {"anyOf": [{"type": "number"}, *quantities]}


_LIMIT = (
    "A bare number in dB (ripple, level, floor dip) or dB per octave (tilt); "
    'with its unit for a beamwidth ("60 deg") and a lobe window ("0.3 m").'
)


class AimTable(Table):
    """One figure to hold the design against; `at_least`, `at_most` or both."""

    name: Annotated[str, Text(80)] | None = optional(
        None, "What the summary calls it.", examples=["smooth at the seat"]
    )
    measure: Measure = Field(
        description="ripple: half peak to peak about a straight line in log frequency. "
        "tilt: slope of that line. level: level of the mean power over the band. "
        "beamwidth: horizontal angle between the -6 dB points, the smallest over the band. "
        "floor dip: depth of the deepest dip the floor makes up to 1.5 kHz, a positive number. "
        "lobe window: height around the ear over which the level at a crossover keeps "
        "within 3 dB."
    )
    where: Where | None = optional(
        None,
        "Where it is taken. Default: the reference axis; a floor dip and a lobe "
        "window belong to the seat. listening window: the mean power of nine directions close "
        "to the reference axis.",
    )
    band: (
        Annotated[
            list[Annotated[float, Quantity(FREQUENCY, "1 Hz", "100 kHz")]],
            Field(min_length=2, max_length=2),
        ]
        | None
    ) = optional(
        None,
        "Lowest and highest frequency of a ripple, tilt, level or beamwidth. "
        "Default: 300 Hz to 10 kHz.",
        examples=[["300 Hz", "10 kHz"]],
    )
    smoothing: Annotated[float, Number(1, 96)] | None = optional(
        None,
        "Smoothing of a ripple, tilt or beamwidth by a fraction of an octave. Default: 6, "
        "which is 1/6 octave.",
        examples=[6],
    )
    at_least: Annotated[Any, LimitText()] = optional(
        None, f"Lower limit. {_LIMIT}", examples=["60 deg"]
    )
    at_most: Annotated[Any, LimitText()] = optional(None, f"Upper limit. {_LIMIT}", examples=[2.0])

    @field_validator("where")
    @classmethod
    def _place_of_measure(cls, where: Where | None, info: ValidationInfo) -> Where | None:
        measure = info.data.get("measure")
        if measure is None or where is None or where in FIGURES[measure].where:
            return where
        place = FIGURES[measure].where[0]
        raise ValueError(f'a {measure} is not taken at "{where}"; write "{place}"')

    @field_validator("band", "smoothing")
    @classmethod
    def _of_use(cls, value: Any, info: ValidationInfo) -> Any:
        measure = info.data.get("measure")
        if measure is None or value is None or getattr(FIGURES[measure], str(info.field_name)):
            return value
        raise ValueError(f"a {measure} has no {info.field_name}; leave the key out")

    @field_validator("band")
    @classmethod
    def _ascending(cls, band: list[float] | None) -> list[float] | None:
        if band is not None and band[0] >= band[1]:
            raise ValueError(
                f"the band starts at {hertz(band[0])} and ends at "
                f"{hertz(band[1])}; write the lower frequency first"
            )
        return band

    @field_validator("at_least", "at_most")
    @classmethod
    def _limit_of_measure(cls, limit: object, info: ValidationInfo) -> float | None:
        measure = info.data.get("measure")
        if measure is None or limit is None:
            return None
        number: float = FIGURES[measure].limit.read(limit)
        return number

    @field_validator("at_most")
    @classmethod
    def _room_between(cls, at_most: float | None, info: ValidationInfo) -> float | None:
        if "at_least" not in info.data or "measure" not in info.data:
            return at_most
        at_least = info.data["at_least"]
        if at_least is None and at_most is None:
            raise ValueError("the aim has no limit; write at_least, at_most or both")
        if at_least is not None and at_most is not None and at_least > at_most:
            raise ValueError(
                f"at_most ({at_most:g}) is below at_least ({at_least:g}); nothing can meet both"
            )
        return at_most
