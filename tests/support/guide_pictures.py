"""Draws the pictures of the guide anew: `python tests/support/guide_pictures.py`.

They are what the commands of the guide draw, in a palette of few colours, which keeps them small.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path

from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1]))

from support.guide import output_of, pictures_of, steps_of

COLOURS = 128
GUIDE = Path(__file__).parents[2] / "cases" / "compact-passive" / "GUIDE.md"


def make_small(drawn: Path, kept: Path) -> None:
    """Write a picture with few colours."""
    kept.parent.mkdir(exist_ok=True)
    with Image.open(drawn) as image:
        few = image.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(kept, optimize=True)


def draw_all() -> None:
    """Run every command in a copy of the cases, and keep what the guide shows."""
    text = GUIDE.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(GUIDE.parents[1], Path(folder) / "cases")
        os.chdir(folder)
        for step in steps_of(text):
            print(*step.lines, sep="\n")
            output_of(step)
            for kept, drawn in pictures_of(text):
                if step.out and drawn.startswith(f"{step.out}/"):
                    make_small(Path(drawn), GUIDE.parent / kept)


if __name__ == "__main__":
    draw_all()
