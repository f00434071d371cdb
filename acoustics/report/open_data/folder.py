"""Everything of a prediction that another program can read, in one folder."""

from __future__ import annotations

from pathlib import Path

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.files import write_text
from acoustics.listening.impulse_responses import close_enough, impulse_responses
from acoustics.report.open_data.impulses import write_impulses
from acoustics.report.open_data.readme import README, readme
from acoustics.report.open_data.sofa import write_sofa
from acoustics.report.open_data.tables import curves_csv
from acoustics.storage import save

DATASET, DIRECTIVITY = "prediction.nc", "directivity.sofa"


def write_open_data(
    case: Case, prediction: xr.Dataset, folder: Path, *, saved: bool = False
) -> list[Path]:
    """Write the Dataset, the directivity, curves, impulse responses, and what all of them are.

    Args:
        case: the design.
        prediction: of that same design.
        folder: where to; it is made if it is missing. Files that go by other names are left alone.
        saved: whether the Dataset is there already, under its name.

    Returns:
        All files, `README.txt` last. There are no impulse responses where fewer than 12
        frequencies per octave were predicted; the text says so.

    Raises:
        RoundoverError: a file cannot be written.
    """
    dataset = folder / DATASET if saved else save(prediction, folder / DATASET)
    directivity = write_sofa(prediction, folder / DIRECTIVITY)
    tables = [
        write_text(text, folder / f"{name}.csv") for name, text in curves_csv(prediction).items()
    ]
    sounds: dict[Path, str] = {}
    responses, unit = None, 1.0
    if close_enough(prediction):
        responses = impulse_responses(prediction)
        sounds, unit = write_impulses(responses, folder)
    text = readme(case, prediction, [table.name for table in tables], sounds, responses, unit)
    return [dataset, directivity, *tables, *sounds, write_text(text, folder / README)]
