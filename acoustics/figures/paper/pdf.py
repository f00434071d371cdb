"""Sheets as a PDF file (ISO 32000-1; from memory); equal sheets give equal bytes.

Letters are fonts of outlines (type 3), one for every 256 letters of Unicode, with only those that
are used; each says which letter it is, so that text can be searched and copied.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from itertools import groupby
from pathlib import Path

from acoustics.figures.paper.letters import EM, Face, advance, outline
from acoustics.figures.paper.sheet import BLOCK, Image, Sheet, font_name
from acoustics.files import write_bytes

HEAD = b"%PDF-1.4\n%\xac\xdc \xab\xba\n"
"""with bytes by which programs see that the file is no text"""


def save_sheets_pdf(sheets: Sequence[Sheet], file: Path, title: str = "") -> Path:
    """Write sheets to a PDF file.

    Args:
        sheets: in their order.
        file: where to; missing folders are made.
        title: what the document is called; none if empty.

    Raises:
        RoundoverError: the file cannot be written.
    """
    return write_bytes(sheets_pdf(sheets, title), file)


def sheets_pdf(sheets: Sequence[Sheet], title: str = "") -> bytes:
    """The bytes of the file."""
    objects = Objects()
    catalogue, pages = objects.later(), objects.later()
    letters = sorted({letter for sheet in sheets for letter in sheet.letters})
    fonts = "".join(
        f"/{font_name(face, block)} {_font(objects, face, block, [code for _, code in some])} "
        for (face, block), some in groupby(letters, lambda one: (one[0], one[1] // BLOCK))
    )
    opacities = sorted({each for sheet in sheets for each in sheet.opacities})
    states = "".join(f"/A{each} << /ca {each / 100:g} /CA {each / 100:g} >> " for each in opacities)
    kids = []
    for sheet in sheets:
        content = objects.stream("\n".join([*sheet.operators, ""]).encode("ascii"))
        pictures = "".join(
            f"/I{number} {_image(objects, image)} " for number, image in enumerate(sheet.images)
        )
        kids.append(
            objects.add(
                f"<< /Type /Page /Parent {pages} /MediaBox [ 0 0 {sheet.width:.4f} "
                f"{sheet.height:.4f} ] /Contents {content} /Resources << /Font << {fonts}>> "
                f"/ExtGState << {states}>> /XObject << {pictures}>> >> >>"
            )
        )
    objects.put(pages, f"<< /Type /Pages /Count {len(kids)} /Kids [ {' '.join(kids)} ] >>")
    language = "/Lang (en) /ViewerPreferences << /PrintScaling /None >>"
    objects.put(catalogue, f"<< /Type /Catalog /Pages {pages} {language} >>")
    known = f"/Title <FEFF{title.encode('utf-16-be').hex().upper()}> " if title else ""
    return objects.file(catalogue, objects.add(f"<< {known}>>"))


class Objects:
    """The numbered parts of a file."""

    def __init__(self) -> None:
        self._parts: list[bytes] = []

    def later(self) -> str:
        """A reference to what is still to be put."""
        self._parts.append(b"null")
        return f"{len(self._parts)} 0 R"

    def put(self, reference: str, content: str | bytes) -> None:
        """Put what a reference stands for."""
        data = content if isinstance(content, bytes) else content.encode("ascii")
        self._parts[int(reference.split(" ")[0]) - 1] = data

    def add(self, content: str | bytes) -> str:
        """A further part; its reference."""
        reference = self.later()
        self.put(reference, content)
        return reference

    def stream(self, data: bytes, more: str = "") -> str:
        """Data, packed; its reference."""
        packed = zlib.compress(data)
        head = f"<< /Length {len(packed)} /Filter /FlateDecode {more}>>\nstream\n"
        return self.add(head.encode("ascii") + packed + b"\nendstream")

    def file(self, catalogue: str, about: str) -> bytes:
        """All parts, and where each begins."""
        data, starts = bytearray(HEAD), list[int]()
        for number, part in enumerate(self._parts, start=1):
            starts.append(len(data))
            data += b"%d 0 obj\n%b\nendobj\n" % (number, part)
        table = "".join(f"{start:010d} 00000 n \n" for start in starts)
        end = (
            f"xref\n0 {len(starts) + 1}\n0000000000 65535 f \n{table}trailer\n"
            f"<< /Size {len(starts) + 1} /Root {catalogue} /Info {about} >>\n"
            f"startxref\n{len(data)}\n%%EOF\n"
        )
        return bytes(data) + end.encode("ascii")


def _font(objects: Objects, face: Face, block: int, codes: Sequence[int]) -> str:
    drawn = {code: outline(face, code) for code in codes}
    box = [
        limit(corners[side] for _, corners in drawn.values())
        for side, limit in enumerate((min, min, max, max))
    ]
    procedures = []
    for code, (operators, corners) in drawn.items():
        told = " ".join(f"{value:g}" for value in (advance(face, code), 0, *corners))
        data = objects.stream(f"{told} d1\n{operators}\n".encode("ascii"))
        procedures.append(f"/u{code:X} {data}")
    first, last = codes[0] % BLOCK, codes[-1] % BLOCK
    known = set(codes)
    widths = (
        advance(face, block * BLOCK + i) if block * BLOCK + i in known else 0
        for i in range(first, last + 1)
    )
    named = " ".join(f"{code % BLOCK} /u{code:X}" for code in codes)
    return objects.add(
        f"<< /Type /Font /Subtype /Type3 /FontBBox [ {' '.join(map(str, box))} ] "
        f"/FontMatrix [ {1 / EM:g} 0 0 {1 / EM:g} 0 0 ] "
        f"/CharProcs << {' '.join(procedures)} >> "
        f"/Encoding << /Type /Encoding /Differences [ {named} ] >> "
        f"/FirstChar {first} /LastChar {last} /Widths [ {' '.join(f'{w:g}' for w in widths)} ] "
        f"/Resources << >> /ToUnicode {objects.stream(_meant(codes))} >>"
    )


def _meant(codes: Iterable[int]) -> bytes:
    """Which letter of Unicode each code of a font is."""
    pairs = [f"<{code % BLOCK:02X}> <{chr(code).encode('utf-16-be').hex()}>" for code in codes]
    parts = [pairs[i : i + 100] for i in range(0, len(pairs), 100)]
    lines = (
        "/CIDInit /ProcSet findresource begin",
        "12 dict begin",
        "begincmap",
        "/CMapName /Letters def",
        "/CMapType 2 def",
        "1 begincodespacerange",
        "<00> <FF>",
        "endcodespacerange",
        *(line for part in parts for line in (f"{len(part)} beginbfchar", *part, "endbfchar")),
        "endcmap",
        "CMapName currentdict /CMap defineresource pop",
        "end end",
    )
    return "\n".join(lines).encode("ascii")


def _image(objects: Objects, image: Image) -> str:
    high, wide = image.opacity.shape
    size = f"/Type /XObject /Subtype /Image /Width {wide} /Height {high} /BitsPerComponent 8 "
    mask = ""
    if (image.opacity < 255).any():
        faint = objects.stream(image.opacity.tobytes(), f"{size}/ColorSpace /DeviceGray ")
        mask = f"/SMask {faint} "
    return objects.stream(image.colours.tobytes(), f"{size}/ColorSpace /DeviceRGB {mask}")
