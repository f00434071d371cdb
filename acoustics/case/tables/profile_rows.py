"""The text layer of a driver's `profile`: how its piston moves at some radii."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Annotated

from pydantic import Field

from acoustics.cabinet.profile import MOST_DEPTH, NO_HORNS, Profile
from acoustics.case.tables.fields import Number, length
from acoustics.case.tables.table import Table, optional
from acoustics.case.text.lines import Path
from acoustics.case.text.units import in_unit

MOST_ROWS = 100

MEETS = 1e-7
"""m: a radius in inches and a diameter in millimetres may be meant to agree."""


class ProfileRow(Table):
    """Velocity and depth of a piston at one radius."""

    radius: Annotated[float, length("0 mm", "0.5 m")] = Field(
        description="Distance from the piston's middle. It rises from row to row; that of the last "
        "row is the piston's radius.",
        examples=["40 mm"],
    )
    velocity: Annotated[float, Number(-1000, 1000)] = Field(
        description="Velocity there against that of the other rows; negative in opposite phase.",
        examples=[1.0],
    )
    depth: Annotated[float, length("-0.5 m", "0.5 m")] = optional(
        "0 mm", "How far it lies behind the face; negative in front of it.", examples=["8 mm"]
    )


def profile_from(rows: Sequence[ProfileRow], radius: float) -> Profile:
    """The profile that rows describe on a piston of this radius (m).

    Raises:
        GeometryError: radii that do not rise to the piston's, or a piston that moves no air.
    """
    last = rows[-1].radius
    return Profile(
        # The last radius is the piston's, but for rounding.
        radii=(
            *(row.radius / radius for row in rows[:-1]),
            1.0 if abs(last - radius) <= MEETS else last / radius,
        ),
        velocity=tuple(row.velocity for row in rows),
        depth=tuple(row.depth for row in rows),
    )


def row_faults(
    rows: Sequence[ProfileRow], piston_diameter: float | None
) -> Iterator[tuple[Path, str]]:
    """What is wrong with rows, each where it stands in them; the diameter (m) if it is known."""
    for index, (one, other) in enumerate(pairwise(rows), start=1):
        if other.radius - one.radius <= MEETS:
            yield (
                (index, "radius"),
                f"{in_unit(other.radius, 'mm')} in row {index + 1} is not beyond the "
                f"{in_unit(one.radius, 'mm')} of row {index}; write the rows with rising radii",
            )
    if piston_diameter is None:
        return
    radius, last = piston_diameter / 2, rows[-1].radius
    if abs(last - radius) > MEETS:
        yield (
            (len(rows) - 1, "radius"),
            f"{in_unit(last, 'mm')} in row {len(rows)}, the last, is not the piston's radius of "
            f'{in_unit(radius, "mm")}; end the rows there (radius = "{in_unit(radius, "mm")}"), '
            "or change piston_diameter",
        )
    for index, row in enumerate(rows):
        if abs(row.depth) > MOST_DEPTH * radius:
            yield (
                (index, "depth"),
                f"{in_unit(row.depth, 'mm')} in row {index + 1} is deeper than the piston's radius "
                f"of {in_unit(radius, 'mm')}: {NO_HORNS}",
            )
