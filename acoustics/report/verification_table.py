"""All causes of a verification as a table for spreadsheets."""

from __future__ import annotations

import xarray as xr

from acoustics.report.spreadsheet import csv_text
from acoustics.report.verification_answer import members
from acoustics.report.verification_sizes import in_trade

HEAD = ("rank", "probability", "what", "size", "low", "high", "designed", "unit", "remedy")
DIGITS = 4


def verification_csv(found: xr.Dataset) -> str:
    """One row for each cause's member, the design and what nobody knows among them.

    Members of one cause share rank and probability, for readings do not tell them apart. Sizes are
    in the units in which parts are sold, 95 % between `low` and `high`.
    """
    ranked: list[tuple[float, list[list[str]]]] = [
        (float(found.attrs["healthy"]), [["as designed", *[""] * 6]]),
        (float(found.attrs["unknown"]), [["something that is on no list", *[""] * 6]]),
    ]
    for cause in range(found.sizes["cause"]):
        rows = [_member(found, cause, member) for member in range(members(found, cause))]
        ranked.append((float(found.cause_probability[cause]), rows))
    ranked.sort(key=lambda one: -one[0])
    table = [list(HEAD)]
    for rank, (probability, rows) in enumerate(ranked, start=1):
        table += [[str(rank), f"{probability:.4f}", *row] for row in rows]
    return csv_text(table)


def _member(found: xr.Dataset, cause: int, member: int) -> list[str]:
    one = found.isel(cause=cause, member=member)
    si, kind = str(one.cause_unit.values), str(one.cause_kind.values)
    told = [
        in_trade(float(one[name]), si, kind, digits=DIGITS)
        for name in ("cause_size", "cause_size_low", "cause_size_high", "cause_designed")
    ]
    sizes = [number for number, _ in told]
    return [str(one.cause_words.values), *sizes, told[0][1], str(one.cause_remedy.values)]
