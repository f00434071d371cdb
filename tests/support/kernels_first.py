"""Kernels are compiled once for all processes of a run, each process compiling some of them.

On a fresh checkout nothing of them is on disk yet, and processes that come to the same kernel at
the same time each compile it, for most of a minute.
"""

from __future__ import annotations

import pytest

ACCURACIES = (0.3, 0.003)
"""dB: in single and in double precision, for which other code is compiled"""


def pytest_sessionstart(session: pytest.Session) -> None:
    """Of several processes the first ones solve a little of each kind; alone, nothing is gained."""
    worker = getattr(session.config, "workerinput", {}).get("workerid", "")
    if not worker.startswith("gw") or int(worker[2:]) >= len(ACCURACIES):
        return
    import numpy as np

    from acoustics import Body, Piston, face_field, solve_field

    body = Body.box(width=0.22, height=0.38, depth=0.30)
    pistons = [Piston(0.0127, (0.0, 0.10, 0.0))]
    receivers = np.array([[0.0, 0.1, 2.0], [1.0, 0.0, 1.0], [0.0, 0.1, 0.05]])
    frequency, accuracy = np.array([200.0]), ACCURACIES[int(worker[2:])]
    solve_field(body, pistons, receivers, frequency, accuracy=accuracy)
    face_field(body, 0, receivers, frequency, accuracy=accuracy).field(pistons)
