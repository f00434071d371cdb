"""Commands of the program as processes of their own, ended or disturbed at a moment of choice."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

TESTS = Path(__file__).parents[1]


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code, or less the signal that killed it; what it said.

    `steps` counts how often it opened for writing, renamed or removed a file, where it got so far.
    """

    code: int
    stdout: str
    stderr: str
    steps: int


class Commands:
    """Starts commands; see `command_forks` for what stands in for what takes long."""

    def __init__(self, pipes: Any, answers: Path) -> None:
        self._pipes, self._answers = pipes, answers

    def start(
        self,
        *arguments: object,
        at: int | None = None,
        sent: int = signal.SIGKILL,
        limit: int | None = None,
        dies: bool = False,
        watched: Path,
    ) -> int:
        """Start a command; the number of its process."""
        asked = {
            "arguments": [*map(str, arguments)],
            "at": at,
            "signal": int(sent),
            "limit": limit,
            "dies": dies,
            "watched": str(watched),
        }
        return int(self._ask(asked))

    def wait(self, process: int) -> Ended:
        """How a command ended that was started."""
        code = int(self._ask({"wait": process}))
        said = self._answers / str(process)
        stdout, stderr = (
            (said / name).read_text(encoding="utf-8") for name in ("stdout", "stderr")
        )
        steps = said / "steps"
        return Ended(code, stdout, stderr, int(steps.read_text()) if steps.exists() else 0)

    def run(self, *arguments: object, **how: Any) -> Ended:
        """Start a command and wait for its end."""
        return self.wait(self.start(*arguments, **how))

    def _ask(self, asked: dict[str, Any]) -> str:
        print(json.dumps(asked), file=self._pipes.stdin, flush=True)
        return self._pipes.stdout.readline()


@contextmanager
def commands_in(folder: Path) -> Iterator[Commands]:
    """What starts commands; it keeps what they say in a folder of its own."""
    paths = [str(TESTS), str(TESTS.parent), os.environ.get("PYTHONPATH", "")]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))}
    given = [sys.executable, "-m", "support.command_forks", str(folder)]
    with subprocess.Popen(
        given, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=environment
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        yield Commands(process, folder)
        assert process.stdin is not None
        process.stdin.close()


def files_of(folder: Path) -> dict[str, bytes]:
    """Content of every file in a folder and in those inside it, by its path from there."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def parts_in(folder: Path) -> list[Path]:
    """Files there that have not got their own name."""
    return sorted(folder.rglob(".*.part"))
