"""`roundover check`: whether a case file is free of faults, and what it describes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from acoustics.case import Case, Section


@click.command(short_help="Check a case file and say what it describes.")
@click.argument("case", type=click.Path(), required=False)
@click.option("--schema", is_flag=True, help="Print the JSON schema of case files instead.")
def check(case: str | None, schema: bool) -> None:
    """Check a case file (or the case.toml in a folder) and say what it describes.

    Every fault is reported at once, with its line and a way out; the exit code is then 2.
    """
    from acoustics.case import read_case, schema_text

    if schema:
        click.echo(schema_text(), nl=False)
        return
    if case is None:
        raise click.UsageError("Missing argument 'CASE': a case file or its folder.")
    for line in description(read_case(case)):
        click.echo(line)
    click.echo("no faults")


def description(case: Case) -> list[str]:
    """The design in a few lines of text."""
    from acoustics.case.units import hertz, in_unit

    def size(metres: float) -> str:
        return in_unit(metres, "mm")

    box = case.cabinet
    lines = [
        case.title,
        f"  cabinet    {size(box.width)} wide, {size(box.height)} high, {size(box.depth)} deep, "
        f"base {size(box.base_height)} above the floor",
    ]
    branches = {branch.driver: branch for branch in case.crossover}
    for driver in case.drivers:
        right, up = driver.position
        sections = branches[driver.name].sections if driver.name in branches else ()
        way = ", ".join(_section(section) for section in sections) or "full range"
        lines.append(
            f"  {driver.name:<10} {size(driver.piston_diameter)} piston at {size(right)} right, "
            f"{size(up)} up; {driver.sensitivity:g} dB; {way}"
        )
    right, up = case.reference.point
    ears = ", ".join(in_unit(height, "m") for height in case.seat.ear_heights)
    floor = "no floor" if case.floor is None else f"floor reflects {case.floor.reflection:g}"
    grid = case.frequencies
    return [
        *lines,
        f"  reference  from {size(right)} right, {size(up)} up; "
        f"{in_unit(case.reference.distance, 'm')} away",
        f"  seat       {in_unit(case.seat.distance, 'm')} away, ears at {ears}; {floor}",
        f"  predicts   {grid.values().size} frequencies, {hertz(grid.lowest)} to "
        f"{hertz(grid.highest)}; {len(case.aims)} aims",
    ]


def _section(section: Section) -> str:
    from acoustics.case import PassFilter
    from acoustics.case.units import hertz

    if not isinstance(section, PassFilter):
        return f"{section.kind} {section.gain:+g} dB at {hertz(section.frequency)}"
    corners = " to ".join(
        hertz(corner) for corner in (section.low_corner, section.high_corner) if corner is not None
    )
    return f"{section.kind} {section.alignment} order {section.order} at {corners}"
