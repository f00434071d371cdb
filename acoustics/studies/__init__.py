"""Questions that take several predictions: the only room that loops over cases.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from acoustics.loading import on_first_use

if TYPE_CHECKING:
    from acoustics.studies.box.search import find_box
    from acoustics.studies.box.study import box_study
    from acoustics.studies.comparison.compare import Comparison
    from acoustics.studies.driver_map.study import placement_map
    from acoustics.studies.sweeps.run import sweep

__all__ = [
    "Comparison",
    "box_study",
    "find_box",
    "placement_map",
    "sweep",
]

__getattr__ = on_first_use(
    __name__,
    {
        "box.study": ("box_study",),
        "box.search": ("find_box",),
        "comparison.compare": ("Comparison",),
        "driver_map.study": ("placement_map",),
        "sweeps.run": ("sweep",),
    },
)
