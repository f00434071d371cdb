"""netCDF files weighed before anything of them is loaded.

HDF5 keeps a size and the numbers apart, so a few damaged bytes, or a file that was begun and never
filled, may promise any amount of memory. Links may lead to other files, or in circles.
"""

from __future__ import annotations

import io
from pathlib import Path

import h5py

from acoustics.conventions import FileError

MOST_PACKED = 100
"""times the bytes of a file that its numbers may take unpacked; measured curves take two to five"""

WAY_OUT = "write it again, or take a copy of it"


def require_regular(path: Path) -> None:
    """Refuse what is there and no regular file: reading from a pipe may never end.

    Raises:
        FileError: there is such a thing.
    """
    if path.exists() and not path.is_file():
        raise FileError(f"is no regular file; {WAY_OUT}", str(path))


def require_weighed(path: Path, data: bytes | None = None) -> None:
    """Refuse a file whose variables lie elsewhere or promise more than it can hold.

    Args:
        path: the file.
        data: what it holds, where that has been read.

    Raises:
        FileNotFoundError: there is none.
        FileError: it is none that can be read as what it says.
    """
    size = path.stat().st_size if data is None else len(data)
    with h5py.File(path if data is None else io.BytesIO(data), "r") as file:
        if said := too_heavy(file, size):
            raise FileError(f"{said}; {WAY_OUT}", str(path))


def too_heavy(file: h5py.File, size: int) -> str:
    """Why an open file of so many bytes should not be loaded; empty where it may be."""
    promised = 0
    for name in file:
        # What a file of numbers says about other files is not followed.
        if not isinstance(file.get(name, getlink=True), h5py.HardLink):
            return f"{name!r} lies elsewhere"
        found = file[name]
        if not isinstance(found, h5py.Dataset):
            return f"{name!r} is no variable"
        if found.is_virtual or found.external:
            return f"{name!r} lies in another file"
        promised += (found.size or 0) * found.dtype.itemsize
    if promised > MOST_PACKED * size:
        return f"promises {promised:.3g} bytes of numbers and has {size} in all: cut off or damaged"
    return ""
