"""Headless Chromium, and tabs in it that complain of nothing and ask nothing of strangers."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest

FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]


@contextmanager
def chromium() -> Iterator[Any]:
    """A browser; the test is skipped where there is none."""
    playwright = pytest.importorskip("playwright.sync_api")
    path = shutil.which("chromium")
    if path is None:
        pytest.skip("chromium is not installed")
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


class Opened:
    """Tabs that were opened at one address.

    `complaints` are what their consoles and scripts say, and requests that are not `own`.
    """

    def __init__(self, browser: Any, address: str, own: Callable[[str], bool]) -> None:
        self.browser = browser
        self.address = address
        self.own = own
        self.complaints: list[str] = []
        self._contexts: list[Any] = []

    def open(self, size: tuple[int, int], **more: Any) -> Any:
        """A tab of so many CSS pixels; `more` is about its window."""
        width, height = size
        context = self.browser.new_context(viewport={"width": width, "height": height}, **more)
        self._contexts.append(context)
        tab = context.new_page()
        tab.on("console", lambda message: self.complaints.append(message.text))
        tab.on("pageerror", lambda error: self.complaints.append(str(error)))
        tab.on("request", self._requested)
        tab.goto(self.address)
        return tab

    def _requested(self, request: Any) -> None:
        if not self.own(request.url):
            self.complaints.append(request.url)

    def close(self) -> None:
        for context in self._contexts:
            context.close()


@contextmanager
def without_complaint(opened: Opened) -> Iterator[Any]:
    """Close all tabs in the end, of which none may have complained."""
    yield opened
    opened.close()
    assert opened.complaints == []


def overflow(tab: Any) -> float:
    """CSS pixels by which a page is wider than its window."""
    return tab.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )


def violations(tab: Any) -> list[str]:
    """What breaks the rules of accessibility that a program can check."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    found = axe.Axe().run(tab)
    return [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found.response["violations"]]
