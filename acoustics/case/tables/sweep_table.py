"""The text layer of [sweep]: which keys of the case take which values."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationInfo, field_validator

from acoustics.case.design.sweep_model import Keep
from acoustics.case.tables.fields import Kind, Number, Text
from acoustics.case.tables.table import Table, optional
from acoustics.case.text.units import DIMENSIONS, Amount, UnitError, amount, pattern

MOST_VALUES = 1_000_000
"""of one key"""
MOST_POINTS = 2**24
"""of a sample"""
MOST_KEYS = 16

KeyPath = Annotated[str, Text(200)]
_NUMBER = "A bare number, or one with its unit, as the key has it."


class ValueText(Kind):
    """A value before its key is known: a bare number, or a quantity of any dimension."""

    def read(self, value: object) -> Amount | None:
        """The value in its base unit; None stays None."""
        return None if value is None else amount(value)

    def schema(self) -> dict[str, Any]:
        """A number, or a string with a number and a unit."""
        texts = [{"type": "string", "pattern": pattern(dimension)} for dimension in DIMENSIONS]
        return {"anyOf": [{"type": "number"}, *texts]}


class DimensionName(Kind):
    """What a swept key is called in the data: a letter, then letters, digits and underscores."""

    def read(self, value: object) -> str:
        """The name itself."""
        name = Text(60).read(value)
        if not (name.isascii() and name.isidentifier() and not name.startswith("_")):
            raise UnitError(
                f"'{name}' cannot name a dimension of the data; write a letter, then letters, "
                "digits and underscores"
            )
        return name

    def schema(self) -> dict[str, Any]:
        """A string with its pattern."""
        return {"type": "string", "pattern": "^[A-Za-z][A-Za-z0-9_]*$", "maxLength": 60}


class _Moved(Table):
    """What every swept key has: its path, those that move with it, and its name."""

    key: KeyPath = Field(
        description="The key by its path, as messages about the case file write it; entries of "
        "lists are counted from 1.",
        examples=["cabinet.width", "drivers.tweeter.position.1"],
    )
    also: Annotated[list[KeyPath], Field(min_length=1, max_length=MOST_KEYS)] | None = optional(
        None,
        "Further keys that take the same value at every point.",
        examples=[["crossover.woofer.sections.1.frequency"]],
    )
    name: Annotated[str, DimensionName()] | None = optional(
        None,
        "What it is called in the data. Default: the path, with underscores for points.",
        examples=["corner"],
    )


Spacing = Annotated[
    Literal["linear", "logarithmic"],
    Field(description="How a range is divided: in equal steps, or in equal ratios."),
]


class OverTable(_Moved):
    """A key and its values: a list, or a range."""

    values: (
        Annotated[list[Annotated[Any, ValueText()]], Field(min_length=1, max_length=MOST_VALUES)]
        | None
    ) = optional(None, f"Its values. {_NUMBER}", examples=[["200 mm", "220 mm", "250 mm"]])
    spacing: Spacing = "linear"
    start: Annotated[Any, ValueText()] = optional(
        None, f"First value of a range. {_NUMBER}", examples=["200 mm"]
    )
    stop: Annotated[Any, ValueText()] = optional(
        None, f"Last value of a range. {_NUMBER}", examples=["260 mm"]
    )
    number: Annotated[int, Number(1, MOST_VALUES, whole=True)] | None = optional(
        None, "Of a range: how many values it has, its ends among them."
    )
    step: Annotated[Any, ValueText()] = optional(
        None, "Of a range, in place of number: from one value to the next.", examples=["10 mm"]
    )

    @field_validator("values")
    @classmethod
    def _of_one_kind(cls, values: list[Amount] | None) -> list[Amount] | None:
        if values is not None and len({each.dimension for each in values}) > 1:
            raise ValueError("the values are not of one kind; write all in units of the key")
        return values

    @field_validator("start", "stop", "number")
    @classmethod
    def _list_or_range(cls, value: Any, info: ValidationInfo) -> Any:
        if info.data.get("values") is not None and value is not None:
            raise ValueError(f"a key has values or a range; leave {info.field_name} out")
        start = info.data.get("start")
        if info.field_name == "stop" and start is not None and value is not None:
            check_ends(start, value, info.data.get("spacing", "linear"))
        return value

    @field_validator("step")
    @classmethod
    def _whole_range(cls, step: Amount | None, info: ValidationInfo) -> Amount | None:
        given = info.data
        if not {"values", "spacing", "start", "stop", "number"} <= given.keys():
            return step  # that fault is told already
        if given["values"] is not None:
            if step is not None:
                raise ValueError("a key has values or a range; leave step out")
            return None
        start, stop, number = given["start"], given["stop"], given["number"]
        if start is None or stop is None:
            raise ValueError(
                "the key has neither values nor a whole range; add values, or start and stop with "
                "number or step"
            )
        if (number is None) == (step is None):
            raise ValueError("a range has either number or step; keep one of the two")
        if step is not None:
            _check_step(start, stop, step, given["spacing"])
        elif number == 1 and start.value != stop.value:
            raise ValueError("a range of one value starts where it stops; write values instead")
        return step


class DrawnTable(_Moved):
    """A key of the sample, and the range it is drawn from."""

    spacing: Spacing = "linear"
    start: Annotated[Any, ValueText()] = Field(
        description=f"Lower end of its range. {_NUMBER}", examples=["200 mm"]
    )
    stop: Annotated[Any, ValueText()] = Field(
        description=f"Upper end of its range. {_NUMBER}", examples=["260 mm"]
    )

    @field_validator("stop")
    @classmethod
    def _above_start(cls, stop: Amount, info: ValidationInfo) -> Amount:
        if {"spacing", "start"} <= info.data.keys():
            check_ends(info.data["start"], stop, info.data["spacing"])
        return stop


class SampleTable(Table):
    """Several keys drawn together, evenly over their ranges: a scrambled Sobol sequence."""

    points: Annotated[int, Number(1, MOST_POINTS, whole=True)] = Field(
        description="How many points; powers of 2 are spread most evenly.", examples=[64]
    )
    seed: Annotated[int, Number(0, 2**31 - 1, whole=True)] = optional(
        0, "Which of the many samples; the same seed gives the same points."
    )
    over: Annotated[list[DrawnTable], Field(min_length=1, max_length=MOST_KEYS)] = Field(
        description="The keys and their ranges, each in a table [[sweep.sample.over]]."
    )


class SweepTable(Table):
    """A design space round the case: every combination of the values is one point."""

    keep: Keep = optional(
        "figures",
        "What is kept of every point. figures: the numbers of the summary. fields: the field and "
        "the pressure on the arcs and at the seats too.",
    )
    over: Annotated[list[OverTable], Field(max_length=MOST_KEYS)] = optional(
        [],
        "Keys and their values, each in a table [[sweep.over]]; every key is a dimension of the "
        "answer.",
    )
    sample: SampleTable | None = optional(
        None, "Keys that are drawn together; they share one dimension, sample."
    )


def check_ends(start: Amount, stop: Amount, spacing: str) -> None:
    """Refuse ends that make no range."""
    if start.dimension is not stop.dimension:
        raise ValueError("start and stop are not of one kind; write both in units of the key")
    if start.value > stop.value:
        raise ValueError(
            "the range is empty: its stop lies below its start; write the lower end first"
        )
    if spacing == "logarithmic" and start.value <= 0:
        raise ValueError("equal ratios start above 0; write a larger start or leave spacing out")


def _check_step(start: Amount, stop: Amount, step: Amount, spacing: str) -> None:
    if step.dimension is not start.dimension:
        raise ValueError("the step is not of the kind of start and stop")
    if step.interval <= 0:
        raise ValueError("the range is empty: its step is not above 0; write a step above 0")
    if spacing == "logarithmic":
        raise ValueError("equal ratios have a number, no step; write number in its place")
    count = steps(start, stop, step) + 1
    if count > MOST_VALUES:
        raise ValueError(f"the range has {count} values, more than {MOST_VALUES}; widen the step")


def steps(start: Amount, stop: Amount, step: Amount) -> int:
    """How many steps fit between the ends of a range."""
    return math.floor((stop.value - start.value) / step.interval)


def values_of(table: OverTable) -> tuple[float, ...]:
    """The values of a checked table, in base units."""
    if table.values is not None:
        return tuple(float(each.value) for each in table.values)
    start, stop = table.start, table.stop
    if table.step is not None:
        count = steps(start, stop, table.step) + 1
        return tuple(float(start.value + i * table.step.interval) for i in range(count))
    assert table.number is not None
    last = max(table.number - 1, 1)
    if table.spacing == "linear":
        whole: Fraction = stop.value - start.value
        return tuple(float(start.value + whole * i / last) for i in range(table.number))
    ratio = float(stop.value / start.value)
    inner = (float(start.value) * ratio ** (i / last) for i in range(1, last))
    return (float(start.value), *inner, float(stop.value))[: table.number]


def dimension_of(table: OverTable | DrawnTable) -> Any:
    """The dimension of a table's values, None for bare numbers."""
    first = table.values[0] if isinstance(table, OverTable) and table.values else table.start
    return first.dimension


def name_of(table: OverTable | DrawnTable) -> str:
    """What a swept key is called in the data."""
    plain = "".join(sign if sign.isascii() and sign.isalnum() else "_" for sign in table.key)
    return table.name or plain
