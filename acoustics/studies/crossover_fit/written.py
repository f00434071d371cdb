"""The case with the crossover that a fit found, written and read again."""

from __future__ import annotations

from pathlib import Path

from acoustics.case.design.model import Case
from acoustics.case.read import read_case, text_as_read
from acoustics.case.rewritten import with_passive_crossover
from acoustics.files import write_text
from acoustics.studies.crossover_fit.run import Fitted


def written_case(case: Case, fitted: Fitted, target: Path) -> Case:
    """Write a case with the best crossover of a fit, and read it as anybody would.

    Args:
        case: the design that the fit was of; its file must still be as it was read.
        fitted: what was found.
        target: the new case file; paths in it lead to the same driver files.

    Raises:
        RoundoverError: the file has changed meanwhile, or the new one cannot be written.
    """
    folder = Path(case.path).parent
    best = fitted.best
    text = with_passive_crossover(
        text_as_read(case, "fit"),
        dict(zip(fitted.drivers, best.ladders, strict=True)),
        dict(zip(fitted.drivers, best.candidate.turned, strict=True)),
        f"{case.title}, fitted crossover",
        (folder, target.parent),
    )
    write_text(text, target)
    return read_case(target)
