"""Names that anyone may have written, made fit for drawings and for files."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

MOST_LETTERS = 60


def plain(text: str) -> str:
    """Text in one line, blanks in place of letters that steer (Unicode's category C)."""
    return "".join(" " if unicodedata.category(each)[0] == "C" else each for each in text)


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
