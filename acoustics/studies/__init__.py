"""Questions that take several predictions: the only room that loops over cases.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from acoustics.loading import on_first_use

if TYPE_CHECKING:
    from acoustics.studies.box import box_study
    from acoustics.studies.box_search import find_box
    from acoustics.studies.compare import Comparison
    from acoustics.studies.placement import placement_map
    from acoustics.studies.sweep_run import sweep
    from acoustics.studies.uncertainty import answer_uncertainty

__all__ = [
    "Comparison",
    "answer_uncertainty",
    "box_study",
    "find_box",
    "placement_map",
    "sweep",
]

__getattr__ = on_first_use(
    __name__,
    {
        "box": ("box_study",),
        "box_search": ("find_box",),
        "compare": ("Comparison",),
        "placement": ("placement_map",),
        "sweep_run": ("sweep",),
        "uncertainty": ("answer_uncertainty",),
    },
)
