"""Figures of builds and what is asked of them, as cells of tables."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.studies.tolerance.answers import aim_figures, is_open
from acoustics.studies.wording import ALL_ROUND, amount, beam, number

FINER = ("dB", "degree")
"""units in which builds differ by less than their usual digits show"""

NAME_COLUMNS = 30
"""letters of a name in a line of a table"""


def value_words(found: xr.Dataset, figure: int, value: float, *, unit: bool = False) -> str:
    """A figure of builds, a digit finer in dB and degrees; "≥ 1.70" of a window without end."""
    own = str(found.figure_units.values[figure])
    if not np.isfinite(value):
        return "not known"
    if own == "degree" and value >= ALL_ROUND:
        return beam(value)
    least = "≥ " if is_open(found, figure, value) else ""
    write = amount if unit else number
    return f"{least}{write(value, own, finer=int(own in FINER))}"


def asked(found: xr.Dataset, aim: int) -> str:
    """What an aim asks for: "at most 1.5 dB", "−1.00 to 0.30"."""
    unit = str(found.figure_units.values[aim_figures(found)[aim]])
    least, most = (float(found[name][aim]) for name in ("aim_at_least", "aim_at_most"))
    if np.isfinite(least) and np.isfinite(most):
        return f"{number(least, unit)} to {number(most, unit)}"
    if np.isfinite(least):
        return f"at least {amount(least, unit)}"
    return f"at most {amount(most, unit)}"


def wrapped(row: Sequence[str]) -> list[list[str]]:
    """A row of a table whose first cell is broken into lines, the others on the first of them."""
    name, *cells = row
    first, *more = textwrap.wrap(name, NAME_COLUMNS) or [""]
    return [[first, *cells], *([f"  {line}", *[""] * len(cells)] for line in more)]
