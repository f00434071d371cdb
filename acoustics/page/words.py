"""What was wrong with a draft, in the words of the case's faults."""

from __future__ import annotations

from acoustics.conventions import CaseError, RoundoverError


def words_of(error: RoundoverError) -> list[str]:
    """The faults one by one, without lines of a file in which the draft does not stand."""
    if isinstance(error, CaseError):
        return [": ".join(filter(None, (fault.key, fault.message))) for fault in error.faults]
    return str(error).splitlines()
