"""Looks at the file now and then, and tells the tabs when it is another than they know."""

from __future__ import annotations

import asyncio
from contextlib import suppress

from acoustics.conventions import RoundoverError
from acoustics.page.bounds import LOOK_EVERY
from acoustics.page.opened import Opened
from acoustics.page.reading import digest_of, text_now
from acoustics.page.tab import Tab
from acoustics.studies.live.saving import keys_between

UNREADABLE = ""
"""in place of a digest"""


async def watch(opened: Opened) -> None:
    """Look each second, and after every save, until cancelled."""
    while True:
        await look(opened)
        with suppress(TimeoutError):
            async with asyncio.timeout(LOOK_EVERY):
                await opened.changed.wait()
        opened.changed.clear()


async def look(opened: Opened) -> None:
    """Tell every tab once of a file that is not the one it was told of last."""
    try:
        async with opened.filing:
            text = await asyncio.to_thread(text_now, opened.file)
    except RoundoverError as error:
        for tab in tuple(opened.tabs):
            if tab.told_of:
                tab.told_of = UNREADABLE
                tab.trouble(f"The file cannot be read: {error}. What is set here stays.")
        return
    seen = digest_of(text)
    for tab in tuple(opened.tabs):
        if tab.told_of not in (seen, None):
            tab.know(seen)
            _tell(tab, seen, text)


def _tell(tab: Tab, seen: str, text: str) -> None:
    try:
        keys = keys_between(tab.base.text, text)
    except RoundoverError as error:
        tab.trouble(f"The file was changed: {error}")
        return
    changed = {key: list(pair) for key, pair in keys.items()}
    tab.tell({"say": "changed", "seen": seen, "keys": changed}, "changed")
