"""No way out: a Python process that may speak to its own machine only.

`site_of` writes a file that Python runs at its start, in child processes too. Whatever reaches for
another machine raises there, and is noted in a file, as a program might overlook the error.
"""

from __future__ import annotations

import os
from pathlib import Path

GUARD = """
import sys

LOOPBACK = ("127.", "::1", "localhost")
ASKED = ("socket.connect", "socket.bind", "socket.sendto", "socket.sendmsg")
NAMED = ("socket.getaddrinfo", "socket.gethostbyname", "socket.gethostbyaddr")

def guard(event, arguments):
    if event in ASKED:
        address = arguments[1]
        host = address[0] if isinstance(address, tuple) else None  # a path of this machine
    elif event in NAMED:
        host = arguments[0]
    else:
        return
    host = host.decode() if isinstance(host, bytes) else host
    if host and not host.startswith(LOOPBACK):
        with open({notes!r}, "a", encoding="utf-8") as notes:
            notes.write(f"{{event}} {{host}}\\n")
        raise PermissionError(f"{{event}} {{host}}: no network at run time")

sys.addaudithook(guard)
"""


def site_of(folder: Path) -> tuple[dict[str, str], Path]:
    """An environment for such processes, and the file that holds what they reached for."""
    notes = folder / "reached-for.txt"
    site = folder / "site"
    site.mkdir()
    (site / "sitecustomize.py").write_text(GUARD.format(notes=str(notes)), encoding="utf-8")
    path = os.pathsep.join([str(site), *filter(None, [os.environ.get("PYTHONPATH")])])
    return {**os.environ, "PYTHONPATH": path}, notes
