"""How long the live page's curves take from the hand to the screen.

The server is started as a person starts it, on the shipped compact two-way, and the tweeter is
dragged in headless Chromium once the fields are prepared. Each time is the page's own user timing:
from the time stamp of the pointer's event to the end of the frame in which the curves of that place
were painted.

    python benchmarks/page.py            120 moves
    python benchmarks/page.py --smoke    a dozen: checks that it runs
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
from common import is_smoke

CASE = Path(__file__).parents[1] / "cases" / "compact-centred"
MOVES, FEW = 120, 12
BETWEEN = 1 / 60
"""s: between moves, as often as a screen has a frame"""

PATIENCE = 120_000
"""ms, for what is computed before the hand moves"""

FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
RUN = "from acoustics.cli.main import run; run()"
STOPS = 10
"""s"""


TOLD_WITHIN = 1000
"""ms: that fields are being prepared is told so soon after exact curves"""


def moves(count: int) -> list[tuple[float, float]]:
    """Where the pointer goes from where it took hold, px: a spiral, no place twice in a row."""
    turn = 2 * np.pi * np.arange(1, count + 1) / 40
    reach = 6 + 20 * np.arange(count) / count
    return list(zip(reach * np.sin(turn), -reach * (1 - np.cos(turn)) / 4, strict=True))


def times_of(tab: Any, name: str) -> list[float]:
    """Durations of a user timing so far, ms."""
    return tab.evaluate(f"performance.getEntriesByName('{name}').map((each) => each.duration)")


def dragged(browser: Any, address: str, count: int) -> tuple[float, float, list[float]]:
    """Seconds until curves were shown, seconds until they were live, times of the drag in ms."""
    tab = browser.new_page(viewport={"width": 1280, "height": 900})
    tab.set_default_timeout(PATIENCE)
    began = time.perf_counter()
    tab.goto(address)
    tab.locator("#state[data-fresh=yes]").wait_for()
    shown = time.perf_counter() - began
    tab.locator("#state[data-state=exact][data-fresh=yes]").wait_for()
    exact = time.perf_counter() - began
    tab.wait_for_timeout(TOLD_WITHIN)
    tab.locator("#state", has_text="prepared").wait_for(state="detached")
    box = tab.locator(".driver .cone").last.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    tab.mouse.move(x, y)
    tab.mouse.down()
    for right, up in moves(count):
        start = time.perf_counter()
        tab.mouse.move(x + right, y + up)
        time.sleep(max(BETWEEN - (time.perf_counter() - start), 0.0))
    tab.wait_for_timeout(500)
    found = times_of(tab, "drag-to-curves")
    tab.mouse.up()
    tab.close()
    return shown, exact, found


def served(count: int, path: str, playwright: Any) -> tuple[float, float, float, list[float]]:
    """Start the server, drag, end the server; seconds until it served, and what `dragged` finds."""
    command = [sys.executable, "-c", RUN, "page", str(CASE), "--no-browser"]
    began = time.perf_counter()
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"}
    ) as server:
        try:
            assert server.stdout is not None
            address = next(word for word in server.stdout.readline().split() if "http" in word)
            ready = time.perf_counter() - began
            with playwright.sync_playwright() as started:
                browser = started.chromium.launch(executable_path=path, args=FLAGS)
                found = dragged(browser, address, count)
                browser.close()
        finally:
            server.terminate()
            server.wait(STOPS)
    return ready, *found


def main() -> None:
    """Measure, or say what is missing."""
    smoke = is_smoke(__doc__, "few moves")
    path = shutil.which("chromium")
    try:
        import playwright.sync_api as playwright
    except ImportError:
        playwright = None
    missing = [
        name for name, there in (("Chromium", path), ("playwright", playwright)) if not there
    ]
    if missing:
        print(f"The page was not measured: {' and '.join(missing)} not found.")
        sys.exit(0 if smoke else 1)
    assert path is not None
    count = FEW if smoke else MOVES
    ready, shown, exact, found = served(count, path, playwright)
    print(f"cases/{CASE.name}: the server took {ready:.1f} s to start")
    print(f"first curves on screen {shown:.1f} s after the page was asked for, exact {exact:.1f} s")
    if not found:
        print("no curves came while the tweeter was dragged")
        sys.exit(1)
    median, late = np.percentile(found, (50, 95))
    print(
        f"{count} moves of the tweeter, {len(found)} frames with new curves: "
        f"from hand to screen {median:.0f} ms in the middle, {late:.0f} ms at the 95th percentile"
    )


if __name__ == "__main__":
    main()
