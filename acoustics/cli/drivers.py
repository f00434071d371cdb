"""`roundover drivers`: whether a design's drivers go together in its cabinet, and why."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import folder_option, writable_folder
from acoustics.cli.together import together

TEXT, TABLE = "drivers.txt", "drivers.csv"


@click.command(short_help="Say whether a design's drivers go together, and why.")
@click.argument("case", type=click.Path(path_type=str))
@folder_option(None)
def drivers(case: str, out: Path | None) -> None:
    """Say whether a design's drivers go together in its cabinet, and why.

    Level after the baffle step, usable bands, resonance, piston sizes, spacing, impedance, volume,
    displacement and price, each with its rule. Prints the report; with --out also writes
    drivers.txt and drivers.csv.
    """
    from acoustics.case import read_case

    checked = read_case(case)
    if out is not None:
        writable_folder(out, TEXT, TABLE, figures=False)

    from acoustics.report import compatibility_csv, compatibility_text
    from acoustics.studies.compatibility import compatibility

    lines = compatibility(checked)
    text = compatibility_text(checked, lines)
    click.echo(text)
    if out is not None:
        from acoustics.files import write_text

        with together(out):
            write_text(text, out / TEXT)
            write_text(compatibility_csv(lines), out / TABLE)
        click.echo(f"Written to {out}: {TEXT}, {TABLE}.")
