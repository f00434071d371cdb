"""Starting the command is quick because nothing heavy is imported before it is needed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
HEAVY = ("numba", "xarray", "matplotlib", "scipy", "pandas", "h5py", "pydantic", "numpy")


def python(code):
    return subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout


def test_help_imports_nothing_heavy():
    loaded = python(
        "import sys, acoustics.cli.main as m\n"
        "try: m.main(['--help'], prog_name='roundover')\n"
        "except SystemExit: pass\n"
        "print('LOADED', *sorted({name.split('.')[0] for name in sys.modules}))"
    )
    assert "predict" in loaded
    assert "compare" in loaded
    assert "check" in loaded
    names = set(loaded.split("LOADED")[1].split())
    assert names.isdisjoint(HEAVY)
