"""The heading of every figure of builds."""

from __future__ import annotations

import xarray as xr


def headed(
    found: xr.Dataset, question: str, more: str = "", *, who: str = ""
) -> tuple[str, str, str]:
    """Question, subject, and how many builds there are, as `style.head` takes them."""
    failed = found.attrs["builds_failed"]
    count = f"{found.attrs['builds'] - failed} builds"
    lost = f", {failed} more cannot be" if failed else ""
    spreads = "usual spreads" if found.attrs["usual"] else "the spreads of its case"
    subject = ", ".join(filter(None, (str(found.attrs["title"]), who)))
    return question, subject, f"{count} with {spreads}{lost}. {more}".strip()
