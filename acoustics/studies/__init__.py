"""Questions that take several predictions: the only room that loops over cases.

Names are loaded when first used, as a command needs few of them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from acoustics.studies.box import box_study
    from acoustics.studies.box_search import find_box
    from acoustics.studies.compare import Comparison
    from acoustics.studies.placement import placement_map
    from acoustics.studies.sweep_run import sweep
    from acoustics.studies.uncertainty import answer_uncertainty

_HOMES = {
    "Comparison": "acoustics.studies.compare",
    "answer_uncertainty": "acoustics.studies.uncertainty",
    "box_study": "acoustics.studies.box",
    "find_box": "acoustics.studies.box_search",
    "placement_map": "acoustics.studies.placement",
    "sweep": "acoustics.studies.sweep_run",
}

__all__ = [
    "Comparison",
    "answer_uncertainty",
    "box_study",
    "find_box",
    "placement_map",
    "sweep",
]


def __getattr__(name: str) -> Any:
    """Load a name from the file where it lives (PEP 562)."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
