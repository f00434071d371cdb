"""Kinds of value a case file may hold, each with its range: quantities, bare numbers, names.

Each is metadata for `typing.Annotated`: it tells pydantic how to check a value and the JSON
schema how to describe it.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass, replace
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from acoustics.case.text.shown import shortened
from acoustics.case.text.units import (
    LENGTH,
    Dimension,
    UnitError,
    amount,
    parse,
    pattern,
    refuse_comma,
)


class Kind(ABC):
    """What the kinds of value share: a reader and a JSON schema."""

    @abstractmethod
    def read(self, value: object) -> Any:
        """The checked value; raises UnitError."""

    @abstractmethod
    def schema(self) -> dict[str, Any]:
        """The JSON schema of what `read` takes."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return self.schema()


@dataclass(frozen=True)
class Quantity(Kind):
    """A number with its unit between `low` and `high`, both quantities too.

    `reason` says what lies outside the range, where that helps.
    """

    dimension: Dimension
    low: str
    high: str
    reason: str = ""

    def read(self, value: object) -> float:
        """Metres, hertz, seconds, kelvin or degrees."""
        number = parse(value, self.dimension)
        low, high = parse(self.low, self.dimension), parse(self.high, self.dimension)
        if not low <= number <= high:
            because = f" ({self.reason})" if self.reason else ""
            raise UnitError(
                f"{shortened(value)} is out of range; write a value from {self.low} to "
                f"{self.high}{because}"
            )
        return number

    def schema(self) -> dict[str, Any]:
        """A string with a number and one of the dimension's units."""
        return {
            "type": "string",
            "pattern": pattern(self.dimension),
            "$comment": f"{self.dimension.name}, {self.low} to {self.high}",
            "examples": [self.dimension.example],
        }


@dataclass(frozen=True)
class Difference(Kind):
    """The difference of two quantities, from `low` to `high`, differences too.

    "5 degC" and "5 K" are both 5 kelvin, "9 degF" is as many.
    """

    dimension: Dimension
    low: str
    high: str
    example: str

    def read(self, value: object) -> float:
        """In the dimension's base unit."""
        parse(value, replace(self.dimension, example=self.example))  # refuses other dimensions
        number = amount(value).interval
        if not amount(self.low).interval <= number <= amount(self.high).interval:
            raise UnitError(
                f"{shortened(value)} is out of range; write a difference from {self.low} to "
                f"{self.high}"
            )
        return float(number)

    def schema(self) -> dict[str, Any]:
        """A string with a number and one of the dimension's units."""
        return {
            "type": "string",
            "pattern": pattern(self.dimension),
            "$comment": f"the difference of two of {self.dimension.name}, {self.low} to "
            f"{self.high}",
        }


def length(low: str, high: str, reason: str = "") -> Quantity:
    """A length between `low` and `high`."""
    return Quantity(LENGTH, low, high, reason)


@dataclass(frozen=True)
class Number(Kind):
    """A bare number from `low` to `high`: a ratio, a count or decibels; `unit` is for messages."""

    low: float
    high: float
    unit: str = ""
    whole: bool = False

    def read(self, value: object) -> float | int:
        """The number itself."""
        kind = "whole number" if self.whole else "number"
        # A count is told in full: rounded it would name a bound that is none.
        low, high = (f"{end}" if self.whole else f"{end:g}" for end in (self.low, self.high))
        expected = f"a {kind} from {low} to {high}{self.unit and ' '}{self.unit}"
        if isinstance(value, str):
            refuse_comma(value)
            raise UnitError(f"{shortened(value)} is text; write {expected}, without quotes or unit")
        if isinstance(value, bool) or not isinstance(value, int if self.whole else int | float):
            raise UnitError(f"{shortened(value)} is not a {kind}; write {expected}")
        # An int is always finite, and may be too large for math.isfinite.
        if isinstance(value, float) and not math.isfinite(value):
            raise UnitError(f"{value!r} is not a finite number; write {expected}")
        if not self.low <= value <= self.high:
            raise UnitError(f"{shortened(value)} is out of range; write {expected}")
        return value if self.whole else float(value)

    def schema(self) -> dict[str, Any]:
        """A number with its bounds."""
        kind = "integer" if self.whole else "number"
        described = {"type": kind, "minimum": self.low, "maximum": self.high}
        return {**described, "$comment": self.unit} if self.unit else described


@dataclass(frozen=True)
class Text(Kind):
    """Text of at most `longest` characters: one line, not empty, unless it is `free`."""

    longest: int
    free: bool = False

    def read(self, value: object) -> str:
        """The text itself."""
        if not isinstance(value, str):
            raise UnitError(f"{shortened(value)} is not text; write it in quotes")
        if len(value) > self.longest:
            raise UnitError(f"the text has {len(value)} characters; at most {self.longest} fit")
        if not self.free and not (value.strip() and value.isprintable()):
            raise UnitError(f"{shortened(value)} is not a line of text; write a few words")
        return value

    def schema(self) -> dict[str, Any]:
        """A string with its longest length."""
        return {"type": "string", "minLength": 0 if self.free else 1, "maxLength": self.longest}


@dataclass(frozen=True)
class Name(Kind):
    """A name of at most `longest` characters that may stand in lists and labels."""

    longest: int

    def read(self, value: object) -> str:
        """The name itself."""
        name = Text(self.longest).read(value)
        strange = sorted({sign for sign in name if not (sign.isalnum() or sign in " -_")})
        if strange:
            raise UnitError(
                f"{shortened(value)} holds {' '.join(strange)}; write a name of letters, digits, "
                "spaces, dashes and underscores"
            )
        return name

    def schema(self) -> dict[str, Any]:
        """A string with its longest length."""
        return {
            "type": "string",
            "minLength": 1,
            "maxLength": self.longest,
            "$comment": "letters, digits, spaces, dashes and underscores",
        }


FILE_NAME = Text(1000)
"""A file that a case names."""
