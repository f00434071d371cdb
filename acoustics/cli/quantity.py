"""Values with a unit on the command line."""

from __future__ import annotations

import click


def quantity(dimension: str) -> type[click.ParamType]:
    """A kind of value with its unit, as case files have it: "5 mm"."""

    class Quantity(click.ParamType):
        name = "text"

        def convert(
            self, value: object, param: click.Parameter | None, ctx: click.Context | None
        ) -> float:
            from acoustics.case.text import units

            if isinstance(value, float):
                return value
            try:
                return units.parse(value, getattr(units, dimension))
            except units.UnitError as error:
                self.fail(str(error), param, ctx)

    return Quantity
