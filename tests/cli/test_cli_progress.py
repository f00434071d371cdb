"""Progress shows on a terminal, for work that is not over at once, and nowhere else."""

from __future__ import annotations

import io
import sys
import time

import pytest

from acoustics.cli import progress
from acoustics.cli.progress import progress_bar


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture
def shown(monkeypatch):
    """`shown(silent, work, screen)`: what stands on the screen after some work."""

    def run(silent, work, screen):
        monkeypatch.setattr(progress, "SILENT", silent)
        monkeypatch.setattr(sys, "stderr", screen)
        with progress_bar("a design", 40) as show:
            work(show)
        return screen.getvalue()

    return run


def test_short_work_shows_nothing(shown):
    assert "a design" not in shown(60.0, lambda show: show(40, 40), Terminal())


def test_longer_work_shows_how_far_it_is(shown):
    def work(show):
        time.sleep(0.15)
        show(10, 40)

    assert "10 of 40 frequencies done" in shown(0.0, work, Terminal())


def test_it_shows_even_before_the_first_part_is_done(shown):
    screen = shown(0.01, lambda show: time.sleep(0.2), Terminal())
    assert "a design: solving the field, 0 of 40 frequencies done, 00:00" in screen


def test_time_goes_on_while_no_part_is_done(shown, monkeypatch):
    monkeypatch.setattr(progress, "TICK", 0.05)
    screen = shown(0.01, lambda show: time.sleep(1.2), Terminal())
    assert "00:00" in screen
    assert "00:01" in screen


def test_the_line_is_wiped_off_at_the_end(shown):
    """What is printed next starts on a clean line."""
    last = shown(0.01, lambda show: time.sleep(0.2), Terminal()).rstrip("\r").split("\r")[-1]
    assert last.strip() == ""


def test_nothing_is_drawn_into_a_file(shown):
    assert shown(0.0, lambda show: time.sleep(0.1) or show(10, 40), io.StringIO()) == ""
