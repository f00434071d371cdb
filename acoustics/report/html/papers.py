"""The papers of a design in one folder: page, PDF, text, data and drawings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.files import write_text
from acoustics.prediction import package_version
from acoustics.report.html.compose import report_page
from acoustics.report.html.content import Section
from acoustics.report.html.page import page_html
from acoustics.report.html.paper import save_report_pdf
from acoustics.report.html.pictures import Drawn
from acoustics.report.open_data import write_open_data
from acoustics.report.open_data.folder import DATASET
from acoustics.report.summary import summary_of
from acoustics.report.summary_parts import summary_parts
from acoustics.storage import save
from acoustics.studies.papers import Beside

SUMMARY, PAGE, PAPER, DATA = "summary.txt", "report.html", "report.pdf", "data"
"""What files and folders are called."""


def write_report(
    case: Case,
    prediction: xr.Dataset,
    found: Beside,
    draw: Callable[[], Drawn],
    folder: Path,
    verification: Section | None = None,
) -> str:
    """Write summary, page and PDF; nothing outside the folder.

    Args:
        case: the design.
        prediction: of that same design.
        found: what is known besides, as `studies.papers.beside` finds it.
        draw: gives its pictures, as `draw_pictures` does.
        folder: where to; it is made if it is missing.
        verification: as `verification_section` makes it; None where nothing was measured.

    Returns:
        The summary.

    Raises:
        RoundoverError: a file cannot be written.
    """
    told = summary_parts(case, prediction)
    text = summary_of(case, told)
    write_text(text, folder / SUMMARY)
    made_by = f"roundover {package_version()}"
    page = report_page(case, prediction, told, draw, found, made_by, verification)
    write_text(page_html(page), folder / PAGE)
    save_report_pdf(page, folder / PAPER)
    return text


def save_prediction(prediction: xr.Dataset, folder: Path) -> Path:
    """Save a prediction among the data, once: it is large.

    Raises:
        RoundoverError: the file cannot be written.
    """
    return save(prediction, folder / DATA / DATASET)


def write_data(case: Case, prediction: xr.Dataset, folder: Path) -> None:
    """Write what else another program can read to the folder where `save_prediction` saved.

    Args:
        case: the design.
        prediction: of that same design.
        folder: as for `save_prediction`.

    Raises:
        RoundoverError: a file cannot be written.
    """
    write_open_data(case, prediction, folder / DATA, saved=True)
