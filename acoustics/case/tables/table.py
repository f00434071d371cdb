"""What every table of a case file has in common."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field


class Table(BaseModel):
    """A table that refuses keys it does not know and converts nothing silently."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, validate_default=True)


class ClashError(ValueError):
    """A value that does not go with those of other `keys` of its table."""

    def __init__(self, message: str, *keys: str) -> None:
        super().__init__(message)
        self.keys = keys


def optional(default: Any, description: str, examples: list[Any] | None = None) -> Any:
    """Declare a key that may be left out; `default` is written as it would be in the file."""
    return Field(default=default, description=description, examples=examples)
