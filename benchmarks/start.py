"""Starting: the command, the import, the first field; and the memory of a field.

python benchmarks/start.py            about two minutes
python benchmarks/start.py --smoke    once each, without compilation: checks that it runs

Every row is a process of its own. Ratios are over an interpreter that does nothing.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

from common import in_new_process, is_smoke, print_table

HERE = str(Path(__file__).parent)
COMPACT = Path(__file__).parents[1] / "cases" / "compact-centred"
HELP = "import sys; sys.argv = ['roundover', '--help']; from acoustics.cli.main import run; run()"
IMPORT = "import acoustics"
FIELD = (
    f"import sys; sys.path.insert(0, {HERE!r})\n"
    "import numpy, acoustics\n"
    "from common import BOX, PISTONS, all_round\n"
    "frequency = numpy.geomspace(20.0, 20e3, {frequencies})\n"
    "acoustics.solve_field(BOX, PISTONS, all_round({receivers}), frequency)\n"
)
BOX = (
    "import sys\n"
    "from acoustics.cli.main import run\n"
    f"sys.argv = ['roundover', 'box', {str(COMPACT)!r}, '--out', '{{folder}}']\n"
    "run()\n"
)
FIRST = FIELD.format(frequencies=1, receivers=9)
PEAK = "import resource; print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)\n"


def process_time(code: str, repeats: int, **environment: str) -> float:
    """Median seconds of a process from its start to its end."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        in_new_process(code, **environment)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main() -> None:
    smoke = is_smoke(__doc__, "once each, without compilation")
    repeats = 1 if smoke else 5
    in_new_process(FIRST)  # the compiler's cache is filled
    bare = process_time("pass", repeats)
    rows = {
        "an interpreter that does nothing": bare,
        "`roundover --help`": process_time(HELP, repeats),
        "import": process_time(IMPORT, repeats),
        "import and a first field, kernels compiled before": process_time(FIRST, repeats),
    }
    if not smoke:
        with tempfile.TemporaryDirectory() as empty:
            seconds = process_time(FIRST, 1, NUMBA_CACHE_DIR=empty)
        rows["the same on a machine that has never run it"] = seconds
    with tempfile.TemporaryDirectory() as folder:
        name = "`roundover box` of the compact two-way, two figures written"
        rows[name] = process_time(BOX.format(folder=folder), repeats)
    row = print_table("a new process", "time", "interpreters")
    for name, seconds in rows.items():
        row(name, f"{seconds:.2f} s", f"{seconds / bare:.0f}")
    row = print_table("memory of a new process", "at most")
    row("import", f"{float(in_new_process(IMPORT + chr(10) + PEAK)):.0f} MiB")
    field = FIELD.format(frequencies=12 if smoke else 240, receivers=150)
    row("plain box, its whole field", f"{float(in_new_process(field + PEAK)):.0f} MiB")


if __name__ == "__main__":
    main()
