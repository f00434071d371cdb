"""Figures are drawn, but only their names are written: rendering is most of the time.

That files of figures are written as they should, and alike, `tests/figures` shows.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from acoustics.figures.save import ENDINGS


def without_pictures(patch: pytest.MonkeyPatch) -> None:
    """As long as the patch lasts."""

    def touch(_: Any, base: Path) -> tuple[Path, ...]:
        base.parent.mkdir(parents=True, exist_ok=True)
        files = tuple(base.with_name(f"{base.name}.{ending}") for ending in ENDINGS)
        for file in files:
            file.touch()
        return files

    patch.setattr("acoustics.figures.save.save_figure", touch)
