"""A digest behind the content of a file, by which damage is noticed wherever it is.

HDF5 does not look beyond the address at which a file says that it ends, so every reader takes a
sealed file as it is; what other programs write of it anew has no seal.
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from acoustics.conventions import RoundoverError

MARK = b"\nroundover sha256 "
LENGTH = len(MARK) + 2 * hashlib.sha256().digest_size + 1

PIECE = 1 << 20
"""bytes read at once"""


def seal(content: bytes | memoryview) -> bytes:
    """What goes behind a content: a line with its SHA-256."""
    return MARK + hashlib.sha256(content).hexdigest().encode() + b"\n"


def require_sound(path: Path) -> bool:
    """Whether a file has a seal; refuse one whose content is not what its seal says.

    Raises:
        OSError: it cannot be read.
        RoundoverError: it is damaged.
    """
    found = hashlib.sha256()
    with path.open("rb") as file:
        left = file.seek(0, os.SEEK_END) - LENGTH
        if left < 0:
            return False
        file.seek(left)
        written = file.read()
        if not written.startswith(MARK):
            return False
        file.seek(0)
        while left > 0 and (piece := file.read(min(PIECE, left))):
            found.update(piece)
            left -= len(piece)
    if written != MARK + found.hexdigest().encode() + b"\n":
        raise RoundoverError(
            f"{path}: this file is damaged: what it holds is not what was written, so none of its "
            "numbers can be trusted; run the command that wrote it again, or take a copy of it"
        )
    return True
