"""A SOFA file opened with care: what is missing, foreign or too large is told."""

from __future__ import annotations

import io
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import h5py
import numpy as np

from acoustics.case.text.shown import printable
from acoustics.files import content
from acoustics.foreign import require_readable
from acoustics.measurement.recording import MOST_BYTES, RecordingError
from acoustics.weighed import too_heavy

WAY_OUT = "give a SOFA file (AES69, netCDF-4 inside)"
MOST_NUMBERS = 200_000_000


class SofaFile:
    """An open file: its variables as arrays, its attributes as text."""

    def __init__(self, file: h5py.File, name: str) -> None:
        self.file = file
        self.name = name
        self.data_type = self.text("DataType")

    def fault(self, message: str) -> RecordingError:
        """An error about this file."""
        return RecordingError(printable(message), self.name)

    def text(self, attribute: str, variable: str | None = None) -> str:
        """An attribute, of the file or of a variable; empty if there is none."""
        owner = self.file if variable is None else self._dataset(variable)
        value = owner.attrs.get(attribute, "")
        if isinstance(value, np.ndarray):
            value = value.ravel()[0] if value.size else ""
        return value.decode("utf-8", "replace") if isinstance(value, bytes) else str(value)

    def has(self, name: str) -> bool:
        """Whether there is such a variable."""
        return name in self.file

    def expect_type(self, wanted: Sequence[str], what: str) -> None:
        """Raises RecordingError where the file's data type is another."""
        if self.text("Conventions").upper() != "SOFA":
            raise self.fault(f"does not say that it follows the SOFA conventions; {WAY_OUT}")
        if self.data_type not in wanted:
            raise self.fault(
                f"is of data type '{self.data_type}', expected was {' or '.join(wanted)}: "
                f"it holds no {what}"
            )

    def numbers(self, name: str, unit: Sequence[str] = ()) -> np.ndarray:
        """A variable as float64; its unit, if stated, must be one of those given."""
        dataset = self._dataset(name)
        if dataset.dtype.kind not in "iuf":
            raise self.fault(f"{name} holds no numbers; export it again")
        if dataset.size is None or dataset.size > MOST_NUMBERS:
            raise self.fault(f"{name} has more than {MOST_NUMBERS:.0g} numbers; export fewer")
        stated = self.text("Units", name) or self.text("units", name)
        if unit and stated and stated.strip().lower() not in unit:
            raise self.fault(f"{name} is in '{stated}', expected was {unit[0]}; export it again")
        answer: np.ndarray = np.asarray(dataset[()], dtype=float)
        return answer

    def broadcast(self, name: str, shape: tuple[int, ...]) -> np.ndarray:
        """A variable over (measurement, receiver, emitter), each of which may be left single."""
        values = self.numbers(name)
        values = values.reshape(values.shape + (1,) * (len(shape) - values.ndim))
        try:
            return np.broadcast_to(values, shape)
        except ValueError as error:
            raise self.fault(
                f"{name} has the shape {values.shape}, which does not fit the data's {shape}; "
                "export it again"
            ) from error

    def _dataset(self, name: str) -> h5py.Dataset:
        link = self.file.get(name, getlink=True)
        dataset = self.file[name] if isinstance(link, h5py.HardLink) else None
        if not isinstance(dataset, h5py.Dataset):
            raise self.fault(f"has no variable {name}; export it again")
        # What a file of measurements says about other files is not followed.
        if dataset.is_virtual or dataset.external:
            raise self.fault(f"{name} lies in another file; export it into one")
        return dataset


@contextmanager
def opened(path: str | os.PathLike[str]) -> Iterator[SofaFile]:
    """Open a SOFA file. Raises RecordingError, also for what the library finds damaged later."""
    file = Path(path)
    name = str(file)
    data = content(file, MOST_BYTES, WAY_OUT, RecordingError)
    if not data:
        raise RecordingError(f"is empty; {WAY_OUT}", name)
    require_readable(data, name, RecordingError)
    try:
        with h5py.File(io.BytesIO(data), "r") as hdf5:
            if said := too_heavy(hdf5, len(data)):
                raise RecordingError(f"{said}; export it again", name)
            yield SofaFile(hdf5, name)
    except (OSError, KeyError, RuntimeError, ValueError, TypeError, OverflowError) as error:
        reason = str(error).split("\n")[0][:120]
        raise RecordingError(
            f"is no SOFA file that can be read: cut off, damaged or of another kind ({reason}); "
            f"{WAY_OUT}",
            name,
        ) from error
