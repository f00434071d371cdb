"""What a tab may ask for: every message is checked in form before anything is done with it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from acoustics.page.bounds import LONGEST_WORDS
from acoustics.studies.live.draft import EdgeKind

Number = Annotated[float, Field(allow_inf_nan=False)]
Serial = Annotated[int, Field(ge=0, lt=2**53)]
"""whole numbers that a browser counts exactly"""


class NotUnderstoodError(Exception):
    """A message that is refused; its text says in words why."""


class _Strict(BaseModel):
    """Exactly these keys, of exactly these types."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class SentEdges(_Strict):
    """What is done to the edges, as it is sent."""

    kind: EdgeKind
    size: Number


class SentDraft(_Strict):
    """A draft as it is sent, by the names of drivers; m, Hz and s."""

    places: dict[str, tuple[Number, Number]]
    ear_height: Number
    distance: Number
    corners: list[Number]
    delays: dict[str, Number]
    edges: SentEdges


class Hear(_Strict):
    """Asks what a draft sounds like; `held` says that the hand still moves."""

    ask: Literal["hear"]
    serial: Serial
    held: bool
    draft: SentDraft


class Map(_Strict):
    """Asks where on its face one driver would be best."""

    ask: Literal["map"]
    serial: Serial
    driver: str
    by: str
    draft: SentDraft


class NoMap(_Strict):
    """The map is not wanted any more."""

    ask: Literal["no map"]
    serial: Serial = 0


class Save(_Strict):
    """Write this into the file that was `seen`, and `over` newer values of these keys."""

    ask: Literal["save"]
    serial: Serial
    draft: SentDraft
    seen: Annotated[str, Field(max_length=64)]
    over: list[str] = []


class ReadFile(_Strict):
    """Read the file again."""

    ask: Literal["file"]
    serial: Serial = 0


Message = Hear | Map | NoMap | Save | ReadFile

_MESSAGES = TypeAdapter[Message](Annotated[Message, Field(discriminator="ask")])


def read_message(text: str) -> Message:
    """The message that a text is.

    Raises:
        NotUnderstoodError: it is none.
    """
    try:
        return _MESSAGES.validate_json(text)
    except ValidationError as error:
        raise NotUnderstoodError(_words(error)) from None
    except ValueError:  # text that no encoding has
        raise NotUnderstoodError("A message was not understood: it is no text.") from None


def _words(error: ValidationError) -> str:
    """The first thing that is wrong; what was sent is not told back."""
    first = error.errors(include_url=False, include_input=False, include_context=False)[0]
    where = ".".join(map(str, first["loc"]))
    said = f"{where}: {first['msg']}" if where else first["msg"]
    return f"A message was not understood: {said}"[:LONGEST_WORDS]
