"""A run of all tests is spread over two processes; files that are named stay in one."""

from __future__ import annotations

import os

import pytest

PROCESSES = 2
THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""Two processes whose linear algebra takes a thread for each core hinder each other."""


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config: pytest.Config) -> None:
    """Ask for processes before pytest-xdist looks at what was asked.

    Not where it is absent or switched off (`-p no:xdist`), told how many to take (`-n 0`), or
    where a debugger needs the terminal.
    """
    option = config.option
    if (
        hasattr(config, "workerinput")
        or not config.pluginmanager.hasplugin("xdist")
        or config.args_source is not pytest.Config.ArgsSource.TESTPATHS
        or option.numprocesses is not None
        or option.usepdb
        or option.collectonly
    ):
        return
    # A file is not divided: what its tests share is computed once.
    option.numprocesses, option.dist = PROCESSES, "loadfile"
    for name in THREADS:
        os.environ.setdefault(name, "1")
