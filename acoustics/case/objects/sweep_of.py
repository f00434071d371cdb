"""From the checked table [sweep] to the frozen objects of the model."""

from __future__ import annotations

from typing import Any

from acoustics.case.design.sweep_model import Sample, Sweep, SweptKey
from acoustics.case.messages.sweep_paths import path_to
from acoustics.case.tables.sweep_table import (
    DrawnTable,
    OverTable,
    SweepTable,
    dimension_of,
    name_of,
    values_of,
)


def sweep_of(table: SweepTable, data: dict[str, Any]) -> Sweep:
    """The sweep of a table that has passed every check.

    `data` is what TOML makes of the case file and of the driver files.
    """

    def swept(each: OverTable | DrawnTable) -> SweptKey:
        _, node = path_to(each.key, data)
        dimension = dimension_of(each)
        values: tuple[float, ...]
        if isinstance(each, DrawnTable):
            values = (float(each.start.value), float(each.stop.value))
        else:
            values = values_of(each)
        return SweptKey(
            name=name_of(each),
            keys=(each.key, *(each.also or ())),
            values=values,
            unit=dimension.base if dimension else "",
            whole=node.get("type") == "integer",
            logarithmic=each.spacing == "logarithmic",
        )

    sample = table.sample
    return Sweep(
        keep=table.keep,
        over=tuple(swept(each) for each in table.over),
        sample=None
        if sample is None
        else Sample(sample.points, sample.seed, tuple(swept(each) for each in sample.over)),
    )
