"""Whether a sweep fits this machine's memory and disk, told before it starts."""

from __future__ import annotations

import math
import os
import shutil
from collections.abc import Mapping
from pathlib import Path

from acoustics.conventions import RoundoverError

NUMBER, WORDS = 8, 64
"""bytes of a number, and about of what else is kept of a point"""

COPIES = 4
"""how often the answer is in memory while it is written"""

MARGIN = 1.2
"""on disk: the blocks and the answer, and what their files take besides"""


def bytes_of(points: int, figures: int, shapes: Mapping[str, tuple[int, ...]]) -> float:
    """What a sweep's answer takes; fields are complex."""
    fields = sum(2 * NUMBER * math.prod(shape) for shape in shapes.values())
    return points * float(NUMBER * figures + WORDS + fields)


def require_room(points: int, size: float, folder: Path, *, fields: bool) -> None:
    """Refuse a sweep that cannot be held or written.

    Args:
        points: how many.
        size: bytes of the answer.
        folder: where it will be written; it, or one above it, exists.
        fields: whether fields are kept.

    Raises:
        RoundoverError: how large it is, what there is, and what to do.
    """
    memory, disk = free_memory(), free_disk(folder)
    needs = {"memory": COPIES * size, "disk": 2 * MARGIN * size}
    there = {"memory": memory, "disk": disk}
    short = [what for what in needs if needs[what] > there[what]]
    if not short:
        return
    told = " and ".join(
        f"{size_words(needs[what])} of {what}, of which {size_words(there[what])} are free"
        for what in short
    )
    way_out = "take fewer values or a smaller sample, or split the sweep into several case files"
    if fields:
        way_out = (
            f'keep = "figures" keeps only the numbers of a point; or {way_out}; or ask for fewer '
            "frequencies or coarser arcs"
        )
    raise RoundoverError(
        f"the sweep has {points:,} points of {size_words(size / points)} each and needs {told}; "
        f"{way_out}"
    )


def free_memory() -> float:
    """Bytes of memory that are free on this machine; infinite where that cannot be told."""
    try:
        with open("/proc/meminfo", encoding="ascii") as lines:
            found = {line.split(":")[0]: line.split()[1] for line in lines}
        return 1024.0 * int(found["MemAvailable"])
    except (OSError, KeyError, IndexError, ValueError):
        pass
    try:
        return float(os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE"))
    except (AttributeError, OSError, ValueError):
        return math.inf


def free_disk(folder: Path) -> float:
    """Bytes free where a folder is or will be."""
    place = folder.absolute()
    while not place.exists():
        place = place.parent
    return float(shutil.disk_usage(place).free)


def size_words(count: float) -> str:
    """A number of bytes as people read it: "38.1 MiB"."""
    for unit in ("B", "KiB", "MiB", "GiB"):
        if count < 1024:
            return f"{count:.3g} {unit}"
        count /= 1024
    return f"{count:,.3g} TiB" if count < 1000 else f"{count:,.0f} TiB"
