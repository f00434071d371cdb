"""What `roundover check` says of a digital processor."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.case import Case
from acoustics.case.design.section_words import rounded_delays
from acoustics.case.text.units import hertz


def processor_lines(case: Case) -> Iterator[str]:
    """One line: its rate, how far delays are rounded, and what its taps resolve."""
    given = case.processor
    if given is None:
        return
    words = [f"{hertz(given.sampling_rate)}, delays in whole samples"]
    if rounded := rounded_delays(case):
        words.append(f"rounded: {rounded}")
    if given.taps is not None:
        resolved = hertz(float(f"{given.sampling_rate / given.taps:.3g}"))
        words.append(f"computed filters in {given.taps} taps, which resolve {resolved}")
    yield f"  processor  {'; '.join(words)}"
