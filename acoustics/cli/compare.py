"""`roundover compare`: two or more cases in; which is better for what."""

from __future__ import annotations

from pathlib import Path

import click

from acoustics.cli.output import FIGURES, folder_option, writable_folder
from acoustics.cli.together import together

LONGEST_NAME = 60
"""letters of the default folder's name: at most 240 bytes, as file systems allow"""

PER_CENT = 100
"""steps of the bar: parts of the work are of several kinds"""


@click.command()
@click.argument("cases", nargs=-1, required=True, metavar="CASE CASE...")
@folder_option("NAME-against-NAME")
@click.option(
    "--tolerance",
    is_flag=True,
    help="Hold differences against what builds stray by: only those that are larger count. "
    "Computes some builds of each design, with the spreads of the case's table [tolerance], or "
    "the usual ones of drivers, parts, saw cuts, ears and air.",
)
def compare(cases: tuple[str, ...], out: Path | None, tolerance: bool) -> None:
    """Compare designs and say which is better for what.

    Writes comparison.txt, table.csv, figures and each design's prediction, and prints the text.
    Where a driver does not reach the acoustic target set for it, the exit code is 2.
    """
    from acoustics.case import read_case
    from acoustics.cli.progress import SHARE, progress_bar
    from acoustics.conventions import CaseError, Fault

    if len(cases) < 2:
        raise click.UsageError("A comparison takes at least two cases.")
    checked, faults = [], list[Fault]()
    for case in cases:
        try:
            checked.append(read_case(case))
        except CaseError as error:
            faults += error.faults
    if faults:
        raise CaseError(faults)

    from acoustics.prediction import predict
    from acoustics.storage import save
    from acoustics.studies.comparison.compare import compare as compare_cases
    from acoustics.studies.labels import file_name, labels_of, require_different

    require_different(checked)
    labels = labels_of(checked)
    names = "-against-".join(file_name(label) for label in labels)
    folder = out or Path("roundover-out") / names[:LONGEST_NAME]
    writable_folder(folder, "comparison.txt", "table.csv")
    with together(folder):
        predictions = []
        for each, label in zip(checked, labels, strict=True):
            with progress_bar(label, each.frequencies.values().size) as progress:
                predictions.append(predict(each, progress=progress))
            save(predictions[-1], folder / f"{file_name(label)}.nc")
        if tolerance:
            with progress_bar("Builds", PER_CENT, SHARE) as progress:
                comparison = compare_cases(
                    checked,
                    predictions,
                    tolerance=True,
                    progress=lambda done, whole: progress(PER_CENT * done // whole, PER_CENT),
                )
        else:
            comparison = compare_cases(checked, predictions)

        from acoustics.figures import COMPARISON_SHEETS, save_sheets
        from acoustics.files import write_text
        from acoustics.listening import unreached
        from acoustics.report import comparison_csv, comparison_text

        text = comparison_text(comparison)
        write_text(text, folder / "comparison.txt")
        write_text(comparison_csv(comparison.table), folder / "table.csv")
        click.echo(text)
        drawn = save_sheets(COMPARISON_SHEETS, comparison, folder / FIGURES)
    click.echo(
        f"Written to {folder}: comparison.txt, table.csv, {len(predictions)} predictions, "
        f"{drawn} figures (PNG and SVG)."
    )
    pairs = zip(checked, predictions, strict=True)
    if short := [fault for case, each in pairs for fault in unreached(case, each)]:
        raise CaseError(short)
