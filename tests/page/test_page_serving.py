"""The server itself, over real connections, with studies from a script."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from acoustics.conventions import RoundoverError
from acoustics.page.serve import HERE, listening
from support import scripted_studio
from support.cases import shipped_text

TESTS = Path(__file__).parents[1]


def test_the_server_listens_to_this_machine_alone():
    with listening(0) as listener:
        host, port = listener.getsockname()
        # 127.0.0.0/8 is the machine itself (RFC 1122, 3.2.1.3 g).
        assert host == HERE == "127.0.0.1"
        with pytest.raises(RoundoverError, match=f"--port {port}: the port is taken"):
            listening(port)


class Running:
    """A server as a process of its own."""

    def __init__(self, folder: Path) -> None:
        self.case = folder / "case.toml"
        self.case.write_text(shipped_text("compact-centred"), encoding="utf-8")
        paths = os.pathsep.join([str(TESTS.parent), str(TESTS)])
        self.process = subprocess.Popen(
            [sys.executable, scripted_studio.__file__, str(self.case)],
            env={**os.environ, "PYTHONPATH": paths},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
        )
        assert self.process.stdout is not None
        self.address = urlsplit(self.process.stdout.readline().strip())
        self.host = self.address.netloc
        answer = self.get(f"/?{self.address.query}")
        assert answer.status == 303
        self.cookie = answer.headers["set-cookie"].split(";")[0]

    def get(self, target: str, **headers: str) -> http.client.HTTPResponse:
        line = http.client.HTTPConnection(self.address.hostname or "", self.address.port)
        line.request("GET", target, headers=headers)
        answer = line.getresponse()
        answer.body = answer.read()  # type: ignore[attr-defined]
        line.close()
        return answer

    def tab(self, **changes):
        about = {"origin": f"http://{self.host}", "additional_headers": {"Cookie": self.cookie}}
        return connect(f"ws://{self.host}/live", compression=None, **{**about, **changes})


def take_all(tab) -> None:
    """Take messages until the connection ends."""
    while True:
        tab.recv()


@pytest.fixture(scope="module")
def running(tmp_path_factory):
    server = Running(tmp_path_factory.mktemp("served"))
    yield server
    server.process.kill()
    server.process.communicate()


@pytest.mark.slow
def test_a_tab_is_served(running):
    assert running.get("/", Cookie=running.cookie).status == 200
    with running.tab() as tab:
        design = json.loads(tab.recv())
        tab.send(json.dumps({"ask": "hear", "serial": 1, "held": True, "draft": design["draft"]}))
        while isinstance(tab.recv(), str):
            pass


@pytest.mark.slow
def test_upgrades_are_refused_before_they_are_made(running):
    for changes in (
        {"origin": "http://evil.example"},
        {"origin": None},
        {"additional_headers": {}},
    ):
        with pytest.raises(InvalidStatus) as refused:
            running.tab(**changes)
        assert refused.value.response.status_code == 403


@pytest.mark.slow
@pytest.mark.parametrize("target", ["/../app.py", "/..%2fapp.py", "//app.py", "/./main.js", "*"])
def test_raw_paths_lead_nowhere(running, target):
    assert running.get(target, Cookie=running.cookie).status in (400, 404)


@pytest.mark.slow
def test_a_host_that_comes_twice_is_refused(running):
    with socket.create_connection((HERE, running.address.port)) as line:
        lines = ["GET / HTTP/1.1", f"Host: {running.host}", "Host: evil.example", "", ""]
        line.sendall("\r\n".join(lines).encode())
        assert line.recv(64).split()[1] in (b"400", b"403")


@pytest.mark.slow
def test_a_large_message_is_not_even_taken_in(running):
    with running.tab() as tab:
        tab.recv()
        tab.send("x" * 17_000)
        with pytest.raises(ConnectionClosed) as ended:
            take_all(tab)
        assert ended.value.rcvd is not None
        assert ended.value.rcvd.code == 1009  # RFC 6455, 7.4.1: too big to process
    with running.tab() as tab:
        assert json.loads(tab.recv())["say"] == "design"


@pytest.mark.slow
def test_a_slow_tab_is_sent_the_newest_and_the_others_wait_for_nobody(running):
    with running.tab() as slow, running.tab() as other:
        draft = json.loads(slow.recv())["draft"]
        other.recv()
        for serial in range(300):
            for tab in (slow, other):
                asked = {"ask": "hear", "serial": serial, "held": True, "draft": draft}
                tab.send(json.dumps(asked))
            time.sleep(0.002)
        last = 0
        while last < 299:
            if isinstance(message := other.recv(timeout=10), bytes):
                last = json.loads(message[4 : 4 + int.from_bytes(message[:4], "little")])["serial"]


@pytest.mark.slow
def test_an_interruption_ends_it_at_once(tmp_path):
    server = Running(tmp_path)
    with server.tab() as tab:
        tab.recv()
        began = time.monotonic()
        os.kill(server.process.pid, signal.SIGINT)
        with pytest.raises(ConnectionClosed):
            take_all(tab)
        assert time.monotonic() - began < 2.0
        server.process.communicate(timeout=20)
    assert server.process.returncode == -signal.SIGINT
