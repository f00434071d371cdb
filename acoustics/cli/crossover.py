"""`roundover crossover`: fit a passive crossover, and the papers to build it from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from acoustics.cli.output import FIGURES, folder_option, require_another, writable_folder
from acoustics.cli.together import together

if TYPE_CHECKING:
    import xarray as xr

    from acoustics.case.design.model import Case

PER_CENT = 100

NEW_CASE = "case.toml"
"""Name of the case with the new crossover."""

PAPERS = ("parts.csv", "wiring.csv", "schematic.png", "schematic.svg")


@click.command(short_help="Fit a passive crossover to the drivers in their cabinet.")
@click.argument("case", type=click.Path(path_type=str))
@click.option(
    "--as-is",
    is_flag=True,
    help="Fit nothing: papers or coefficients of the crossover that the case has.",
)
@click.option(
    "--start",
    is_flag=True,
    help="Fit nothing: tell where one would start, from textbooks and what each driver needs.",
)
@folder_option("NAME of the case-crossover")
def crossover(case: str, as_is: bool, start: bool, out: Path | None) -> None:
    """Fit a passive crossover to the drivers of a case, in their cabinet, in all directions.

    Shapes to try, aims and parts are those of the table [fit], or the usual ones. Writes case.toml
    with the new crossover, its prediction.nc, crossover.nc, summary.txt, figures, and the papers:
    schematic, parts.csv and wiring.csv. Broken off, it goes on where it was when it is started
    again.
    """
    if as_is and start:
        raise click.UsageError("--as-is and --start are two things; leave one out")

    from acoustics.case import read_case

    checked = read_case(case)

    from acoustics.studies.labels import case_name

    folder = out or Path("roundover-out") / f"{case_name(checked)}-crossover"
    if as_is:
        _as_it_is(checked, folder)
    elif start:
        _start(checked, folder)
    else:
        _fit(checked, folder)


def _fit(case: Case, folder: Path) -> None:
    """Fit, write, predict before and after, tell."""
    from acoustics.cli.progress import SHARE, progress_bar
    from acoustics.figures.crossover_change import crossover_change
    from acoustics.figures.hand_over_sheet import hand_over_sheet
    from acoustics.figures.save import save_figure, save_sheets
    from acoustics.files import write_text
    from acoustics.prediction import predict
    from acoustics.report.crossover_fit import fit_text
    from acoustics.report.crossover_papers import papers_text
    from acoustics.storage import save
    from acoustics.studies.crossover_fit import fit_crossover, fit_dataset, written_case
    from acoustics.studies.crossover_fit.run import WORK
    from acoustics.studies.remembered import Remembered

    require_another(Path(case.path), folder / NEW_CASE)
    to_come = (NEW_CASE, "prediction.nc", "crossover.nc", "summary.txt", *PAPERS)
    writable_folder(folder, *to_come, inside=(WORK,))
    solve = Remembered(None, {})
    with progress_bar(case.title, PER_CENT, SHARE) as progress:
        fitted = fit_crossover(
            case,
            folder,
            progress=lambda done, whole: progress(PER_CENT * done // whole, PER_CENT),
            solve=solve,
        )
    found = fit_dataset(case, fitted)
    with together(folder):
        # First of all: what was found is not lost when something goes wrong with what follows.
        save(found, folder / "crossover.nc")
        new = written_case(case, fitted, folder / NEW_CASE)
        before, after = predict(case, solve=solve), predict(new, solve=solve)
        save(after, folder / "prediction.nc")
        text = f"{fit_text(new, fitted, found, before, after)}\n\n{papers_text(new, after)}"
        write_text(text, folder / "summary.txt")
        click.echo(text)
        files = _papers(new, after, folder)
        save_figure(crossover_change(before, after), folder / FIGURES / "crossover-change")
        drawn = 1 + save_sheets({"hand-over": hand_over_sheet}, after, folder / FIGURES)
    named = [NEW_CASE, "prediction.nc", "crossover.nc", "summary.txt", *files]
    _tell(folder, named, figures=drawn)


def _start(case: Case, folder: Path) -> None:
    """Tell where a crossover starts."""
    from acoustics.report.start_papers import write_start

    writable_folder(folder, "start.nc", "start.txt", "start.csv")
    with together(folder):
        text, files = write_start(case, folder)
    click.echo(text)
    _tell(folder, files)


def _as_it_is(case: Case, folder: Path) -> None:
    """Predict, and write the papers of the crossover that is there."""
    from acoustics.cli.progress import progress_bar
    from acoustics.conventions import RoundoverError
    from acoustics.files import write_text
    from acoustics.prediction import predict
    from acoustics.report.crossover_papers import papers_text
    from acoustics.report.summary import summary
    from acoustics.storage import save

    if case.processor is None and not any(case.is_passive(d.name) for d in case.drivers):
        raise RoundoverError(
            f"{case.path}: no branch of the crossover is passive and there is no [processor], so "
            "there are neither parts nor coefficients to tell of; leave --as-is out to have a "
            "passive one fitted"
        )
    writable_folder(folder, "prediction.nc", "summary.txt", *PAPERS, figures=False)
    with progress_bar(case.title, case.frequencies.values().size) as progress:
        prediction = predict(case, progress=progress)
    with together(folder):
        save(prediction, folder / "prediction.nc")
        text = papers_text(case, prediction) or summary(case, prediction)
        write_text(text, folder / "summary.txt")
        click.echo(text)
        files = _papers(case, prediction, folder)
    _tell(folder, ["prediction.nc", "summary.txt", *files])


def _papers(case: Case, prediction: xr.Dataset, folder: Path) -> list[str]:
    """Write what a crossover is built from: parts, wiring, schematic; coefficients."""
    from acoustics.report.coefficients import write_coefficients
    from acoustics.report.crossover_papers import write_papers

    files = write_papers(case, prediction, folder)
    if case.processor is not None:
        files += write_coefficients(case, prediction, folder)
    return files


def _tell(folder: Path, files: list[str], figures: int = 0) -> None:
    count = f"{figures} figure{'s' if figures > 1 else ''}"
    drawn = f", {count} (PNG and SVG) in {FIGURES}" if figures else ""
    click.echo(f"Written to {folder}: {', '.join(files)}{drawn}.")
