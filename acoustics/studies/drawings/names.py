"""Names of files, made from names that anyone may have written."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

MOST_LETTERS = 60


def safe_name(text: str) -> str:
    """A name of small letters, digits and hyphens alone, which no file system takes for a path.

    Accents are left out, all else becomes a hyphen: "face front", "../../x" → "face-front", "x".
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain)[:MOST_LETTERS].strip("-") or "drawing"


def safe_names(texts: Iterable[str]) -> Iterator[str]:
    """Safe names, those that come again with a number."""
    given = set[str]()
    for text in texts:
        name = first = safe_name(text)
        number = 1
        while name in given:
            number += 1
            name = f"{first}-{number}"
        given.add(name)
        yield name
