"""`roundover sweep`: a case with a table [sweep] in; every point of its design space."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.together import together


@click.command(short_help="Predict every variant that the table [sweep] spans.")
@click.argument("case", type=click.Path(path_type=str))
@folder_option("NAME of the case-sweep")
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help='Work on a Dask cluster: the address of its scheduler, or "local" for one on this '
    "machine.  [default: processes of its own, one for each core]",
)
def sweep(case: str, out: Path | None, cluster: str | None) -> None:
    """Predict every point of the design space that the case's table [sweep] spans.

    Writes sweep.nc, summary.txt and figures, and prints the summary. Broken off, it goes on where
    it was when it is started again: what is done is kept in the folder "blocks".
    """
    from acoustics.case import read_case
    from acoustics.cli.progress import POINTS, progress_bar

    checked = read_case(case)

    from acoustics.studies.labels import case_name
    from acoustics.studies.sweeps.run import ANSWER, require_sweep
    from acoustics.studies.sweeps.run import sweep as sweep_case
    from acoustics.studies.sweeps.space import point_count

    folder = out or Path("roundover-out") / f"{case_name(checked)}-sweep"
    writable_folder(folder, ANSWER, "summary.txt")
    points = point_count(require_sweep(checked))
    with together(folder):
        with progress_bar(checked.title, points, POINTS) as progress:
            found = sweep_case(checked, folder, cluster=cluster, progress=progress)

        from acoustics.figures import SWEEP_SHEETS, save_sheets
        from acoustics.files import write_text
        from acoustics.report import sweep_summary

        text = sweep_summary(checked, found)
        write_text(text, folder / "summary.txt")
        click.echo(text)
        drawn = save_sheets(SWEEP_SHEETS, found, folder / FIGURES)
    drawing = "1 figure" if drawn == 1 else f"{drawn} figures"
    click.echo(f"Written to {folder}: {ANSWER}, summary.txt, {drawing} (PNG and SVG).")
