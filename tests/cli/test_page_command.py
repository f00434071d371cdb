"""`roundover page`: what it prints, and what it refuses."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys

import pytest
from click.testing import CliRunner

from acoustics.cli.main import main
from acoustics.cli.page import COMPILING
from acoustics.page.serve import listening
from support.cases import CASES, shipped_text


def run(*arguments: str):
    return CliRunner().invoke(main, ["page", *arguments])


def test_a_taken_port_is_refused():
    with listening(0) as listener:
        port = listener.getsockname()[1]
        result = run(str(CASES / "compact-centred"), "--port", str(port), "--no-browser")
    assert result.exit_code == 2
    assert f"--port {port}: the port is taken by another program" in result.stderr
    assert "leave --port out" in result.stderr


@pytest.mark.parametrize("port", ["-1", "65536", "http"])
def test_what_is_no_port_is_refused(port):
    result = run("anything", "--port", port)
    assert result.exit_code == 2
    assert "--port" in result.stderr


def test_a_case_that_is_not_there_is_refused(tmp_path):
    result = run(str(tmp_path / "none.toml"), "--no-browser")
    assert result.exit_code == 2
    assert "there is no such file" in result.stderr


def test_a_faulty_case_is_refused_with_its_lines(tmp_path):
    case = tmp_path / "case.toml"
    text = shipped_text("compact-centred").replace('width = "220 mm"', 'width = "220"')
    case.write_text(text, encoding="utf-8")
    result = run(str(case), "--no-browser")
    assert result.exit_code == 2
    line = text.splitlines().index('width = "220"') + 1
    assert f"case.toml:{line}: cabinet.width" in result.stderr


@pytest.mark.slow
def test_it_prints_its_address_and_ends_when_interrupted(tmp_path):
    case = tmp_path / "case.toml"
    case.write_text(shipped_text("compact-centred"), encoding="utf-8")
    before = case.read_bytes()
    process = subprocess.Popen(
        [
            sys.executable,
            "-c",
            "from acoustics.cli.main import run; run()",
            "page",
            str(case),
            "--no-browser",
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    assert re.fullmatch(r"The page: http://127\.0\.0\.1:\d+/\?key=[\w-]{20,}\n", first)
    os.kill(process.pid, signal.SIGINT)
    _, errors = process.communicate(timeout=30)
    # On a machine that has not compiled the solver yet, that is told.
    told = errors.removeprefix(f"{COMPILING}\n")
    assert (process.returncode, told) == (130, "")
    assert case.read_bytes() == before
