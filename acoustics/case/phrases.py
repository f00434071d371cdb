"""Lists as people say them."""

from __future__ import annotations

from collections.abc import Sequence


def listed(names: Sequence[str], last: str = "and") -> str:
    """Names as a phrase: "woofer, midrange and tweeter"."""
    return f" {last} ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""
