"""`roundover place`: where the drivers should sit, what it gains, and how exactly it must be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from acoustics.cli.output import FIGURES, folder_option, require_another, writable_folder
from acoustics.cli.together import together

if TYPE_CHECKING:
    import xarray as xr

    from acoustics.case.design.model import Case
    from acoustics.report.layout_figures import Improved
    from acoustics.studies.layout_search import LayoutFound

NEW_CASE = "case.toml"
"""Name of the case with the best layout."""

STATES = ("before", "after")
"""what the two designs are called in figures"""


@click.command(short_help="Look for the best layout: places, corners, delays, edges.")
@click.argument("case", type=click.Path(path_type=str))
@folder_option("NAME of the case-place")
def place(case: str, out: Path | None) -> None:
    """Look for the layout that serves an aim best: where all drivers sit, together.

    What may change, within what, and what it is judged by is said by the table [place]; without
    one, all drivers on the front may go anywhere, and ripple off axis decides against the
    difference of left and right. Writes layout.nc, case.toml with the best layout, its
    prediction.nc, summary.txt and figures, and prints the summary. Broken off, what was found for
    each treatment of the edges is kept.
    """
    from acoustics.case import read_case

    checked = read_case(case)

    from acoustics.studies.labels import case_name

    folder = out or Path("roundover-out") / f"{case_name(checked)}-place"
    require_another(Path(checked.path), folder / NEW_CASE)

    from acoustics.cli.progress import SHARE, progress_bar
    from acoustics.storage import save
    from acoustics.studies.layout_search import layout_dataset, search_layout
    from acoustics.studies.layout_search.question import checked_question
    from acoustics.studies.layout_search.run import STEPS, WORK

    checked_question(checked, None)
    files = (NEW_CASE, "layout.nc", "prediction.nc", "summary.txt")
    writable_folder(folder, *files, inside=(WORK,))
    with progress_bar(checked.title, STEPS, SHARE) as progress:
        found = search_layout(checked, None, folder, progress=progress)
    with together(folder):
        # First of all: what was found is not lost when something goes wrong with what follows.
        save(layout_dataset(checked, found), folder / "layout.nc")
        written = _written(checked, found, folder)
    click.echo(f"Written to {folder}: {written}.")
    if found.stays and (folder / NEW_CASE).exists():
        click.echo(f"{folder / NEW_CASE} is left from something else; it is no answer to this.")


def _written(case: Case, found: LayoutFound, folder: Path) -> str:
    """Write the new case where there is one, predict before and after, say it and draw it.

    Returns what was written.
    """
    from acoustics.figures import LAYOUT_SHEETS, Shown, save_sheets
    from acoustics.files import write_text
    from acoustics.prediction import predict
    from acoustics.report.layout_figures import Improved
    from acoustics.report.layout_search import layout_text
    from acoustics.storage import save
    from acoustics.studies.layout_search import layout_dataset, written_layout
    from acoustics.studies.remembered import Remembered

    solve = Remembered(None, {})
    files, improved = ["layout.nc"], None
    if not found.stays:
        new = written_layout(case, found, folder / NEW_CASE)
        improved = Improved(new, predict(new, solve=solve))
        save(improved.prediction, folder / "prediction.nc")
        files += [NEW_CASE, "prediction.nc"]
    before = predict(case, solve=solve)
    text = layout_text(case, found, before, improved)
    write_text(text, folder / "summary.txt")
    click.echo(text)
    after = before if improved is None else improved.prediction
    shown = Shown(layout_dataset(case, found), before, after)
    drawn = save_sheets(LAYOUT_SHEETS, shown, folder / FIGURES)
    if improved is not None:
        drawn += _before_against_after(case, before, improved, folder)
    named = ", ".join([*files, "summary.txt"])
    return f"{named}, {drawn} figures (PNG and SVG) in {FIGURES}"


def _before_against_after(case: Case, before: xr.Dataset, improved: Improved, folder: Path) -> int:
    """Draw the figures of a comparison, the design as it was against the new one; how many."""
    from acoustics.figures import COMPARISON_SHEETS, save_sheets
    from acoustics.studies.comparison.compare import compare

    both = compare((case, improved.case), (before, improved.prediction))
    return save_sheets(COMPARISON_SHEETS, replace(both, labels=STATES), folder / FIGURES)
