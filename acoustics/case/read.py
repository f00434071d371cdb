"""A case file in, a checked case out, or every fault of the file at once."""

from __future__ import annotations

import os
import pathlib
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from acoustics.case.build import build_case
from acoustics.case.checks.driver_checks import driver_warnings
from acoustics.case.checks.meaning import meaning_problems
from acoustics.case.checks.measured_checks import measured_warnings
from acoustics.case.checks.network_checks import network_warnings
from acoustics.case.checks.processor_checks import processor_warnings
from acoustics.case.checks.sweep_checks import sweep_problems
from acoustics.case.design.files_model import NO_FILES, CaseText, DriverFile, OtherFiles
from acoustics.case.design.model import Case
from acoustics.case.files.curve_files import curve_files, guess_warnings, tables_of
from acoustics.case.files.driver_files import Origins, driver_files, merged, misplaced_keys
from acoustics.case.files.file_texts import file_texts
from acoustics.case.files.impedance_files import KEY as IMPEDANCE
from acoustics.case.files.impedance_files import impedance_curve
from acoustics.case.files.response_files import KEY as RESPONSE
from acoustics.case.files.response_files import response_tables
from acoustics.case.files.taps_file import taps_faults
from acoustics.case.messages.faults import Problem, misspelt_paths, problems_of
from acoustics.case.objects.sweep_of import sweep_of
from acoustics.case.objects.tolerance_of import tolerance_of
from acoustics.case.tables.case_table import CaseTable
from acoustics.case.text.lines import Path
from acoustics.case.text.toml_text import FileKind, data_of, refusal, text_of
from acoustics.conventions import CaseError, Fault, RoundoverError

CASE_NAME = "case.toml"
MOST_FAULTS = 100
"""that are listed; more help nobody"""

CASE_FILE = FileKind(
    "case file",
    "give a case file (TOML text) or a folder that holds case.toml",
    "start from one of the worked designs, or let an editor complete it from the JSON schema "
    "(roundover check --schema)",
)


def read_case(path: str | os.PathLike[str]) -> Case:
    """Read and check a design.

    `path` is a case file or a folder that holds `case.toml`. Every value comes out in SI units.
    Raises CaseError with all faults of the file and of the files it names, each with file, line,
    key and a way out.

    >>> case = read_case("cases/compact-centred")  # doctest: +SKIP
    >>> case.cabinet.width  # doctest: +SKIP
    0.22
    """
    file = pathlib.Path(path)
    if file.is_dir():
        if not (file / CASE_NAME).is_file():
            raise refusal(file, f"the folder holds no {CASE_NAME}; {CASE_FILE.way_out}")
        file = file / CASE_NAME
    return case_of_text(file, text_of(file, CASE_FILE))


def case_of_text(file: pathlib.Path, text: str) -> Case:
    """The case that a file would be with this text; files that it names are read.

    Raises CaseError as `read_case` does.
    """
    data = data_of(file, text, CASE_FILE)
    files = driver_files(file, text, data)
    data = merged(data, files)
    others = OtherFiles(
        files,
        curve_files(file, text, data, files, IMPEDANCE),
        file_texts(file, text, data),
        curve_files(file, text, data, files, RESPONSE),
    )
    return checked_case(file, text, data, others)


def text_as_read(case: Case, work: str) -> str:
    """The text of a case's file, if that is still the design that was read.

    Args:
        case: as it was read.
        work: what was done with it meanwhile, for the message.

    Raises:
        RoundoverError: the file says another design by now.
    """
    source = pathlib.Path(case.path)
    if read_case(source).digest != case.digest:
        raise RoundoverError(
            f"{source}: it was changed while the {work} was at work; start again. What was found "
            "for the old one is not used"
        )
    return source.read_text(encoding="utf-8")


def checked_case(
    file: pathlib.Path,
    text: str,
    data: dict[str, Any],
    others: OtherFiles = NO_FILES,
) -> Case:
    """Check the data of a case and build it.

    `data` is what TOML makes of `text` and of the driver files, or a variation of it; faults are
    told with their lines there. Raises CaseError.
    """
    checked: CaseTable | None = None
    problems: list[Problem] = []
    misspelt: set[Path] = set()
    try:
        checked = CaseTable.model_validate(data)
    except ValidationError as error:
        problems = problems_of(error)
        misspelt = misspelt_paths(error)
    files, tables = others.drivers, tables_of(others.impedances, impedance_curve)
    responses = response_tables(data, others)
    faulty = [*(problem.path for problem in problems), *misspelt]
    problems += meaning_problems(data, faulty, tables.curves, responses.curves)
    problems += sweep_problems(data)
    misplaced = [*misplaced_keys(files), *tables.faults, *responses.faults]
    misplaced += taps_faults(others.numbers)
    if problems or misplaced or checked is None:
        raise CaseError(_faults(file, text, files, problems, misplaced))
    sweep = None if checked.sweep is None else sweep_of(checked.sweep, data)
    doubts = [
        *driver_warnings(checked),
        *network_warnings(checked),
        *processor_warnings(checked),
        *guess_warnings(tables.curves, IMPEDANCE),
        *guess_warnings(responses.curves, RESPONSE),
        *measured_warnings(checked, responses.curves),
    ]
    warnings = _faults(file, text, files, doubts)
    told = tuple(str(warning) for warning in warnings)
    written = CaseText(text, others)
    case = build_case(checked, str(file), sweep, written, told, tables.curves, responses.curves)
    if checked.tolerance is None:
        return case
    return replace(case, tolerance=tolerance_of(checked.tolerance, case, data))


def _faults(
    file: pathlib.Path,
    text: str,
    files: Sequence[DriverFile],
    problems: Iterable[Problem],
    more_faults: Iterable[Fault] = (),
) -> list[Fault]:
    """The problems with their places, those of the case file first; each once."""
    problems = list(problems)
    if not problems and not more_faults:
        return []
    origins = Origins(file, text, files)
    faults = list(dict.fromkeys([*map(origins.fault, problems), *more_faults]))
    faults.sort(key=lambda fault: (fault.file != str(file), fault.file, fault.line or 0))
    more = len(faults) - MOST_FAULTS
    if more > 0:
        faults[MOST_FAULTS:] = [Fault(f"… and {more} more; correct these first", str(file))]
    return faults
