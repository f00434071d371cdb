"""`roundover check`: whether a case file is free of faults, and what it describes."""

from __future__ import annotations

import textwrap

import click

COLUMNS = 88
FURTHER = " " * 15
"""before what a long line of the description goes on with"""


@click.command(short_help="Check a case file and say what it describes.")
@click.argument("case", type=click.Path(), required=False)
@click.option("--schema", is_flag=True, help="Print the JSON schema of case files instead.")
def check(case: str | None, schema: bool) -> None:
    """Check a case file (or the case.toml in a folder) and say what it describes.

    Every fault is reported at once, with its line and a way out; the exit code is then 2. What does
    not quite fit together is told as a warning.
    """
    from acoustics.case import read_case, schema_text
    from acoustics.report.case_words import description

    if schema:
        click.echo(schema_text(), nl=False)
        return
    if case is None:
        raise click.UsageError("Missing argument 'CASE': a case file or its folder.")
    checked = read_case(case)
    for line in description(checked):
        click.echo(_wrapped(line))
    for warning in checked.warnings:
        click.echo(f"warning: {warning}")
    click.echo("no faults")


def _wrapped(line: str) -> str:
    """A line of the description, broken where it is too long."""
    return textwrap.fill(
        line, COLUMNS, subsequent_indent=FURTHER, break_long_words=False, break_on_hyphens=False
    )
