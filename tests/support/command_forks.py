"""A process that runs commands of the program in forks of itself, for the price of one start.

Reads one JSON object a line: `arguments` of the command; `at`, the step at which `signal` is sent
to it, if at all; `limit`, the largest file in bytes that it may write, and whether it `dies` of
that. A step is any opening for writing, renaming or removing of a file in the folder `watched`. It
answers with the number of the process, and to `wait` for that number with the exit code.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import sys
import traceback
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

STEPS = {"os.rename": 0, "os.remove": 0, "os.mkdir": 0}
"""Audit events, and which of their arguments is the path."""


class InOneProcess:
    """Workers of a report that do everything at once, here."""

    def submit(self, asked):
        from concurrent.futures import Future

        future = Future()
        future.set_result(asked())
        return future


@contextmanager
def in_one_process(*_):
    yield InOneProcess()


def stand_ins():
    """Put quick things in place of the field solver, of worker processes and of most figures."""
    import acoustics.field
    import acoustics.figures as figures
    import acoustics.studies.sweeps.run as sweep
    import acoustics.studies.tolerance.run as tolerance
    import acoustics.studies.workers.local_workers as workers
    from support.free_field import solve_free_field
    from support.sweeps import inline

    acoustics.field.solve_field = solve_free_field
    sweep.local_workers = lambda *_: inline()
    sweep.block_size = lambda *_: 1
    tolerance.usable_cores = lambda: 0
    tolerance.BLOCK = 2
    workers.local_workers = in_one_process
    for name in ("SHEETS", "SWEEP_SHEETS", "TOLERANCE_SHEETS"):
        sheets = getattr(figures, name)
        first = next(iter(sheets))
        setattr(figures, name, {first: sheets[first]})


def warm_up() -> None:
    """Load whatever a command loads, so that no fork has to."""
    from click.testing import CliRunner

    from acoustics.cli.main import main as command
    from support.sweeps import DESIGN

    with TemporaryDirectory() as folder:
        case = Path(folder) / "case.toml"
        case.write_text(DESIGN.replace("[sweep]\n", ""), encoding="utf-8")
        done = CliRunner().invoke(command, ["predict", str(case), "--out", f"{folder}/out"])
        assert done.exit_code == 0, done.output


def watch(folder: str, at: int | None, number: int, count: list[int]) -> None:
    """Count steps in a folder, and send this process a signal just before one of them."""

    def step(event, arguments):
        if event == "open":
            path, _, flags = arguments
            writes = isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
        else:
            path, writes = arguments[STEPS[event]] if event in STEPS else None, True
        if not writes or not isinstance(path, str | os.PathLike):
            return
        if not os.path.abspath(path).startswith(folder):
            return
        count[0] += 1
        if count[0] == at:
            os.kill(os.getpid(), number)

    sys.addaudithook(step)


def page_save(file: str, up: str) -> None:
    """What the live page does when a driver was moved and saved there."""
    from dataclasses import replace

    from acoustics.conventions import RoundoverError
    from acoustics.page.reading import read_file
    from acoustics.page.saving import save
    from acoustics.studies.live.drafts import draft_of

    base = read_file(file)
    draft = draft_of(base.case)
    try:
        save(base, replace(draft, places=((0.0, float(up)), *draft.places[1:])), (), "")
    except RoundoverError as error:
        sys.exit(str(error))


def work(asked: dict, answers: Path) -> int:
    """Run a command in this process; its exit code."""
    from acoustics.cli.main import run

    for number, name in ((1, "stdout"), (2, "stderr")):
        os.dup2(os.open(answers / name, os.O_WRONLY | os.O_CREAT | os.O_TRUNC), number)
    sys.argv = ["roundover", *asked["arguments"]]
    if asked["limit"] is not None:
        if asked["dies"]:
            signal.signal(signal.SIGXFSZ, signal.SIG_DFL)  # Python makes it an error otherwise
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
        resource.setrlimit(resource.RLIMIT_FSIZE, (asked["limit"], hard))
    count = [0]
    watch(asked["watched"], asked["at"], asked["signal"], count)
    try:
        if sys.argv[1] == "page-save":
            page_save(*sys.argv[2:])
        else:
            run()
    except SystemExit as end:
        if isinstance(end.code, str):
            print(end.code, file=sys.stderr)
        code = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        traceback.print_exc()
        code = 1
    else:
        code = 0
    if asked["limit"] is None:
        (answers / "steps").write_text(str(count[0]))
    sys.stdout.flush()
    sys.stderr.flush()
    return code


def main() -> None:
    answers = Path(sys.argv[1])
    stand_ins()
    warm_up()
    tell = partial(print, flush=True)
    tell("ready")
    for line in sys.stdin:
        asked = json.loads(line)
        if "wait" in asked:
            tell(os.waitstatus_to_exitcode(os.waitpid(asked["wait"], 0)[1]))
            continue
        process = os.fork()
        if not process:
            code = 1
            try:
                own = answers / str(os.getpid())
                own.mkdir(exist_ok=True)
                code = work(asked, own)
            finally:
                os._exit(code)
        tell(process)


if __name__ == "__main__":
    main()
