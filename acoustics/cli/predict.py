"""`roundover predict`: a case in; dataset, figures and summary out."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.together import together


@click.command()
@click.argument("case", type=click.Path(path_type=str))
@folder_option("NAME of the case")
def predict(case: str, out: Path | None) -> None:
    """Predict a design and say whether it is good.

    Writes prediction.nc, summary.txt and figures, and prints the summary. Where a driver does not
    reach the acoustic target set for it, all that is written and the exit code is 2.
    """
    from acoustics.case import read_case
    from acoustics.cli.progress import progress_bar
    from acoustics.conventions import CaseError

    checked = read_case(case)

    from acoustics.studies.labels import case_name

    folder = out or Path("roundover-out") / case_name(checked)
    writable_folder(folder, "prediction.nc", "summary.txt")

    from acoustics.prediction import predict as predict_case
    from acoustics.storage import save

    with progress_bar(checked.title, checked.frequencies.values().size) as progress:
        prediction = predict_case(checked, progress=progress)
    with together(folder):
        # First of all: what was computed is not lost when something goes wrong with a figure.
        save(prediction, folder / "prediction.nc")

        from acoustics.figures import SHEETS, save_sheets
        from acoustics.files import write_text
        from acoustics.listening import unreached
        from acoustics.report.summary import summary

        text = summary(checked, prediction)
        write_text(text, folder / "summary.txt")
        click.echo(text)
        drawn = save_sheets(SHEETS, prediction, folder / FIGURES)
    click.echo(f"Written to {folder}: prediction.nc, summary.txt, {drawn} figures (PNG and SVG).")
    if faults := unreached(checked, prediction):
        raise CaseError(faults)
