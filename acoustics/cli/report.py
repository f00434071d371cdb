"""`roundover report`: the papers of a design in one folder."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from acoustics.cli.output import folder_option, overlook_missing_signs, writable_folder
from acoustics.cli.together import together

if TYPE_CHECKING:
    import xarray as xr

    from acoustics.case.design.model import Case
    from acoustics.report.html.content import Section
    from acoustics.report.html.pictures import Drawn
    from acoustics.studies.papers import Beside
    from acoustics.studies.workers.local_workers import LocalWorkers

OUT = Path("roundover-out")

FILES = ("summary.txt", "report.html", "report.pdf")
DRAWINGS = "drawings"
FOLDERS = (DRAWINGS, "data")

PREDICTED, DATA, ALL = 60, 75, 100
"""per cent of the work that is done then"""


@click.command(short_help="Write all papers of a design: a page to read, a PDF, drawings, data.")
@click.argument("case", type=click.Path(path_type=str))
@click.option(
    "--verified",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The verification.nc of this design, for what was measured of the finished loudspeaker.  "
    "[default: the one in roundover-out, if there is one]",
)
@folder_option("NAME of the case-report")
def report(case: str, verified: Path | None, out: Path | None) -> None:
    """Write the papers of a design to one folder.

    report.html says whether it is good and what to change, with figures that can be zoomed and
    read off; it needs no network. report.pdf is the same on A4. Beside them drawings/ for the
    workshop, data/ in open formats with data/prediction.nc, which holds all numbers, and
    summary.txt, which is printed. Where a driver does not reach the acoustic target set for it,
    all that is written and the exit code is 2. What `roundover verify` found of the finished
    loudspeaker is in it, too.
    """
    from acoustics.studies.workers.local_workers import local_workers

    with local_workers(1, _call) as other:
        # Before this process loads anything: the other loads its libraries meanwhile.
        other.submit(_loaded)
        checked, folder, text, prediction = _papers(case, verified, out, other)

    from acoustics.conventions import CaseError
    from acoustics.listening import unreached
    from acoustics.report.drawing_dxf import HOW_TO_INSTALL, can_write_dxf

    click.echo(text)
    folders = " and ".join(f"{name}/" for name in FOLDERS)
    click.echo(f"Written to {folder}: {', '.join(FILES)}, {folders} (with prediction.nc).")
    if not can_write_dxf():
        click.echo(f"The drawings are not in DXF: {HOW_TO_INSTALL}.")
    if faults := unreached(checked, prediction):
        raise CaseError(faults)


def _papers(
    called: str, verified: Path | None, out: Path | None, other: LocalWorkers[Any, Any]
) -> tuple[Case, Path, str, xr.Dataset]:
    """Read a case and write its papers: it, their folder, the summary and the prediction."""
    from acoustics.case import read_case
    from acoustics.cli.progress import SHARE, progress_bar

    case = read_case(called)

    from acoustics.studies.labels import case_name

    name = case_name(case)
    measured = _verification(case, verified, OUT / f"{name}-verification" / "verification.nc")
    folder = out or OUT / f"{name}-report"
    writable_folder(folder, *FILES, figures=False, inside=FOLDERS)
    with progress_bar(case.title, ALL, SHARE) as progress:
        text, prediction = _written(case, measured, folder, other, lambda done: progress(done, ALL))
    return case, folder, text, prediction


def _verification(case: Case, named: Path | None, usual: Path) -> xr.Dataset | None:
    """What was found of the finished loudspeaker; None where nothing was, or of another design."""
    from acoustics.conventions import RoundoverError
    from acoustics.report.html.verified import is_of
    from acoustics.storage import open_prediction

    if named is None and not usual.is_file():
        return None
    try:
        found = open_prediction(named or usual)
    except RoundoverError as error:
        if named is None:
            click.echo(f"{error}\nThe report is written without it.", err=True)
            return None
        raise
    if is_of(case, found):
        return found
    if named is None:
        return None
    raise RoundoverError(
        f"--verified {named}: this is no verification of {case.path} as it is now; expected the "
        f"verification.nc that `roundover verify {case.path}` writes"
    )


def _written(
    case: Case,
    measured: xr.Dataset | None,
    folder: Path,
    other: LocalWorkers[Any, Any],
    done: Callable[[int], None],
) -> tuple[str, xr.Dataset]:
    """Predict and write everything; the summary and the prediction.

    The `other` process finds what is told besides, and draws, while this one predicts and writes.
    What this one waits for comes first.
    """
    asked = other.submit(partial(_beside, case))

    from acoustics.prediction import predict

    count = case.frequencies.values().size
    prediction = predict(case, progress=lambda n, _: done(PREDICTED * n // count))
    drawn = other.submit(partial(_drawn, case, prediction))

    from acoustics.report.html.papers import save_prediction, write_data, write_report

    with together(folder):
        drawings = other.submit(partial(_drawings, case, prediction, folder / DRAWINGS))
        # First of all: what was computed is not lost when something goes wrong with what follows.
        save_prediction(prediction, folder)
        write_data(case, prediction, folder)
        done(DATA)
        section = None if measured is None else _verified(case, measured)
        text = write_report(case, prediction, asked.result(), drawn.result, folder, section)
        drawings.result()
    done(ALL)
    return text, prediction


def _verified(case: Case, measured: xr.Dataset) -> Section:
    # Loads half the program, which few reports need.
    from acoustics.report.html.verified import verification_section

    return verification_section(case, measured)


def _loaded() -> None:
    """Load what the other process takes."""
    import acoustics.report.drawings
    import acoustics.report.html.pictures
    import acoustics.studies.papers  # noqa: F401


def _beside(case: Case) -> Beside:
    from acoustics.studies.papers import beside

    return beside(case)


def _drawn(case: Case, prediction: xr.Dataset) -> Drawn:
    from acoustics.report.html.pictures import draw_pictures

    return draw_pictures(case, prediction)


def _drawings(case: Case, prediction: xr.Dataset, folder: Path) -> None:
    from acoustics.report.drawings import write_drawings

    write_drawings(case, folder, prediction=prediction)


def _call(asked: Callable[[], Any]) -> Any:
    """What is asked, in a process of its own."""
    overlook_missing_signs()
    return asked()
