"""Being asked to end counts as an interruption, once, and not where it is ignored."""

from __future__ import annotations

import signal

import pytest

from acoustics.cli.ended import EndedError, tidy_when_ended


@pytest.fixture
def handlers(monkeypatch):
    """What is done about each signal, in place of the process's own."""
    done = {signal.SIGTERM: signal.SIG_DFL, signal.SIGHUP: signal.SIG_DFL}
    monkeypatch.setattr(signal, "getsignal", lambda number: done[number])
    monkeypatch.setattr(signal, "signal", done.__setitem__)
    return done


def test_the_first_is_an_interruption_and_the_others_are_ignored(handlers):
    tidy_when_ended()
    with pytest.raises(KeyboardInterrupt) as ended:
        handlers[signal.SIGTERM](signal.SIGTERM, None)
    assert isinstance(ended.value, EndedError)
    assert ended.value.number == signal.SIGTERM
    assert set(handlers.values()) == {signal.SIG_IGN}


def test_what_is_ignored_stays_so(handlers):
    """As a command that was started by nohup has it of a terminal that is closed."""
    handlers[signal.SIGHUP] = signal.SIG_IGN
    tidy_when_ended()
    assert handlers[signal.SIGHUP] == signal.SIG_IGN
    assert callable(handlers[signal.SIGTERM])
