"""Says at the end of a run how many proofs their markers left out, and how to run those."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

MARKERS = {"slow": "slow proofs", "browser": "browser tests"}
"""markers that pyproject.toml leaves out, and what carries them"""

_COUNTS = pytest.StashKey[Counter[str]]()
_SENT = "left out"


def told(counts: Counter[str]) -> str:
    """One line for the end of a run; empty where nothing was left out."""
    parts = [
        f"{counts[marker]} {what} (python -m pytest -m {marker})"
        for marker, what in MARKERS.items()
        if counts[marker]
    ]
    return f"left out: {', '.join(parts)}" if parts else ""


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_COUNTS] = Counter()


def pytest_deselected(items: list[pytest.Item]) -> None:
    for item in items:
        item.config.stash[_COUNTS].update(
            marker for marker in MARKERS if item.get_closest_marker(marker)
        )


def pytest_sessionfinish(session: pytest.Session) -> None:
    """A process of several hands its counts to the one that prints."""
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput[_SENT] = dict(session.config.stash[_COUNTS])


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Every process collects all tests, so the largest count is the count."""
    found = Counter(getattr(node, "workeroutput", {}).get(_SENT, {}))
    node.config.stash[_COUNTS] |= found


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    if line := told(config.stash[_COUNTS]):
        terminalreporter.write_line(line)
