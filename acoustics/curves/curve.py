"""What a frequency curve is, how its table may be written, and what is wrong with one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from acoustics.conventions import FileError

Quantity = Literal["level", "impedance"]
Column = Literal["frequency", "magnitude", "phase", "real", "imaginary", "ignored"]
Delimiter = Literal["tab", "semicolon", "comma", "bar", "space"]
Decimal = Literal["point", "comma"]
FrequencyUnit = Literal["Hz", "kHz"]
Magnitude = Literal["dB", "linear", "real and imaginary"]
Phase = Literal["deg", "rad", "none"]


@dataclass(frozen=True)
class CurveForm:
    """How a table is written, as far as it is stated; None is found out or guessed.

    `columns` names the columns from the left, later ones are ignored. "space" as a `delimiter`
    is any number of blanks and tabs. `phase` "none" leaves a column of phase aside.
    """

    columns: tuple[Column, ...] | None = None
    delimiter: Delimiter | None = None
    decimal: Decimal | None = None
    frequency_unit: FrequencyUnit | None = None
    magnitude: Magnitude | None = None
    phase: Phase | None = None


GUESS = CurveForm()
"""Nothing stated."""


@dataclass(frozen=True, eq=False)
class Curve:
    """A complex quantity over frequency.

    `frequency` in Hz, ascending without duplicates, shape (n,); `values` complex, shape (n,): for
    levels the linear ratio 10^(dB/20), for impedances ohm. Without phase they are real.
    `guesses` are sentences about what the table did not say; `source` is its name.
    """

    frequency: np.ndarray
    values: np.ndarray
    has_phase: bool
    guesses: tuple[str, ...]
    source: str


class CurveError(FileError):
    """A file that cannot be read as a frequency curve; `fault` has its place."""


LONGEST_SHOWN = 60


def shown(text: str) -> str:
    """A piece of a file in quotes, short and without control characters."""
    plain = "".join(c if c.isprintable() else " " for c in text[: 2 * LONGEST_SHOWN]).strip()
    return f"'{plain[:LONGEST_SHOWN]}…'" if len(plain) > LONGEST_SHOWN else f"'{plain}'"
