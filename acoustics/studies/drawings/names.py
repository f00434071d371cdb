"""Names that anyone may have written, made fit for drawings and for files."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

MOST_LETTERS, MOST_BYTES = 60, 150
"""of a file's name, in UTF-8; file systems have room for 255 with ending and number"""

DEVICES = re.compile("con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]")
"""names that Windows keeps for itself (Microsoft, Naming Files; from memory)"""


def plain(text: str) -> str:
    """Text in one line, blanks in place of letters that steer (Unicode's category C)."""
    return "".join(" " if unicodedata.category(each)[0] == "C" else each for each in text)


def safe_name(text: str) -> str:
    """A name of letters and digits of any script and hyphens, which is no path anywhere.

    Small letters, as some file systems do not tell them from large ones, put together as one
    writes them (NFC); all else becomes a hyphen: "../../Face à côté" → "face-à-côté". Names that
    one system keeps for its devices are told from them by an ending.
    """
    whole = unicodedata.normalize("NFC", unicodedata.normalize("NFC", text).lower())
    name = "".join(each if _of_a_word(each) else "-" for each in whole)
    short = _shortened(re.sub("-+", "-", name).strip("-")).strip("-") or "drawing"
    return f"{short}-file" if DEVICES.fullmatch(short) else short


def _of_a_word(letter: str) -> bool:
    """Letters with the marks that some scripts set on them (categories L, M), and digits (Nd)."""
    kind = unicodedata.category(letter)
    return kind[0] in "LM" or kind == "Nd"


def _shortened(name: str) -> str:
    """As much of a name as fits both limits, with whole letters."""
    data = name[:MOST_LETTERS].encode()[:MOST_BYTES]
    return data.decode(errors="ignore")


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
