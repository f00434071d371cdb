"""Where no bytecode may be written beside the sources, a run of the tests keeps it elsewhere.

Else every process that a test starts would compile all modules anew, for seconds each.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile

import pytest


def pytest_configure(config: pytest.Config) -> None:
    """Before other processes start: they are told by their environment."""
    if not sys.dont_write_bytecode or hasattr(config, "workerinput"):
        return
    folder = tempfile.mkdtemp(prefix="roundover-bytecode-")
    before = dict(os.environ), sys.pycache_prefix

    def as_before() -> None:
        for name in ("PYTHONDONTWRITEBYTECODE", "PYTHONPYCACHEPREFIX"):
            os.environ.pop(name, None)
            if name in before[0]:
                os.environ[name] = before[0][name]
        sys.dont_write_bytecode, sys.pycache_prefix = True, before[1]
        shutil.rmtree(folder, ignore_errors=True)

    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = folder
    sys.dont_write_bytecode, sys.pycache_prefix = False, folder
    config.add_cleanup(as_before)
