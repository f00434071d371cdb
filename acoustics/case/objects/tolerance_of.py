"""From the checked table [tolerance] to the frozen objects of the model."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from acoustics.case.design.model import Case
from acoustics.case.design.tolerance_model import Spread, Tolerance
from acoustics.case.messages.sweep_paths import path_to, value_at
from acoustics.case.objects.spreads import (
    PARAMETERS,
    delay_spreads,
    distance_spread,
    ear_height_spread,
    level_spreads,
    parameter_spreads,
    part_spreads,
    position_spreads,
    temperature_spread,
)
from acoustics.case.objects.usual_tolerance import usual_spreads
from acoustics.case.tables.tolerance_table import SpreadTable, ToleranceTable
from acoustics.case.text.units import SHARE, amount


def tolerance_of(text: ToleranceTable, case: Case, data: dict[str, Any]) -> Tolerance:
    """The tolerance of a table that has passed every check.

    `case` is the design without it, `data` what TOML makes of the case file and of driver files.
    """
    stated = (*_stated(text, case), *(_any_key(each, text, data) for each in text.spreads))
    return Tolerance(
        spreads=stated or usual_spreads(case, text.shape),
        builds=text.builds,
        seed=text.seed,
        band=text.band / 100,
        usual=not stated,
    )


def _stated(text: ToleranceTable, case: Case) -> Iterator[Spread]:
    """Spreads of what the table has keys of its own for."""
    shape = text.shape
    if text.positions is not None:
        yield from position_spreads(case, text.positions, shape)
    if text.ear_height is not None:
        yield ear_height_spread(case, text.ear_height, shape)
    if text.distance is not None:
        yield distance_spread(case, text.distance, shape)
    if text.temperature is not None:
        yield temperature_spread(case, text.temperature, shape)
    if text.levels is not None:
        yield from level_spreads(case, text.levels, shape)
    if text.delays is not None:
        yield from delay_spreads(case, text.delays, shape)
    if text.parts is not None:
        yield from part_spreads(case, text.parts, text.parts_shape)
    for parameter in PARAMETERS:
        within = getattr(text.drivers, parameter)
        if within is not None:
            yield from parameter_spreads(case, parameter, within, shape)


def _any_key(each: SpreadTable, text: ToleranceTable, data: dict[str, Any]) -> Spread:
    keys = (each.key, *(each.also or ()))
    values = [amount(value_at(data, *path_to(key, data))) for key in keys]
    dimension = values[0].dimension
    return Spread(
        name=each.name or each.key,
        kind="key",
        keys=keys,
        values=tuple(float(value.value) for value in values),
        within=float(each.within.interval),
        relative=each.within.dimension is SHARE,
        shape=each.shape or text.shape,
        unit="" if dimension is None else dimension.base,
    )
