"""`roundover report`: the papers of a design in one folder."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import folder_option, writable_folder

FILES = ("prediction.nc", "summary.txt", "report.html", "report.pdf")


@click.command(short_help="Write all papers of a design: a page to read, a PDF, drawings, data.")
@click.argument("case", type=click.Path(path_type=str))
@folder_option("NAME of the case-report")
def report(case: str, out: Path | None) -> None:
    """Write the papers of a design to one folder.

    report.html says whether it is good and what to change, with figures that can be zoomed and
    read off; it needs no network. report.pdf is the same on A4. Beside them drawings/ for the
    workshop, data/ in open formats, prediction.nc and summary.txt. Where a driver does not reach
    the acoustic target set for it, all that is written and the exit code is 2.
    """
    from acoustics.case import read_case
    from acoustics.cli.progress import SHARE, progress_bar
    from acoustics.conventions import CaseError

    checked = read_case(case)

    from acoustics.studies.labels import case_name

    folder = out or Path("roundover-out") / f"{case_name(checked)}-report"
    writable_folder(folder, *FILES, figures=False)
    writable_folder(folder / "drawings", figures=False)
    writable_folder(folder / "data", figures=False)

    from acoustics.cli.papers import all_papers
    from acoustics.listening import unreached
    from acoustics.report.drawing_dxf import HOW_TO_INSTALL, can_write_dxf

    with progress_bar(checked.title, 100, SHARE) as progress:
        prediction = all_papers(checked, folder, lambda share: progress(share, 100))
    click.echo((folder / "summary.txt").read_text(encoding="utf-8"))
    click.echo(f"Written to {folder}: {', '.join(FILES)}, drawings and data.")
    if not can_write_dxf():
        click.echo(f"No drawings in DXF: {HOW_TO_INSTALL}.")
    if faults := unreached(checked, prediction):
        raise CaseError(faults)
