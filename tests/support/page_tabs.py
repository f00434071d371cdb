"""Tabs that look at the live page in headless Chromium, and hands for it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

import pytest

FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]

WIDTHS = {"phone": (375, 720), "tablet": (820, 1180), "wide": (1280, 900)}
"""CSS pixels"""

PATIENCE = 15_000
"""ms"""

LOST = "WebSocket connection to"
"""how Chromium begins to complain of a server that is gone"""


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


class Tabs:
    """`open` tabs of one server; `complaints` are theirs, and requests to anywhere else."""

    def __init__(self, browser: Any, address: str, patience: int = PATIENCE) -> None:
        self.address = address
        self.complaints: list[str] = []
        self.own = urlsplit(address).netloc
        self.browser = browser
        self.patience = patience
        self._contexts: list[Any] = []

    def open(self, size: tuple[int, int] = WIDTHS["wide"], **more: Any) -> Any:
        width, height = size
        viewport = {"width": width, "height": height}
        context = self.browser.new_context(viewport=viewport, **more)
        self._contexts.append(context)
        context.set_default_timeout(self.patience)
        tab = context.new_page()
        tab.on("console", lambda message: self.complaints.append(message.text))
        tab.on("pageerror", lambda error: self.complaints.append(str(error)))
        tab.on("request", self._requested)
        tab.goto(self.address)
        settled(tab)
        return tab

    def _requested(self, request: Any) -> None:
        if urlsplit(request.url).netloc != self.own:
            self.complaints.append(request.url)

    def close(self) -> None:
        for context in self._contexts:
            context.close()


def settled(tab: Any) -> None:
    """Wait until exact curves of what is set are shown."""
    tab.locator("#state[data-state=exact][data-fresh=yes]").wait_for()


def open_all(tab: Any) -> None:
    """Open everything that can be opened."""
    tab.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")


def driver(tab: Any, name: str) -> Any:
    return tab.locator(f'.driver[data-driver="{name}"]')


def drag(tab: Any, name: str, dx: float, dy: float, steps: int = 6) -> None:
    """Drag a driver by so many pixels."""
    box = driver(tab, name).locator(".cone").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    tab.mouse.move(x + dx, y + dy, steps=steps)
    tab.mouse.up()


CALM = 250
"""ms: after that numbers beside what moves are the newest"""


def place(tab: Any, name: str) -> tuple[float, float]:
    """Where a driver is by the fields of numbers, mm."""
    tab.wait_for_timeout(CALM)
    fields = tab.locator("#places fieldset").filter(has_text=name).locator("input")
    right, up = (fields.nth(i).input_value().replace("−", "-") for i in (0, 1))
    return float(right), float(up)


def curves(tab: Any, panel: str) -> list[str]:
    return tab.eval_on_selector_all(
        f"#{panel} .curve", "all => all.map(each => each.getAttribute('d'))"
    )


def figure(tab: Any, title: str) -> tuple[str, str]:
    """A figure's value and its words against what it is compared with."""
    tab.wait_for_timeout(CALM)
    entry = tab.locator("#figures > div").filter(has_text=title)
    return entry.locator(".value").inner_text(), entry.locator(".against").inner_text()


def overflow(tab: Any) -> float:
    return tab.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )


def violations(tab: Any) -> list[str]:
    """What breaks the rules of accessibility that a program can check."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    found = axe.Axe().run(tab)
    return [f"{one['id']}: {one['nodes'][0]['html'][:200]}" for one in found.response["violations"]]
