"""What a careful person would say about a measurement before using it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """One thing to know about a measurement.

    Attributes:
        what: a sentence without its full stop.
        where: time, frequency or sample it is about; empty where it is about everything.
        certain: whether it is so, or only looks so.
        advice: what to do, a sentence.
    """

    what: str
    where: str
    certain: bool
    advice: str

    def __str__(self) -> str:
        place = f" ({self.where})" if self.where else ""
        return f"{self.what}{place}. {self.advice}"
