"""Texts with runnable blocks: what each prints is beside it."""

from __future__ import annotations

import contextlib
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

BLOCK = re.compile(r"^```python\n(.*?)^```\n(?:\n```text\n(.*?)^```\n)?", re.MULTILINE | re.DOTALL)


def blocks_of(text: str) -> list[tuple[str, str]]:
    """Code of each block, and what the text says that it prints."""
    return [(code, said or "") for code, said in BLOCK.findall(text)]


def printed(blocks: list[tuple[str, str]], file: Path) -> Iterator[str]:
    """What each block prints, one after the other in the same names."""
    names: dict[str, Any] = {}
    for code, _ in blocks:
        with contextlib.redirect_stdout(io.StringIO()) as out:
            exec(compile(code, str(file), "exec"), names)
        yield out.getvalue()
