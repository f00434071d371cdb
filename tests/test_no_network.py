"""Nothing but the live page's own server, on this machine, ever opens a connection."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from support.cases import shipped_text
from support.no_network import site_of

ROOT = Path(__file__).parents[1]

NETWORK = {"aiohttp", "ftplib", "http", "httpx", "requests", "smtplib", "socket", "ssl", "urllib3"}
"""Modules that reach other machines, and urllib.request."""

COARSE = """
[frequencies]
lowest = "40 Hz"
highest = "10 kHz"
per_octave = 6
[arcs]
step = "10 deg"
"""

COMMANDS = """
from acoustics.cli.main import main
for line in {lines!r}:
    assert not main(line, standalone_mode=False), line
"""


def fetches(module):
    """Whether a module by its full name reaches other machines."""
    return module.split(".")[0] in NETWORK or module.startswith("urllib.request")


def test_no_file_imports_what_fetches():
    found = []
    for file in (ROOT / "acoustics").rglob("*.py"):
        text = file.read_text(encoding="utf-8")
        # Most files name none of them in any way, and need no parsing.
        if "page" in file.parent.parts or not any(each in text for each in (*NETWORK, "urllib")):
            continue
        for node in ast.walk(ast.parse(text)):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module and not node.level:
                names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
            found += [f"{file.relative_to(ROOT)}: {name}" for name in names if fetches(name)]
    assert not found


def run(folder, code):
    """Run Python without a network; its result and what it reached for."""
    environment, notes = site_of(folder)
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=folder, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    return done, notes.read_text(encoding="utf-8").splitlines() if notes.exists() else []


@pytest.mark.parametrize(
    ("code", "event"),
    [
        # Addresses and names that exist in documents only (RFC 5737, RFC 2606).
        ("import socket; socket.create_connection(('192.0.2.1', 80), 1)", "getaddrinfo 192.0.2.1"),
        ("import socket; socket.socket().connect(('192.0.2.1', 80))", "connect 192.0.2.1"),
        ("import socket; socket.socket().bind(('0.0.0.0', 0))", "bind 0.0.0.0"),
        (
            "import urllib.request; urllib.request.urlopen('http://example.invalid')",
            "getaddrinfo example.invalid",
        ),
        (
            "import subprocess, sys; subprocess.run([sys.executable, '-c', "
            "'import socket; socket.getaddrinfo(\"example.invalid\", 80)'], check=True)",
            "getaddrinfo example.invalid",
        ),
    ],
)
def test_the_guard_sees_what_reaches_out(tmp_path, code, event):
    done, reached = run(tmp_path, code)
    assert done.returncode
    assert reached == [f"socket.{event}"]


def test_the_guard_lets_this_machine_speak_to_itself(tmp_path):
    code = "import socket; s = socket.socket(); s.bind(('127.0.0.1', 0)); s.listen()"
    done, reached = run(tmp_path, code)
    assert (done.returncode, reached) == (0, []), done.stderr


@pytest.mark.slow
def test_commands_reach_for_nothing(tmp_path):
    folder = tmp_path / "quick"
    folder.mkdir()
    (folder / "case.toml").write_text(shipped_text("compact-centred") + COARSE, encoding="utf-8")
    lines = [
        ["check", "quick"],
        ["predict", "quick", "--out", "predicted"],
        ["report", "quick", "--out", "reported"],  # page, PDF, drawings and open data
    ]
    done, reached = run(tmp_path, COMMANDS.format(lines=lines))
    assert done.returncode == 0, done.stderr
    assert reached == []
    written = {file.suffix for file in (tmp_path / "reported").rglob("*")}
    assert {".html", ".pdf", ".nc", ".sofa", ".svg"} <= written
