"""netCDF files that a library wrote, and that no longer hold what they should."""

from __future__ import annotations

import io
from collections.abc import Callable
from random import Random

import h5py
import numpy as np

from acoustics.seal import MARK

HUGE = 10**10
"""numbers that are promised and of which none is in the file"""

Edit = Callable[[h5py.File, str, Random], None]


def rewritten(data: bytes, rng: Random) -> bytes:
    """A file with one or two variables or attributes changed by the library itself; no seal."""
    content = io.BytesIO(data.rpartition(MARK)[0] or data)
    try:
        with h5py.File(content, "r+") as file:
            for _ in range(rng.choice((1, 1, 2))):
                name = rng.choice([key for key in file if isinstance(file[key], h5py.Dataset)])
                rng.choice(_EDITS)(file, name, rng)
    except (OSError, KeyError, ValueError, TypeError, RuntimeError, IndexError, MemoryError):
        pass  # the library refuses some edits of what was changed before
    return content.getvalue()


def _left_out(file: h5py.File, name: str, rng: Random) -> None:
    del file[name]


def _promised(file: h5py.File, name: str, rng: Random) -> None:
    """Far more numbers than the file holds bytes for: nothing of them was written."""
    shape = file[name].shape
    attributes = dict(file[name].attrs)
    del file[name]
    grown = (HUGE // max(int(np.prod(shape[1:])), 1), *shape[1:]) if shape else (HUGE,)
    kept = tuple(min(size, 64) for size in grown)
    file.create_dataset(name, grown, dtype=rng.choice(("f8", "f4", "S8")), chunks=kept)
    _put_back(file[name], attributes)


def _other_shape(file: h5py.File, name: str, rng: Random) -> None:
    _replaced(file, name, np.zeros(rng.choice(((), (0,), (1,), (3, 0), (2, 2, 2, 2, 2), (4000,)))))


def _other_type(file: h5py.File, name: str, rng: Random) -> None:
    shape = file[name].shape
    values = rng.choice(
        (
            np.zeros(shape, "S5"),
            np.full(shape, "x", dtype=object),
            np.zeros(shape, "i1"),
            np.zeros(shape, complex),
            np.zeros(shape, [("a", "f8"), ("b", "i4")]),
            np.zeros(shape, "f2"),
            np.zeros(shape, "u8"),
            np.zeros(shape, bool),
            np.full(shape, np.nan),
            np.full(shape, np.inf),
            np.full(shape, 1e308),
            np.full(shape, b"\xff\xfe\x80", "S3"),
        )
    )
    kind = h5py.string_dtype() if values.dtype == object else None
    _replaced(file, name, values, kind)


def _values_damaged(file: h5py.File, name: str, rng: Random) -> None:
    values = file[name][()]
    if isinstance(values, np.ndarray) and values.size and values.dtype.kind in "fiu":
        flat = values.ravel()
        flat[rng.randrange(flat.size)] = rng.choice(
            (0, 1, 100) if values.dtype.kind != "f" else (np.nan, np.inf, -1.0, 0.0, 1e300)
        )
        _replaced(file, name, flat.reshape(values.shape))


def _group(file: h5py.File, name: str, rng: Random) -> None:
    del file[name]
    file.create_group(name)


def _linked(file: h5py.File, name: str, rng: Random) -> None:
    del file[name]
    file[name] = rng.choice(
        (h5py.ExternalLink("/etc/passwd", "/x"), h5py.SoftLink(f"/{name}"), h5py.SoftLink("/none"))
    )


def _elsewhere(file: h5py.File, name: str, rng: Random) -> None:
    """Values that stand in another file."""
    shape = file[name].shape or (1,)
    del file[name]
    size = int(np.prod(shape)) * 8
    file.create_dataset(name, shape, "f8", external=[("/etc/hostname", 0, size)])


def _attribute(file: h5py.File, name: str, rng: Random) -> None:
    owner = rng.choice((file, file[name]))
    names = [key for key in owner.attrs if key not in ("DIMENSION_LIST", "REFERENCE_LIST")]
    key = rng.choice(
        [
            *names,
            "units",
            "_FillValue",
            "scale_factor",
            "add_offset",
            "dtype",
            "coordinates",
            "calendar",
            "missing_value",
            "schema",
        ]
    )
    value = rng.choice(("", "x", "days since 1970-01-01", b"\xff\xfe", "\x1b[31m", np.nan, 0, -1,
                        10**15, np.zeros(0), np.arange(3.0), np.array([b"a", b"b"]), "y" * 50_000,
                        h5py.Empty("f8"), h5py.Empty("S1"), True))  # fmt: skip
    if key in owner.attrs and rng.random() < 0.2:
        del owner.attrs[key]
    else:
        owner.attrs[key] = value


def _scale(file: h5py.File, name: str, rng: Random) -> None:
    """Dimensions that are no longer said, or said wrongly."""
    attributes = file[name].attrs
    for key in ("DIMENSION_LIST", "_Netcdf4Dimid", "_Netcdf4Coordinates", "CLASS", "NAME"):
        if key in attributes and rng.random() < 0.6:
            if rng.random() < 0.5:
                del attributes[key]
            else:
                attributes[key] = rng.choice((np.int32(0), np.int32(99), "DIMENSION_SCALE", "x"))


def _nested(file: h5py.File, name: str, rng: Random) -> None:
    file.create_group("/".join(f"g{number}" for number in range(rng.choice((1, 30, 500)))))


def _replaced(file: h5py.File, name: str, values: np.ndarray, kind: object = None) -> None:
    attributes = dict(file[name].attrs)
    del file[name]
    file.create_dataset(name, data=values, dtype=kind)
    _put_back(file[name], attributes)


def _put_back(dataset: h5py.Dataset, attributes: dict[str, object]) -> None:
    for key, value in attributes.items():
        if key != "REFERENCE_LIST":
            dataset.attrs[key] = value


_EDITS: tuple[Edit, ...] = (
    _left_out, _promised, _promised, _other_shape, _other_type, _other_type, _values_damaged,
    _group, _linked, _elsewhere, _attribute, _attribute, _attribute, _scale, _nested,
)  # fmt: skip
