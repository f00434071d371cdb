"""Words of a report as they stand in a page."""

from __future__ import annotations

import re
from html import escape

COMMAND = re.compile("`([^`]+)`")
"""what is typed, as plain texts mark it"""


def text(words: str) -> str:
    """Text that may be anything, for between tags and for attributes.

    The two line ends of Unicode that no editor shows become blanks.
    """
    return escape(words.replace("\u2028", " ").replace("\u2029", " "))


def said(words: str) -> str:
    """A sentence: text in which commands are marked as such."""
    return COMMAND.sub(r"<code>\1</code>", text(words))
