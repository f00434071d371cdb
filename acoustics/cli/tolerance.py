"""`roundover tolerance`: whether it matters that builds stray from the design."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.together import together

ANSWER, TABLE = "tolerance.nc", "table.csv"

PER_CENT = 100


@click.command(short_help="Build a design many times, each a little off: does it matter?")
@click.argument("case", type=click.Path(path_type=str))
@folder_option("NAME of the case-tolerance")
def tolerance(case: str, out: Path | None) -> None:
    """Build a design many times, each a little off, and tell whether that matters.

    What strays, and how far, says the case's table [tolerance]; left out, it is what usually does:
    holes, ears, the air, drivers and parts. Writes tolerance.nc, summary.txt, table.csv and
    figures, and prints the summary. Broken off, it goes on where it was when it is started again:
    what is done is kept in the folder "work".
    """
    from acoustics.case import read_case
    from acoustics.cli.progress import SHARE, progress_bar

    checked = read_case(case)

    from acoustics.storage import save
    from acoustics.studies.labels import case_name
    from acoustics.studies.tolerance import tolerance_study
    from acoustics.studies.tolerance.run import WORK

    folder = out or Path("roundover-out") / f"{case_name(checked)}-tolerance"
    writable_folder(folder, ANSWER, "summary.txt", TABLE, inside=(WORK,))
    with progress_bar(checked.title, PER_CENT, SHARE) as progress:
        found = tolerance_study(
            checked,
            folder,
            progress=lambda done, whole: progress(PER_CENT * done // whole, PER_CENT),
        )
    with together(folder):
        # First of all: what was computed is not lost when something goes wrong with a figure.
        save(found, folder / ANSWER)

        from acoustics.figures import TOLERANCE_SHEETS, save_sheets
        from acoustics.files import write_text
        from acoustics.report import tolerance_csv, tolerance_text

        text = tolerance_text(checked, found)
        write_text(text, folder / "summary.txt")
        write_text(tolerance_csv(found), folder / TABLE)
        click.echo(text)
        drawn = save_sheets(TOLERANCE_SHEETS, found, folder / FIGURES)
    drawing = "1 figure" if drawn == 1 else f"{drawn} figures"
    click.echo(f"Written to {folder}: {ANSWER}, summary.txt, {TABLE}, {drawing} (PNG and SVG).")
