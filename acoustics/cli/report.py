"""`roundover report`: the papers of a design in one folder."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from acoustics.cli.output import folder_option, overlook_missing_signs, writable_folder

if TYPE_CHECKING:
    import xarray as xr

    from acoustics.case.model import Case
    from acoustics.studies.papers import Beside

OUT = Path("roundover-out")

FILES = ("summary.txt", "report.html", "report.pdf")
FOLDERS = ("drawings", "data")

PREDICTED, FOUND, WRITTEN, ALL = 50, 60, 90, 100
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
    from acoustics.case import read_case
    from acoustics.cli.progress import SHARE, progress_bar
    from acoustics.conventions import CaseError

    checked = read_case(case)

    from acoustics.studies.labels import case_name

    called = case_name(checked)
    measured = _verification(checked, verified, OUT / f"{called}-verification" / "verification.nc")
    folder = out or OUT / f"{called}-report"
    writable_folder(folder, *FILES, figures=False, inside=FOLDERS)
    with progress_bar(checked.title, ALL, SHARE) as progress:
        text, prediction = _written(checked, measured, folder, lambda done: progress(done, ALL))

    from acoustics.listening import unreached
    from acoustics.report.drawing_dxf import HOW_TO_INSTALL, can_write_dxf

    click.echo(text)
    folders = " and ".join(f"{name}/" for name in FOLDERS)
    click.echo(f"Written to {folder}: {', '.join(FILES)}, {folders} (with prediction.nc).")
    if not can_write_dxf():
        click.echo(f"The drawings are not in DXF: {HOW_TO_INSTALL}.")
    if faults := unreached(checked, prediction):
        raise CaseError(faults)


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
    case: Case, measured: xr.Dataset | None, folder: Path, done: Callable[[int], None]
) -> tuple[str, xr.Dataset]:
    """Predict and write everything; the summary and the prediction.

    A second process does what does not depend on the page.
    """
    from acoustics.studies.local_workers import local_workers

    with local_workers(1, _call) as other:
        # Before this process loads anything: the other loads its libraries meanwhile.
        asked = other.submit(partial(_beside, case))

        from acoustics.prediction import predict

        count = case.frequencies.values().size
        prediction = predict(case, progress=lambda n, _: done(PREDICTED * n // count))
        from acoustics.report.html.papers import (
            draw_saved,
            save_prediction,
            write_report,
            write_workshop_papers,
        )
        from acoustics.report.html.verified import verification_section

        # First of all: what was computed is not lost when something goes wrong with what follows.
        save_prediction(prediction, folder)
        drawn = other.submit(partial(draw_saved, case, folder))
        papers = other.submit(partial(write_workshop_papers, case, folder))
        found = asked.result()
        done(FOUND)
        section = None if measured is None else verification_section(case, measured)
        text = write_report(case, prediction, found, drawn.result, folder, section)
        done(WRITTEN)
        papers.result()
    done(ALL)
    return text, prediction


def _beside(case: Case) -> Beside:
    from acoustics.studies.papers import beside

    return beside(case)


def _call(asked: Callable[[], Any]) -> Any:
    """What is asked, in a process of its own."""
    overlook_missing_signs()
    return asked()
