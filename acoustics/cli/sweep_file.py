"""What `roundover measure --sweep` does: cautions first, then the file, then how to play it."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.case.design.model import Case


def write_test_sweep(
    case: Case, file: Path, driver: str | None, lowest: float | None, level: float
) -> None:
    """Print the cautions, write the test sweep for one driver, and say how to play it."""
    from acoustics.files import write_bytes
    from acoustics.measurement.sweep_file import LEAD, TAIL, sweep_wav
    from acoustics.report.cautions import OF_SWEEPS
    from acoustics.report.plain_text import bullet, heading, paragraph
    from acoustics.report.playing import playing_lines
    from acoustics.studies.measure.planned import planned_sweep

    planned = planned_sweep(case, driver, lowest)
    click.echo("\n".join([heading("Before any sweep"), *map(bullet, OF_SWEEPS)]) + "\n")
    write_bytes(sweep_wav(planned.sweep, level), file)
    for line in playing_lines(planned, level, (LEAD, TAIL)):
        click.echo(line if "\n" in line else paragraph(line))
    click.echo(f"Written to {file}.")
