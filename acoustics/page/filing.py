"""What a tab has to do with the file: reading it again, saving, being told of changes."""

from __future__ import annotations

import asyncio

from acoustics.conventions import RoundoverError
from acoustics.page.messages import NotUnderstoodError, Save
from acoustics.page.reading import Reading
from acoustics.page.saving import Clash
from acoustics.page.saving import save as saved
from acoustics.page.tab import Tab
from acoustics.page.words import words_of


async def welcome(tab: Tab) -> None:
    """Tell a new tab the design, as it was read last if the file cannot be read now."""
    opened = tab.opened
    try:
        async with opened.filing:
            desk = await asyncio.to_thread(opened.read)
    except RoundoverError as error:
        desk = opened.last
        tab.trouble(f"The file cannot be read as it is now; this is how it was: {error}")
    tab.sit_down(desk)


async def read_again(tab: Tab) -> None:
    """Tell the design as the file has it now; the tab begins with it anew."""
    opened = tab.opened
    try:
        async with opened.filing:
            desk = await asyncio.to_thread(opened.read)
    except RoundoverError as error:
        tab.trouble(f"The file cannot be taken up as it is now: {error}")
    else:
        tab.sit_down(desk)


async def save(tab: Tab, message: Save) -> None:
    """Write a draft into the file, or tell what stands against it.

    Raises:
        NotUnderstoodError: it is no draft of the design, or of a file that nobody was told of.
    """
    opened, base = tab.opened, _base(tab, message.seen)
    draft = tab.draft(message.draft)
    async with opened.filing:
        try:
            found = await asyncio.to_thread(saved, base, draft, message.over, tab.clashed)
        except RoundoverError as error:
            tab.trouble("\n".join(words_of(error)))
            return
    if isinstance(found, Clash):
        tab.clashed = found.seen
        tab.know(found.seen)
        keys = {key: {"mine": mine, "theirs": theirs} for key, (mine, theirs) in found.keys.items()}
        tab.tell({"say": "clash", "serial": message.serial, "seen": found.seen, "keys": keys})
        return
    tab.base = found.base
    opened.note(found.seen, found.base)
    tab.know(found.seen)
    tab.know(found.base.seen)
    tab.tell({"say": "saved", "serial": message.serial, "seen": found.seen, "keys": found.keys})
    if draft.edges.kind != "as drawn":
        # From now on the edges that were saved are those that are drawn.
        tab.sit_down(await asyncio.to_thread(opened.desk_of, found.base))
        tab.said.add(found.seen)
    opened.changed.set()  # other tabs, and this one too if others' changes are in the file


def _base(tab: Tab, seen: str) -> Reading:
    """What was read where a draft began, by what the tab says that it has seen."""
    if seen in tab.said:
        return tab.base
    known = tab.opened.known(seen)  # a tab that lost its connection and is here again
    if known is None:
        raise NotUnderstoodError(
            "The draft was begun with a file that this program has not read, so it was not saved. "
            "Read the file again."
        )
    return known
