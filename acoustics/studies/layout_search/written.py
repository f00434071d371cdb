"""The case with a layout that was found, written and read again."""

from __future__ import annotations

from pathlib import Path

from acoustics.case.design.model import Case
from acoustics.case.read import read_case, text_as_read
from acoustics.case.rewritten import with_values
from acoustics.case.varied import with_home
from acoustics.files import write_text
from acoustics.studies.layout_search.answer import LayoutFound
from acoustics.studies.layout_search.changes import changed_keys


def written_layout(case: Case, found: LayoutFound, target: Path) -> Case:
    """Write a case with the best layout of a search, and read it as anybody would.

    Args:
        case: the design that was searched; its file must still be as it was read.
        found: what was found.
        target: the new case file; paths in it lead to the same files.

    Returns:
        The new design. Where drivers are played as measured, it knows that they were measured in
        the old one; its file cannot say that.

    Raises:
        RoundoverError: the file has changed meanwhile, or the new one cannot be written.
    """
    folder = Path(case.path).parent
    text = with_values(
        text_as_read(case, "search"),
        changed_keys(case, found),
        f"{case.title}, layout found",
        (folder, target.parent),
        edges=found.best.treatment,
    )
    write_text(text, target)
    return with_home(read_case(target), case.measured_in or case)
