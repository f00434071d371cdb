"""An interruption is the parent's to answer, also while a worker loads its libraries."""

from __future__ import annotations

import operator
import signal
import sys
from functools import partial

import pytest

from acoustics.studies.workers.local_workers import local_workers

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows has no signal masks")


def test_it_does_not_reach_a_worker_and_still_reaches_this_process():
    mask = partial(signal.pthread_sigmask, signal.SIG_BLOCK, ())
    before = mask()
    with local_workers(1, operator.call) as workers:
        there = workers.submit(mask).result(timeout=300)
        assert mask() == before
    assert {signal.SIGINT, signal.SIGHUP} <= there
    assert not {signal.SIGINT, signal.SIGHUP} & before
