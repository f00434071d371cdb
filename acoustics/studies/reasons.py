"""Why one of many predictions of a study failed, in a line."""

from __future__ import annotations

from acoustics.conventions import CaseError, RoundoverError

LONGEST_REASON = 400
"""letters"""


def reason_of(error: RoundoverError) -> str:
    """Why a point failed, on one line and without the file's name and lines."""
    text = str(error)
    if isinstance(error, CaseError):
        text = "; ".join(": ".join(filter(None, (f.key, f.message))) for f in error.faults)
    text = " ".join(text.split())
    return text if len(text) <= LONGEST_REASON else f"{text[:LONGEST_REASON]}…"
