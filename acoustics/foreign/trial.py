"""The process that reads a file from its standard input, whole, and ends well if it can.

`python -m acoustics.foreign.trial < FILE`; see `tried.py`. It reads by all the ways in which the
package does, and takes no notice of what the libraries refuse.
"""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import h5netcdf
import h5py

from acoustics.foreign.limits import BEGUN, TOO_LARGE, memory, seconds
from acoustics.weighed import too_heavy


def main() -> None:
    """Read, and leave without tidying up: all that counts is whether it came to this."""
    sys.stdout.buffer.write(BEGUN)
    sys.stdout.flush()
    data = sys.stdin.buffer.read()
    _limit(len(data))
    try:
        read_whole(data)
    except MemoryError:
        os._exit(TOO_LARGE)


def read_whole(data: bytes) -> None:
    """Read all variables and attributes of a content, if it may be loaded at all.

    Raises MemoryError.
    """
    heavy = True
    with _unless_refused(), h5py.File(io.BytesIO(data), "r") as file:
        heavy = bool(too_heavy(file, len(data)))
        if not heavy:
            _read_attributes(file)
            for name in file:
                with _unless_refused():
                    _read_variable(file[name])
    if not heavy:
        with _unless_refused(), h5netcdf.File(io.BytesIO(data), "r") as netcdf:
            _read_netcdf(netcdf)


def _read_variable(variable: h5py.Dataset) -> None:
    _read_attributes(variable)
    variable[()]


def _read_attributes(owner: h5py.File | h5py.Dataset) -> None:
    for name in owner.attrs:
        with _unless_refused():
            owner.attrs[name]


def _read_netcdf(file: h5netcdf.File) -> None:
    """As xarray does: dimensions, how numbers are packed, what they mean, and the numbers."""
    with _unless_refused():
        dict(file.attrs)
    for name in file.variables:
        with _unless_refused():
            variable = file.variables[name]
            dict(variable.attrs)
            _ = variable.dimensions, variable.shape, variable.dtype, variable.chunks
            _ = variable.compression, variable.shuffle, variable.fletcher32
            variable[...]


@contextmanager
def _unless_refused() -> Iterator[None]:
    """Go on behind what a library refuses; without memory nothing goes on."""
    try:
        yield
    except MemoryError:
        raise
    except Exception:  # in as many ways as a file has fields
        pass


def _limit(size: int) -> None:
    """From now on this process gets so much memory and time, where the system has such limits."""
    try:
        import resource  # not on every system
    except ImportError:
        return
    most = {
        resource.RLIMIT_AS: memory(size),
        resource.RLIMIT_CPU: int(seconds(size)) + 1,
        resource.RLIMIT_CORE: 0,
    }
    for limit, value in most.items():
        now, highest = resource.getrlimit(limit)
        allowed = [each for each in (value, now, highest) if each != resource.RLIM_INFINITY]
        try:
            resource.setrlimit(limit, (min(allowed), highest))
        except (OSError, ValueError):  # some systems know no limit of that kind
            continue


if __name__ == "__main__":
    main()
