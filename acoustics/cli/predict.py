"""`roundover predict`: a case in; dataset, figures and summary out."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("case", type=click.Path(path_type=str))
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder to write to.  [default: roundover-out/NAME of the case]",
)
def predict(case: str, out: Path | None) -> None:
    """Predict a design and say whether it is good.

    Writes prediction.nc, summary.txt and figures, and prints the summary.
    """
    from acoustics.case import read_case
    from acoustics.cli.output import writable_folder
    from acoustics.cli.progress import progress_bar

    checked = read_case(case)

    from acoustics.studies.labels import case_name

    folder = writable_folder(out or Path("roundover-out") / case_name(checked))

    from acoustics.prediction import predict as predict_case
    from acoustics.storage import save

    with progress_bar(checked.title, checked.frequencies.values().size) as progress:
        prediction = predict_case(checked, progress=progress)
    # First of all: what was computed is not lost when something goes wrong with a figure.
    save(prediction, folder / "prediction.nc")

    from acoustics.figures import SHEETS, save_sheets
    from acoustics.files import write_text
    from acoustics.report import summary

    text = summary(checked, prediction)
    write_text(text, folder / "summary.txt")
    click.echo(text)
    drawn = save_sheets(SHEETS, prediction, folder / "figures")
    click.echo(f"Written to {folder}: prediction.nc, summary.txt, {drawn} figures (PNG and SVG).")
