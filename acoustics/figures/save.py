"""A figure to its files; equal figures give byte-identical files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TypeVar

import matplotlib as mpl
from matplotlib.figure import Figure

from acoustics.files import complete_file

DOTS_PER_INCH = 150

ENDINGS = ("png", "svg")

Data = TypeVar("Data")


def save_figure(figure: Figure, base: Path) -> tuple[Path, Path]:
    """Write `base`.png (150 dots per inch) and `base`.svg; returns their paths.

    Raises RoundoverError where they cannot be written.
    """
    png, svg = (base.with_name(f"{base.name}.{ending}") for ending in ENDINGS)
    with complete_file(png) as part:
        figure.savefig(part, format="png", dpi=DOTS_PER_INCH, metadata={"Software": None})
    # Laid out once: that takes as long as drawing, and both files then look the same. With the
    # layout called "none" the library still draws a first time for it.
    layout = figure.get_layout_engine()
    figure.set_layout_engine(None)
    # The salt makes the identifiers inside the file the same every time.
    with mpl.rc_context({"svg.hashsalt": base.name}), complete_file(svg) as part:
        figure.savefig(part, format="svg", metadata={"Date": None, "Creator": None})
    figure.set_layout_engine(layout)
    return png, svg


def settle(figure: Figure) -> None:
    """Lay a figure out for good: saving would draw it once more for that."""
    layout = figure.get_layout_engine()
    if layout is not None:
        layout.execute(figure)
        figure.set_layout_engine(None)


def save_sheets(
    sheets: Mapping[str, Callable[[Data], Figure | None]], data: Data, folder: Path
) -> int:
    """Draw and write every figure there is something to show in; returns how many.

    Files of figures that an earlier run drew, and that have nothing to show now, are removed.
    """
    drawn = 0
    for name, sheet in sheets.items():
        figure = sheet(data)
        if figure is not None:
            save_figure(figure, folder / name)
            drawn += 1
        elif folder.is_dir():
            for ending in ENDINGS:
                (folder / f"{name}.{ending}").unlink(missing_ok=True)
    return drawn
