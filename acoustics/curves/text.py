"""Text of a file, whatever its encoding; a file that is not text is refused."""

from __future__ import annotations

import codecs
import os
from pathlib import Path

from acoustics.curves.curve import CurveError
from acoustics.files import content

MOST_BYTES = 50_000_000

WAY_OUT = "give a plain text table: one row per frequency, with level or ohm, and phase"

BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)

CONTROLS = bytes(set(range(32)) - set(b"\t\n\v\f\r\x1a")) + b"\x7f"
"""that no text has; the last one kept out, 1A, ended files once"""


def text_in(path: str | os.PathLike[str], way_out: str = WAY_OUT) -> str:
    """The text of a file: UTF-8, UTF-16 or, failing these, Windows-1252 or Latin-1.

    Raises CurveError, which ends in `way_out`, where there is no such file, it is larger than
    50 MB, or it is no text.
    """
    file = Path(path)
    return decoded(content(file, MOST_BYTES, way_out, CurveError), str(file), way_out)


def decoded(data: bytes, name: str, way_out: str = WAY_OUT) -> str:
    """Bytes as text. Raises CurveError where they are none."""
    if not data.strip(b"\0 \t\r\n"):
        raise CurveError(f"is empty; {way_out}", name)
    for mark, encoding in BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return _strict(data, encoding, name)
    head = data[: 2 * (min(len(data), 4096) // 2)]
    # Digits in UTF-16 without its mark: every other byte is 0.
    for offset, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if head and head[offset::2].count(0) > 0.8 * len(head[offset::2]):
            return _strict(data, encoding, name)
    strange = len(head) - len(head.translate(None, CONTROLS))
    if b"\0" in data or strange > 0.01 * len(head):
        raise CurveError(f"is no text but binary data; {way_out}", name)
    for encoding in ("utf-8", "cp1252"):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")


def _strict(data: bytes, encoding: str, name: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise CurveError(
            f"begins like {encoding.upper()} text but is not ({error.reason}); "
            "save it as UTF-8 text",
            name,
        ) from error
