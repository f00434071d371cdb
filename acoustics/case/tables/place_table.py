"""The text layer of [place]: what may change about a layout, within what, by what it is judged."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.model import SMOOTHING
from acoustics.case.design.place_model import Place as Asked
from acoustics.case.design.place_model import Quality
from acoustics.case.design.spans import ascending, not_falling, one_after_the_other
from acoustics.case.tables.cabinet_table import ChamferTable, Place, RoundTable
from acoustics.case.tables.fields import Name, Number, Quantity, Text, length
from acoustics.case.tables.table import Table, optional
from acoustics.case.text.limits import MOST_DRIVERS, MOST_EDGES
from acoustics.case.text.units import ANGLE, FREQUENCY, TIME

MOST_TREATMENTS = 16
WINDOW_STEP = 10.0
"""degrees between the directions of a listening window"""

Places = Annotated[list[Place], Field(min_length=2, max_length=2)]
_Frequency = Annotated[float, Quantity(FREQUENCY, "10 Hz", "50 kHz")]
_Driver = Annotated[str, Name(40)]
_Frequencies = Annotated[list[_Frequency], Field(min_length=2, max_length=2)]
_Time = Annotated[float, Quantity(TIME, "0 ms", "100 ms", "a delay cannot look ahead")]
_Times = Annotated[list[_Time], Field(min_length=2, max_length=2)]
_Heights = Annotated[
    list[Annotated[float, length("0 m", "10 m")]], Field(min_length=2, max_length=2)
]
_DEFAULT = Asked()


class MovedTable(Table):
    """A driver that may move on its face, and how far."""

    right: Places | None = optional(
        None,
        "From where to where its centre may be, to the right of the face's. Two equal values hold "
        "it there. Default: anywhere.",
        examples=[["-40 mm", "40 mm"]],
    )
    up: Places | None = optional(
        None,
        "Likewise above the face's centre. Default: anywhere.",
        examples=[["60 mm", "140 mm"]],
    )

    @field_validator("right", "up")
    @classmethod
    def _rises(cls, span: list[float] | None) -> list[float] | None:
        if span is not None:
            not_falling(span, "value")
        return span


class TreatmentTable(Table):
    """Edges to try in place of those of the cabinet; without rounds and chamfers they are sharp."""

    name: Annotated[str, Text(60)] = Field(
        description="What it is called.", examples=["rounded", "sharp"]
    )
    chamfers: Annotated[list[ChamferTable], Field(max_length=MOST_EDGES)] = optional(
        [],
        "Edges cut off flat, evenly along the edge.",
        examples=[[{"edges": ["front left", "front right"], "setback": "25 mm"}]],
    )
    rounds: Annotated[list[RoundTable], Field(max_length=MOST_EDGES)] = optional(
        [], "Edges rounded off.", examples=[[{"radius": "20 mm"}]]
    )

    @field_validator("chamfers")
    @classmethod
    def _even(cls, chamfers: list[ChamferTable]) -> list[ChamferTable]:
        if any(each.far_setbacks is not None for each in chamfers):
            raise ValueError(
                "cuts to try are even along their edge; leave far_setbacks out, or write a "
                "tapering cut into the cabinet of a case of its own and compare the two"
            )
        return chamfers


class PlaceTable(Table):
    """What `roundover place` may change about the layout, and what it seeks."""

    aim: Quality = optional(
        _DEFAULT.aim,
        "What the best layout is best by. ripple off axis: relative to the reference axis in the "
        "listening window, which no filter can take away. common ripple: what its directions have "
        "in common. ripple on axis: on the reference axis. sides: difference of left and right. "
        "seat level: mean level at the main seat. floor dip: depth of the floor's deepest dip "
        "there.",
    )
    against: Literal[Quality, "none"] | None = optional(
        None,
        "The other aim, of which the trade-off is shown; none for none. Default: sides, or ripple "
        "off axis where sides is the aim.",
        examples=["sides"],
    )
    gap: Annotated[float, length("0 mm", "0.5 m")] = optional(
        "0 mm", "Wood that stays between frames and at the edges, at least.", examples=["10 mm"]
    )
    apart: Annotated[float, length("1 mm", "5 m")] | None = optional(
        None,
        "How far centres of drivers that hand over to each other may be apart, at most. Default: "
        "as far as the faces go.",
        examples=["160 mm"],
    )
    ear_height: _Heights | None = optional(
        None,
        "From where to where above the floor the driver of the reference axis may be; where the "
        "axis has none, the one that plays highest. Default: anywhere.",
        examples=[["0.9 m", "1.0 m"]],
    )
    band: _Frequencies = optional(
        ["300 Hz", "10 kHz"], "By which layouts are judged.", examples=[["300 Hz", "10 kHz"]]
    )
    smoothing: Annotated[float, Number(0, 96)] = optional(
        SMOOTHING, "Curves are smoothed over 1/smoothing octave first; 0 for not at all."
    )
    window: Annotated[float, Quantity(ANGLE, "10 deg", "90 deg")] = optional(
        "30 deg",
        "How far to either side is listened to, in steps of 10 degrees.",
        examples=["30 deg"],
    )
    drivers: Annotated[dict[_Driver, MovedTable], Field(max_length=MOST_DRIVERS)] = optional(
        {},
        "The drivers that may move, each in a table such as [place.drivers.tweeter], which may be "
        "empty. Default: all on the front.",
    )
    corners: Annotated[list[_Frequencies], Field(max_length=MOST_DRIVERS)] = optional(
        [],
        "Where the crossovers' corners may be: one [lowest, highest] for each crossover, from the "
        "lowest on. Two equal values hold it there. Default: where they are.",
        examples=[[["1.8 kHz", "2.8 kHz"]]],
    )
    delays: Annotated[dict[_Driver, _Times], Field(max_length=MOST_DRIVERS)] = optional(
        {},
        "From what to what a driver's delay may be. Default: as they are.",
        examples=[{"tweeter": ["0 us", "300 us"]}],
    )
    treatments: Annotated[list[TreatmentTable], Field(max_length=MOST_TREATMENTS)] = optional(
        [],
        "Edges to try, each in a table [[place.treatments]]. Default: those of the cabinet.",
    )
    seed: Annotated[int, Number(0, 2**31 - 1, whole=True)] = optional(
        _DEFAULT.seed, "Of the search: the same seed finds the same layout."
    )

    @field_validator("against")
    @classmethod
    def _another(cls, against: str | None, info: ValidationInfo) -> str | None:
        if against is not None and against == info.data.get("aim"):
            raise ValueError(
                f"'{against}' is the aim already, and against itself there is no trade-off; write "
                'another, or against = "none"'
            )
        return against

    @field_validator("ear_height")
    @classmethod
    def _rises(cls, span: list[float] | None) -> list[float] | None:
        if span is not None:
            not_falling(span, "height")
        return span

    @field_validator("band")
    @classmethod
    def _holds_something(cls, band: list[float]) -> list[float]:
        ascending(band)
        return band

    @field_validator("window")
    @classmethod
    def _in_steps(cls, window: float) -> float:
        if abs(window / WINDOW_STEP - round(window / WINDOW_STEP)) > 1e-9:
            raise ValueError(
                f"a window is listened to in steps of {WINDOW_STEP:g} degrees; write 10, 20, … or "
                '90, for example "30 deg"'
            )
        return window

    @field_validator("corners")
    @classmethod
    def _from_the_lowest(cls, spans: list[list[float]]) -> list[list[float]]:
        for span in spans:
            not_falling(span, "frequency")
        one_after_the_other(spans)
        return spans

    @field_validator("delays")
    @classmethod
    def _rise(cls, delays: dict[str, list[float]]) -> dict[str, list[float]]:
        for name, span in delays.items():
            if span[0] > span[1]:
                raise ValueError(f"{name}: the lower delay comes first; swap the two")
        return delays


def against_of(aim: Quality, against: str | None) -> str:
    """The other aim where none is stated; "none" stays."""
    return against or ("ripple off axis" if aim == "sides" else "sides")
