"""Files of taps: one number a line; empty lines and those that begin with # do not count."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from acoustics.case.design.files_model import FileText
from acoustics.case.tables.digital_tables import LARGEST_NUMBER, MOST_TAPS
from acoustics.case.text.shown import shortened
from acoustics.case.text.units import UnitError, refuse_comma
from acoustics.conventions import Fault

KEY = "taps_file"


def taps_of(name: str, texts: Iterable[FileText]) -> tuple[float, ...]:
    """The numbers of the file of taps that a case calls `name`; those must be without faults."""
    file = next(each for each in texts if (each.key, each.name) == (KEY, name))
    return tuple(float(line) for _, line in _lines(file))


def taps_faults(texts: Iterable[FileText]) -> Iterator[Fault]:
    """What is wrong in files of taps; of each file the first fault."""
    for file in texts:
        if file.key == KEY and (fault := _fault(file)) is not None:
            yield fault


def _fault(file: FileText) -> Fault | None:
    some = False
    lines = list(_lines(file))
    for number, line in lines:
        try:
            refuse_comma(line)
            value = float(line)
        except UnitError as error:
            return Fault(str(error), file.path, number)
        except ValueError:
            return Fault(
                f"{shortened(line)} is not a number; write one number a line", file.path, number
            )
        if not (math.isfinite(value) and abs(value) <= LARGEST_NUMBER):
            return Fault(
                f"{shortened(line)} is no tap; write a number from {-LARGEST_NUMBER:g} to "
                f"{LARGEST_NUMBER:g}",
                file.path,
                number,
            )
        some = some or value != 0
    if len(lines) > MOST_TAPS:
        return Fault(f"there are {len(lines)} taps; at most {MOST_TAPS} fit", file.path)
    if not some:
        what = "all are 0" if lines else "there is no number in it"
        return Fault(f"{what}, so nothing passes; write the impulse response", file.path)
    return None


def _lines(file: FileText) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(file.text.splitlines(), start=1):
        if line.strip() and not line.lstrip().startswith("#"):
            yield number, line.strip()
