"""All tests run in two processes, as strictly as in one, and what was left out is told."""

from __future__ import annotations

from pathlib import Path

import pytest

PROJECT = """
    import os
    import warnings

    import pytest

    def test_fine():
        assert os.environ.get("PYTEST_XDIST_WORKER", "one").startswith({where!r})

    def test_strict():
        warnings.warn("a warning is an error")

    @pytest.mark.slow
    @pytest.mark.parametrize("n", range(3))
    def test_slow(n): ...

    @pytest.mark.browser
    def test_browser(): ...
"""
INI = """
    [pytest]
    testpaths = .
    addopts = -m 'not slow and not browser'
    filterwarnings = error
    markers =
        slow: s
        browser: b
"""
CONFTEST = f"""
    import sys
    sys.path.append({str(Path(__file__).parent)!r})
    pytest_plugins = ("support.left_out", "support.two_processes")
"""
SLOW_LINE = "left out: 3 slow proofs (python -m pytest -m slow), "
BROWSER_LINE = "1 browser tests (python -m pytest -m browser)"
LINE = SLOW_LINE + BROWSER_LINE


@pytest.fixture
def run(pytester, monkeypatch):
    """Run pytest, with what this suite adds to it, on one good test and one that warns."""
    monkeypatch.delenv("PYTEST_XDIST_WORKER", raising=False)
    # What the plugin asks of the environment ends with the test.
    for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
        monkeypatch.setenv(name, "1")
    pytester.makeini(INI)
    pytester.makeconftest(CONFTEST)

    def go(*given, where):
        pytester.makepyfile(test_one=PROJECT.format(where=where))
        return pytester.runpytest_inprocess(*given)

    return go


def test_two_processes(run):
    result = run(where="gw")
    result.assert_outcomes(passed=1, failed=1)
    result.stdout.fnmatch_lines(["*2 workers*", LINE])


@pytest.mark.parametrize("given", [("-n", "0"), ("-p", "no:xdist"), ("test_one.py",)])
def test_one_process(run, given):
    result = run(*given, where="one")
    result.assert_outcomes(passed=1, failed=1, deselected=4)
    result.stdout.no_fnmatch_line("*workers*")
    result.stdout.fnmatch_lines([LINE])


def test_what_is_asked_for_is_not_left_out(run):
    result = run("-n", "0", "-m", "slow", where="one")
    result.assert_outcomes(passed=3, deselected=3)
    result.stdout.fnmatch_lines(["left out: " + BROWSER_LINE])
