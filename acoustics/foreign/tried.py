"""Let another process read an HDF5 file first.

HDF5 believes what stands in a file: damaged addresses and sizes may lead it out of its memory, and
no language can catch what the system then does to a process. So it is done to one that only reads.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys

from acoustics.conventions import FileError, RoundoverError
from acoustics.foreign.limits import BEGUN, TOO_LARGE, memory, seconds

WAY_OUT = "have the program that wrote it write it again, or take a copy of it"

ALONE = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
"""Threads of libraries that compute nothing there; each reserves memory."""


def require_readable(data: bytes, name: str, error: type[FileError] = FileError) -> None:
    """Refuse a content in which the library that reads HDF5 gets lost.

    Starting a process takes some tenths of a second. What the library itself refuses passes: it
    does so again, in words, when the content is opened here.

    Args:
        data: all bytes of the file; what is opened afterwards must be these.
        name: of the file, for the message.
        error: what is raised.

    Raises:
        FileError: the reading process ended before it was done, or took too long or too much.
        RoundoverError: no process could be started.
    """
    how = _trial(data, name)
    if how:
        raise error(f"is damaged: the library that reads HDF5 {how}; {WAY_OUT}", name)


def _trial(data: bytes, name: str) -> str:
    """What became of the library in a process that reads a content whole; empty for nothing."""
    # As this process finds its modules, wherever it was started, and from no other folder.
    paths = os.pathsep.join(map(os.path.abspath, sys.path))
    command = [sys.executable, "-P", "-W", "ignore", "-m", "acoustics.foreign.trial"]
    try:
        ended = subprocess.run(
            command,
            input=data,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, **ALONE, "PYTHONPATH": paths},
            timeout=seconds(len(data)),
            check=False,
        )
    except subprocess.TimeoutExpired:
        return f"was not done with it after {seconds(len(data)):.0f} s"
    except (OSError, ValueError) as failure:
        raise _not_started(name) from failure
    if BEGUN not in ended.stdout:
        raise _not_started(name)
    if ended.returncode == TOO_LARGE:
        return f"asked for more than {memory(len(data)) / 1e9:.1f} GB of memory for it"
    return f"broke off in it ({_called(ended.returncode)})" if ended.returncode else ""


def _not_started(name: str) -> RoundoverError:
    return RoundoverError(
        f"{name}: cannot be opened: a file that has no seal of roundover is first read in a "
        f"process of its own, and {sys.executable or 'Python'} could not be started for it; see "
        "that memory is free and that Python and h5py are where they were installed"
    )


def _called(code: int) -> str:
    """The name of a signal, or the number that a process ended with."""
    try:
        return signal.Signals(-code).name
    except ValueError:
        return f"exit code {code}"
