"""Reading one damaged file under guard: time, memory, warnings, and nothing written."""

from __future__ import annotations

import os
import re
import resource
import signal
import sys
import traceback
import unicodedata
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import FrameType
from typing import Any

from acoustics.conventions import CaseError, RoundoverError
from acoustics.page.messages import NotUnderstoodError

SECONDS = 10
"""of processor time that one reading may take: other work on the machine does not count"""
MEMORY = 2 * 2**30
"""bytes that a process may have while it reads"""
LONGEST_LINE = 1500
"""letters of a message: what was found is quoted shortened"""
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
CHANGES = ("os.remove", "os.rename", "os.mkdir", "os.rmdir", "os.truncate", "os.link", "os.symlink",
           "os.chmod", "shutil.", "subprocess.", "os.system", "os.exec", "os.posix_spawn",
           "socket.connect", "socket.bind")  # fmt: skip
TRIAL = "acoustics.foreign.trial"
_TRACES = re.compile(r"Traceback|Input should|Value error|<[\w.]+ object at|\bcore_schema\b")


@dataclass(frozen=True)
class Mutant:
    """What is read, and the names by which an error may call it."""

    read: Callable[[], object]
    names: tuple[str, ...]


class TooSlowError(BaseException):
    """Beyond what any reader catches."""


class _Watch:
    """What is written while `armed`; audit hooks stay for the life of a process."""

    def __init__(self) -> None:
        self.armed = False
        self.seen: list[str] = []
        sys.addaudithook(self._event)

    def _event(self, event: str, arguments: tuple[Any, ...]) -> None:
        if not self.armed:
            return
        seen = len(self.seen)
        self._noted(event, arguments)
        # Python keeps what it compiles of modules when they are first needed.
        if len(self.seen) > seen and _importing():
            del self.seen[seen:]

    def _noted(self, event: str, arguments: tuple[Any, ...]) -> None:
        if event == "open":
            path, _, flags = arguments
            kept = not isinstance(path, int) and path != os.devnull
            if isinstance(flags, int) and flags & WRITES and kept:
                self.seen.append(f"opened {path!r} to write")
        elif event.startswith(CHANGES) and not _tries_a_file(event, arguments):
            self.seen.append(f"{event} {arguments!r:.200}")


def _tries_a_file(event: str, arguments: tuple[Any, ...]) -> bool:
    """Whether a process is started that reads a file, and does nothing else."""
    return event == "subprocess.Popen" and list(arguments[1])[-2:] == ["-m", TRIAL]


def _importing() -> bool:
    frame: FrameType | None = sys._getframe()
    while frame is not None and not frame.f_code.co_filename.startswith("<frozen importlib"):
        frame = frame.f_back
    return frame is not None


_watches: list[_Watch] = []


def judged(mutant: Mutant) -> str:
    """What is wrong with how a mutant was read; empty if it was read, or refused in words."""
    if not _watches:
        _watches.append(_Watch())
    watch = _watches[0]
    watch.seen.clear()
    try:
        with _in_time(), _heard(watch.seen), warnings.catch_warnings():
            warnings.simplefilter("error")
            watch.armed = True
            mutant.read()
        wrong = ""
    except (RoundoverError, NotUnderstoodError) as error:
        wrong = "; ".join(_badly_said(error, mutant.names))
    except TooSlowError:
        wrong = f"took longer than {SECONDS} s: {_where()}"
    except BaseException as error:
        wrong = f"{type(error).__name__}: {str(error)[:300]} {_where()}"
    finally:
        watch.armed = False
    return "; ".join(filter(None, (wrong, *watch.seen[:3])))


def _where() -> str:
    """The last calls of the package and of what it called."""
    frames = traceback.extract_tb(sys.exc_info()[2])
    own = [frame for frame in frames if "/acoustics/" in frame.filename][-3:]
    shown = [*own, frames[-1]] if frames else own
    return "at " + " > ".join(
        f"{frame.filename.rsplit('/', 1)[-1]}:{frame.lineno}" for frame in shown
    )


def _badly_said(error: Exception, names: tuple[str, ...]) -> Iterator[str]:
    """What an error for people must not lack, or hold."""
    said = str(error)
    faults = error.faults if isinstance(error, CaseError) else ()
    if names and not any(name in said for name in names) and not faults:
        yield f"names no file: {said[:300]!r}"
    if not all(fault.message.strip() and fault.file for fault in faults):
        yield f"a fault says nothing, or not of which file: {said[:300]!r}"
    if _TRACES.search(said) and not isinstance(error, NotUnderstoodError):
        yield f"speaks to programmers: {said[:300]!r}"
    for line in said.split("\n"):
        if any(unicodedata.category(letter) in ("Cc", "Cs") for letter in line):
            yield f"steers the terminal: {line[:300]!r}"
        if len(line) > LONGEST_LINE:
            yield f"quotes at length: {line[:300]!r}"


@contextmanager
def _in_time() -> Iterator[None]:
    def late(_: int, frame: FrameType | None) -> None:
        raise TooSlowError

    before = signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


@contextmanager
def _heard(seen: list[str]) -> Iterator[None]:
    """What Python prints of errors that nobody can catch, such as those of objects that go."""
    before = sys.unraisablehook

    def told(unraisable: Any) -> None:
        seen.append(f"printed: {unraisable.exc_value!r}")

    sys.unraisablehook = told
    try:
        yield
    finally:
        sys.unraisablehook = before


def limit_memory() -> None:
    """From now on this process gets no more than MEMORY, as if the machine had no more."""
    with open("/proc/self/statm", encoding="ascii") as file:
        reserved, used = (int(pages) * resource.getpagesize() for pages in file.read().split()[:2])
    # What libraries have reserved without using it does not count.
    most = reserved + MEMORY - used
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
