"""A file of a measurement: what it is by its first bytes, and where its faults are told."""

from __future__ import annotations

import pathlib
from dataclasses import dataclass

from acoustics.case.design.model import Case
from acoustics.case.design.verification_model import TakenImpedance, TakenResponse, Verification
from acoustics.case.text.lines import Path
from acoustics.conventions import Fault
from acoustics.curves import CurveError
from acoustics.curves.text import MOST_BYTES, WAY_OUT, decoded
from acoustics.files import content
from acoustics.studies.measure.recorded import WAV, at_key
from acoustics.studies.verification.readings.given import file_of, shown

RECORDINGS = (b"RIFF", b"RIFX", b"RF64")
"""Beginnings of WAV files."""

OTHERS = {
    b"%PDF": "a PDF document",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"GIF8": "a picture",
    b"PK\x03\x04": "a packed file or a spreadsheet",
    b"\xd0\xcf\x11\xe0": "a spreadsheet or another document",
    b"\x89HDF": "a netCDF or HDF5 file",
    b"<svg": "a drawing",
    b"<?xml": "a drawing or another document",
}
"""Beginnings of what is neither a text table nor a recording."""


@dataclass(frozen=True)
class Source:
    """A file of a measurement.

    `key` is where the case names it, None where it was given by an `option`.
    """

    case: Case
    name: str
    file: pathlib.Path
    key: Path | None
    option: str

    @property
    def is_recording(self) -> bool:
        """Whether it is one by its name."""
        return self.file.suffix.lower() in WAV

    @property
    def words(self) -> str:
        """The file as people give it."""
        return str(self.file) if self.key else shown(self.file)

    def fault(self, message: str, key: str = "file", line: int | None = None) -> Fault:
        """Something that is wrong with the file, or with a key beside its name."""
        for name in (self.file, self.file.absolute()):
            message = message.removeprefix(f"{name}: ")
        if self.key is None:
            return Fault(message, self.words, line, self.option)
        file = str(self.file) if key == "file" else ""
        return at_key(self.case, (*self.key, key), Fault(message, file, line))


def response_source(case: Case, taken: TakenResponse) -> Source:
    """The file of a response."""
    stated = taken in (case.verification or Verification()).responses
    key: Path | None = ("verification", "responses", taken.name) if stated else None
    return Source(case, taken.name, file_of(case, taken), key, "--response")


def impedance_source(case: Case, taken: TakenImpedance) -> Source:
    """The file of an impedance."""
    stated = taken in (case.verification or Verification()).impedances
    key: Path | None = ("verification", "impedances", taken.name) if stated else None
    return Source(case, taken.name, file_of(case, taken), key, "--impedance")


def table_text(source: Source) -> str:
    """The text of a table. Raises CurveError where the file holds something else."""
    name = str(source.file)
    data = content(source.file, MOST_BYTES, WAY_OUT, CurveError)
    start = data.lstrip(b"\xef\xbb\xbf \r\n\t")[:8]
    if start.startswith(RECORDINGS):
        raise CurveError("is a recording; give WAV files the ending .wav", name)
    for beginning, what in OTHERS.items():
        if start.startswith(beginning):
            raise CurveError(f"is {what}; {WAY_OUT}", name)
    return decoded(data, name)


def refuse_no_recording(source: Source) -> None:
    """Raises CurveError where a file with the ending of a recording is none."""
    name, way_out = str(source.file), "give a WAV file, or a text table with the ending .txt"
    size = source.file.stat().st_size if source.file.is_file() else 0
    if size > MOST_BYTES:
        return
    data = content(source.file, MOST_BYTES, way_out, CurveError)
    if not data:
        raise CurveError(f"is empty; {way_out}", name)
    if not data.startswith(RECORDINGS):
        raise CurveError(f"has the ending of a recording and is none; {way_out}", name)
