"""Tabs that look at the live page in headless Chromium, and hands for it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

from support.browser import Opened, without_complaint

WIDTHS = {"phone": (375, 720), "tablet": (820, 1180), "wide": (1280, 900)}
"""CSS pixels"""

PATIENCE = 15_000
"""ms"""

LOST = "WebSocket connection to"
"""how Chromium begins to complain of a server that is gone"""


class Tabs(Opened):
    """Tabs of one server, which are shown when they have exact curves."""

    def __init__(self, browser: Any, address: str, patience: int = PATIENCE) -> None:
        own = urlsplit(address).netloc
        super().__init__(browser, address, lambda url: urlsplit(url).netloc == own)
        self.patience = patience

    def open(self, size: tuple[int, int] = WIDTHS["wide"], **more: Any) -> Any:
        tab = super().open(size, **more)
        tab.set_default_timeout(self.patience)
        settled(tab)
        return tab


@contextmanager
def looked_at(browser: Any, address: str, patience: int = PATIENCE) -> Iterator[Tabs]:
    """Tabs of a server that may not complain."""
    with without_complaint(Tabs(browser, address, patience)) as tabs:
        yield tabs


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
